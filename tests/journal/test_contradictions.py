"""What was said of a run in two ways that do not agree: which is used, and that they differ."""

import pytest

from darktimer.journal.journal import Journal
from darktimer.journal.piece_times import Wanted
from darktimer.journal.propose import propose
from darktimer.journal.readings import Readings
from darktimer.journal.results import WHOLE, Result, RunPart, add_result
from darktimer.sensitometry.estimate import Estimate
from tests.journal.test_piece_times import TABLET, TIMES, densities, gamma_after, ladder, read
from tests.journal.test_review import played


@pytest.fixture
def journal(tmp_path):
    with Journal.open(tmp_path / "home") as opened:
        yield opened


def against(proposal):
    return [each for each in proposal.suggestions if each.source == "what was entered for this run"]


@pytest.mark.parametrize(
    ("piece", "said", "told"),
    [
        (1, {"density": 1}, "piece 1 is dense by eye and flat by its readings: contrast index 0."),
        (1, {"contrast": 0}, "piece 1 is normal by eye and flat by its readings"),
        (1, {"contrast": -1, "density": 1}, ""),  # too much exposure, and too little development
        (1, {"density": -2}, ""),
        (3, {"contrast": -1}, "piece 3 is flat by eye and contrasty by its readings"),
        (3, {"contrast": 1}, ""),
        (2, {"density": 0}, ""),
        (2, {"contrast": 1}, ""),
        (3, {"contrast": 0}, "piece 3 is normal by eye and contrasty by its readings"),
    ],
)
def test_words_that_contradict_the_readings_of_a_piece_are_told(
    journal, tmp_path, piece, said, told
):
    """Gammas as these are far too flat, about right and contrasty where 0.56 to 0.60 are usual."""
    run = ladder(journal, tmp_path)
    for number, gamma in enumerate((0.42, 0.60, 0.77), 1):
        read(journal, run, number, gamma)
    add_result(journal, run, Result(**said), RunPart(piece=piece))
    proposal = propose(journal, run)
    found = against(proposal)
    assert [each.found.startswith(told) for each in found] == [True] * bool(told)
    if told:
        assert found[0].found.endswith(", where 0.56 to 0.60 are usual")
        assert found[0].remedy.startswith("the readings are used; look again")
        assert told.partition(":")[0] in proposal.text


@pytest.mark.parametrize(
    ("word", "value", "differs"),
    [
        (1, 0.519, True), (1, 0.521, False), (-1, 0.641, True), (-1, 0.639, False),
        (0, 0.435, True), (0, 0.437, False), (0, 0.731, True), (0, 0.729, False),
        (2, 0.7, False), (-2, 0.3, False),
    ],
)  # fmt: skip
def test_a_word_is_contradicted_by_two_uncertainties(
    journal, tmp_path, monkeypatch, word, value, differs
):
    """0.02 is one, beside 0.56 to 0.60; what is called normal may be 15 % off besides."""
    estimate = Estimate(value, 0.02)
    monkeypatch.setattr("darktimer.journal.contradictions.measured", lambda *_: (estimate, ""))
    run = ladder(journal, tmp_path)
    add_result(journal, run, Result(contrast=word), RunPart(piece=2))
    told = [each.basis for each in against(propose(journal, run))]
    assert told == ["what was entered for this run"] * differs


def test_what_is_wanted_in_figures_contradicts_no_words(journal, tmp_path):
    run = ladder(journal, tmp_path)
    for number, minutes in enumerate(TIMES, 1):
        read(journal, run, number, gamma_after(minutes))
    add_result(journal, run, Result(contrast=0), RunPart(piece=2))
    assert against(propose(journal, run, Wanted("gamma", 0.76))) == []


def test_a_film_in_one_piece_goes_by_words_and_its_readings_are_told(journal, tmp_path):
    run = played(journal, tmp_path)
    flat = Readings(densities(0.4), TABLET).columns()
    add_result(journal, run, Result(density=1, **flat))
    proposal = propose(journal, run)
    (found,) = against(proposal)
    assert found.found.startswith("this run is dense by eye and flat by its readings: contrast")
    assert found.remedy.startswith("the words are used")
    assert "by rules of thumb" in proposal.text.splitlines()[0]
    assert "develop: 8 min 30 s" in proposal.text


def test_what_is_said_of_all_of_a_cut_film_is_told_to_be_left_out(journal, tmp_path):
    run = ladder(journal, tmp_path)
    add_result(journal, run, Result(density=2), WHOLE)
    alone = propose(journal, run)
    assert alone.text == ""
    (found,) = against(alone)
    assert found.found.startswith("far too dense, for all of the run, is not used, since its")
    assert "add-result 1 --piece" in found.remedy
    assert found.basis == "what was entered for this run"
    for piece, density in ((1, -1), (3, 1)):
        add_result(journal, run, Result(density=density), RunPart(piece=piece))
    (found,) = against(propose(journal, run))
    assert found.found.endswith("pieces differ (piece 1 thin, piece 3 dense)")
    add_result(journal, run, Result(**Readings(densities(0.5), TABLET).columns()), WHOLE)
    found = against(propose(journal, run))[-1].found
    assert "far too dense and readings, for all of the run, " in found


def test_pieces_that_agree_with_themselves_are_told_nothing(journal, tmp_path):
    run = ladder(journal, tmp_path)
    for piece, density in ((1, -1), (3, 1)):
        add_result(journal, run, Result(density=density), RunPart(piece=piece))
    assert against(propose(journal, run)) == []
