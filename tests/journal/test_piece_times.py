"""Readings and words of pieces: kept, shown, and what they suggest for the next plan."""

import json
from math import exp

import pytest

from darktimer.journal.events import FAULT, STEP_BEGUN, Event
from darktimer.journal.films import RunPiece
from darktimer.journal.from_pieces import from_pieces
from darktimer.journal.journal import Journal
from darktimer.journal.limits import check_result
from darktimer.journal.piece_times import (
    Wanted,
    by_words,
    curve_for,
    parts_of,
    pieces_of,
    read_of,
    usually_wanted,
)
from darktimer.journal.propose import propose
from darktimer.journal.readings import Readings, strip_of
from darktimer.journal.refusal import JournalError
from darktimer.journal.results import Result, RunPart, add_result, part_of, result_row
from darktimer.journal.review import review
from darktimer.sensitometry.refusal import SensitometryError
from tests.journal.samples import PLAN, run_start
from tests.journal.test_next import POSITIVE
from tests.journal.test_review import played

MINUTE = 60_000
TABLET = "21 x 0.15"
TIMES = (5, 7, 10)


def ladder(journal, folder, times=TIMES, late=(), text=PLAN):
    """A run that was cut into pieces, the longest for the develop's own 10 min."""
    run = played(journal, folder, text, late=dict(late).items())
    pieces = json.dumps([RunPiece(round(t * MINUTE))._asdict() for t in times])
    sql = "UPDATE runs SET pieces = ? WHERE number = ?"
    journal.store.write(lambda connection: connection.execute(sql, (pieces, run)))
    return run


def densities(gamma):
    """A foot of 0.20, and from lg H 0.6 on a straight line."""
    return tuple(round(0.2 + gamma * max(0, 0.15 * step - 0.6), 4) for step in range(21))


def gamma_after(minutes):
    return 1.1 * (1 - exp(-0.12 * minutes))


def read(journal, run, piece, gamma):
    found = Readings(densities(gamma), TABLET, uncertainty=0.005)
    add_result(journal, run, Result(**found.columns()), RunPart(piece=piece))


@pytest.fixture
def journal(tmp_path):
    with Journal.open(tmp_path / "home") as opened:
        yield opened


@pytest.fixture
def read_ladder(journal, tmp_path):
    run = ladder(journal, tmp_path)
    for piece, minutes in enumerate(TIMES, 1):
        read(journal, run, piece, gamma_after(minutes))
    return run


@pytest.mark.parametrize("exposures", ["5 x 0.30", (0.01, 0.02, 0.04, 0.08, 0.16)])
@pytest.mark.parametrize("base_fog", [None, 0.19])
def test_readings_are_kept_as_they_were_given(exposures, base_fog):
    given = Readings((0.2, 0.25, 0.5, 0.8, 1.1), exposures, base_fog, 0.01)
    kept = given.columns()
    assert strip_of(**kept) == given.strip
    assert json.loads(kept["exposures"]) == (
        exposures if isinstance(exposures, str) else list(exposures)
    )
    assert strip_of("", "") is None


@pytest.mark.parametrize(
    ("column", "text"),
    [
        ("densities", "[0.1]"),
        ("densities", '{"densities": ["a", "b", "c", "d", "e"]}'),
        ("densities", '{"densities": [0.1, 0.2, 0.3, 0.4, NaN]}'),
        ("densities", '{"densities": [0.1, 0.2, 0.3, 0.4, 7]}'),
        ("densities", '{"densities": [0.1, 0.2, 0.3, 0.4]}'),
        ("densities", '{"densities": [0.1, 0.2, 0.3, 0.4, 0.5], "base_fog": "low"}'),
        ("densities", '{"densities": [0.1, 0.2, 0.3, 0.4, 0.5], "base_fog": -1}'),
        ("densities", '{"densities": [0.1, 0.2, 0.3, 0.4, 0.5], "uncertainty": 0}'),
        ("densities", '{"densities": [0.1, 0.2, 0.3, 0.4, 0.5], "gloss": 1}'),
        ("exposures", ""),
        ("exposures", '"21 x 0.15"'),
        ("exposures", "[0.1, 0.2, 0.3, 0.4, NaN]"),
        ("exposures", '[0.1, 0.2, 0.3, 0.4, "0.5"]'),
        ("exposures", "[0.5, 0.4, 0.3, 0.2, 0.1]"),
        ("exposures", "7"),
    ],
)
def test_readings_from_elsewhere_make_a_strip(column, text):
    good = Readings((0.1, 0.2, 0.3, 0.4, 0.5), "5 x 0.30").columns()
    row = result_row(1, Result(**good), 0)
    check_result(row)
    with pytest.raises((ValueError, TypeError)):
        check_result({**row, column: text})


def test_a_piece_that_is_not_there_has_no_result(journal, tmp_path):
    run = journal.run(ladder(journal, tmp_path))
    part_of(run, RunPart(piece=3))
    with pytest.raises(JournalError, match="it has piece 1 to piece 3, not piece 4; name one"):
        part_of(run, RunPart(piece=4))
    whole = journal.run(played(journal, tmp_path))
    with pytest.raises(JournalError, match="it has no pieces of its own, not piece 1; leave"):
        part_of(whole, RunPart(piece=1))
    with pytest.raises(JournalError, match="it has no films of its own, not film 2; leave"):
        part_of(whole, RunPart(film=2))


def test_what_was_late_or_warm_counts_for_every_piece(journal, tmp_path):
    late = ladder(journal, tmp_path, late={"fix": 30_000})
    assert [each.time_ms for each in pieces_of(review(journal, late))] == [
        t * MINUTE + 30_000 for t in TIMES
    ]
    warm = ladder(journal, tmp_path)
    add_result(journal, warm, Result(celsius=22.3))
    # 12.11 min at 20 C are 10 at 22.3 C by 60 kJ/mol: worked out by hand in test_next.
    assert [each.time_ms / MINUTE for each in pieces_of(review(journal, warm))] == pytest.approx(
        [1.211 * t for t in TIMES], rel=1e-3
    )
    add_result(journal, warm, Result(celsius=20.0), RunPart(piece=1))  # by then it had cooled
    assert pieces_of(review(journal, warm))[0].time_ms == TIMES[0] * MINUTE


def test_a_late_change_does_not_touch_pieces_that_were_out_before_it(journal, tmp_path):
    text = PLAN.replace(
        "    agitation: 1/2",
        "    agitation: none\n    pieces: {times: [5 min, 7 min, 10 min], WAY}",
    )
    for way, times in (("out", (300, 420, 630)), ("in", (330, 450, 630))):
        one_by_one = text.replace("WAY", f"{way}: one by one")
        run = played(journal, tmp_path, one_by_one, late={"fix": 30_000}.items())
        found = pieces_of(review(journal, run))
        assert tuple(each.time_ms for each in found) == tuple(1000 * each for each in times)
        assert journal.timeline(run).pieces == run_start(tmp_path, one_by_one).timeline.pieces


def test_pieces_are_no_longer_in_the_plan_that_next_writes(journal, tmp_path):
    pieces = "    pieces:  # a test\n      times: [5 min, 7 min, 10 min]\n      in: one by one\n"
    text = PLAN.replace("  - fix", f"{pieces}  - fix").replace("agitation: 1/2", "agitation: none")
    run = played(journal, tmp_path, text)
    for piece, density in enumerate((-1, 0, 1), 1):
        add_result(journal, run, Result(density=density), RunPart(piece=piece))
    body = propose(journal, run).text.partition("\ntitle")[2]
    assert "pieces" not in body
    assert "develop: 7 min  # as on the last roll\n    bath: nettle developer\n" in body
    assert "    agitation: none\n  - fix: 8 min\n" in body


def suggested(journal, run, wanted=None):
    return list(from_pieces(review(journal, run), wanted))


def test_readings_tell_the_time_for_a_wanted_gamma(journal, read_ladder):
    """gamma 1.1 (1 - exp(-0.12 t)) is 0.60 after 6.57 min: ln(1.1 / 0.5) / 0.12."""
    (found,) = suggested(journal, read_ladder, Wanted("gamma", 0.60))
    assert found.found == "gamma 0.60 by the readings of 3 pieces"
    assert "6:34 is the middle; develop for 6:35" in found.remedy
    assert found.changes["steps", 1, "develop"] == "6 min 35 s"
    assert "rule of thumb" not in found.basis


def test_where_nothing_is_wanted_it_is_what_pictorial_negatives_have(journal, read_ladder):
    (found,) = suggested(journal, read_ladder)
    assert found.found.startswith("contrast index 0.58 (the middle of 0.56 to 0.60")
    assert "Navy" in found.found


def test_the_usual_is_said_to_a_hundredth_the_surer_measure_first(journal, read_ladder):
    assert [(each.measure, each.value) for each in usually_wanted()] == [
        ("contrast index", 0.58), ("gamma", 0.78)
    ]  # fmt: skip
    one = read_of(review(journal, read_ladder))[:1]
    with pytest.raises(SensitometryError, match="the contrast index is known after one time"):
        curve_for(one, None)


def test_words_are_used_where_readings_cannot_bear_it_and_that_is_said(journal, read_ladder):
    read(journal, read_ladder, 3, 0.3)
    for piece, density in enumerate((-1, 0, 1), 1):
        add_result(journal, read_ladder, Result(density=density), RunPart(piece=piece))
    refused, words = suggested(journal, read_ladder)
    assert "no time by readings: the contrast index falls from" in refused.found
    assert refused.changes == {}
    assert words.found == "3 pieces judged by eye"
    assert words.changes["steps", 1, "develop"] == "7 min"
    assert propose(journal, read_ladder).text


@pytest.mark.parametrize("text", [PLAN, POSITIVE])
def test_what_is_wanted_in_figures_is_never_taken_from_words(journal, tmp_path, text):
    run = ladder(journal, tmp_path, text=text)
    for piece, density in enumerate((-1, 0, 1), 1):
        add_result(journal, run, Result(density=density), RunPart(piece=piece))
    says = "with a positive" if text == POSITIVE else "nothing was read of this run; give densities"
    with pytest.raises(JournalError, match=f"run 1: {says}"):
        propose(journal, run, Wanted("gamma", 0.6))


def test_words_alone_give_the_middle_of_two_pieces(journal, tmp_path):
    """Between -1 and +1, half way in the logarithm: the root of 7 times 10."""
    run = ladder(journal, tmp_path)
    for piece, contrast in ((2, -1), (3, 1)):
        add_result(journal, run, Result(contrast=contrast), RunPart(piece=piece))
    (found,) = suggested(journal, run)
    assert "between 7:00 and 10:00 at 20.0 °C, 8:22 is the middle" in found.remedy
    proposal = propose(journal, run)
    assert proposal.text.startswith("# Proposed after run 1, from its pieces; untested on film.\n")
    assert "rule of thumb" not in proposal.text.lower()
    assert "develop: 8 min 20 s" in proposal.text


@pytest.mark.parametrize(
    ("pieces", "says"),
    [
        ({1: 0.5}, "known after one time only"),
        ({1: 0.7, 3: 0.5}, "falls from"),
        ({1: 0.5, 2: 0.505, 3: 0.50}, "hardly rises"),
    ],
)
def test_readings_that_bear_no_time_change_nothing(journal, tmp_path, pieces, says):
    run = ladder(journal, tmp_path)
    for piece, gamma in pieces.items():
        read(journal, run, piece, gamma)
    found = suggested(journal, run)
    assert [each.changes for each in found] == [{}]
    assert says in found[0].found
    assert propose(journal, run).text == ""
    with pytest.raises(JournalError, match=f"run 1: .*the gamma .*{says}"):
        propose(journal, run, Wanted("gamma", 0.6))


def test_a_run_in_one_piece_may_have_a_strip_too(journal, tmp_path):
    run = played(journal, tmp_path)
    read_whole = Readings(densities(0.6), TABLET)
    add_result(journal, run, Result(**read_whole.columns()))
    found = review(journal, run)
    (part,) = parts_of(found)
    assert (part.part.name, part.time_ms) == ("", 10 * MINUTE)
    assert "known after one time only" in suggested(journal, run)[0].found


def test_a_piece_that_was_not_read_is_named(journal, tmp_path):
    run = ladder(journal, tmp_path)
    for piece, minutes in ((1, 5), (3, 10)):
        read(journal, run, piece, gamma_after(minutes))
    short = Readings((0.2, 0.2, 0.2, 0.2, 0.5, 0.9), "6 x 0.15")
    add_result(journal, run, Result(**short.columns()), RunPart(piece=2))
    (found,) = suggested(journal, run, Wanted("contrast index", 0.58))
    assert "by the readings of 2 pieces" in found.found
    assert "piece 2 is left out: contrast index" in found.remedy


@pytest.mark.parametrize("words", [False, True])
def test_pieces_of_a_positive_suggest_no_time(journal, tmp_path, words):
    """Common practice, no source: its density falls where that of a negative rises."""
    run = ladder(journal, tmp_path, text=POSITIVE)
    for piece, minutes in enumerate(TIMES, 1):
        if words:
            add_result(journal, run, Result(density=2 - piece), RunPart(piece=piece))
        else:
            read(journal, run, piece, gamma_after(minutes))
    (found,) = suggested(journal, run)
    assert found.changes == {}
    assert "with a positive, a longer first develop gives less density" in found.found


def test_pieces_that_differ_in_agitation_ask_for_no_other_time(journal, tmp_path):
    text = PLAN.replace("    bath: nettle", "    pieces: {count: 2, standing: 1}\n    bath: nettle")
    text = text.replace("volume: ", "volume: two of ")
    run = played(journal, tmp_path, text)
    for piece in (1, 2):
        add_result(journal, run, Result(density=piece - 1), RunPart(piece=piece))
        read(journal, run, piece, 0.4 + 0.1 * piece)
    assert [each.time_ms for each in pieces_of(review(journal, run))] == [10 * MINUTE] * 2
    assert suggested(journal, run) == []
    assert propose(journal, run).text == ""
    with pytest.raises(JournalError, match="known after one time only"):
        propose(journal, run, Wanted("gamma", 0.6))


def test_words_that_contradict_each_other_change_nothing(journal, tmp_path):
    run = ladder(journal, tmp_path)
    for piece, density in ((1, 1), (2, -1)):
        add_result(journal, run, Result(density=density), RunPart(piece=piece))
    (found,) = suggested(journal, run)
    assert found.basis == "what the words allow"
    assert found.found.startswith("no time by eye: density is +1 after 5:00 and -1 after 7:00")
    assert found.changes == {}


@pytest.mark.parametrize(
    ("early", "told", "expected"),
    [
        (False, "late piece-1", 5 * MINUTE - 20_000),  # put in later, and out with the others
        (True, "late piece-1", 5 * MINUTE + 20_000),
        (False, "missed piece-1", None),  # never put in
        (True, "missed piece-1", 10 * MINUTE),  # out with all of them
        (False, "late piece-11", 5 * MINUTE),  # another one
    ],
)
def test_a_piece_that_was_asked_for_late_developed_for_as_much_less_or_more(
    journal, tmp_path, early, told, expected
):
    run = ladder(journal, tmp_path)
    pieces = [RunPiece(round(t * MINUTE), 2, early and t < 10)._asdict() for t in TIMES]
    sql = "UPDATE runs SET pieces = ? WHERE number = ?"
    journal.store.write(lambda connection: connection.execute(sql, (json.dumps(pieces), run)))
    journal.record(run, Event(1, 1, FAULT, told, detail={"late_ms": 20_000}))
    assert [each.time_ms for each in pieces_of(review(journal, run))] == [
        expected,
        7 * MINUTE,
        10 * MINUTE,
    ]


def test_no_time_is_shorter_than_a_plan_can_have(journal, tmp_path):
    run = ladder(journal, tmp_path, (1 / 60, 3 / 60))
    for piece, density in ((1, -1), (2, 1)):
        add_result(journal, run, Result(density=density), RunPart(piece=piece))
    assert suggested(journal, run)[0].changes["steps", 1, "develop"] == "5 s"


def test_parts_are_in_order_with_all_of_the_run_first(journal, tmp_path):
    run = ladder(journal, tmp_path, (5, 6, 7, 10))
    for part in (RunPart(2), RunPart(piece=3), RunPart(1), RunPart()):
        add_result(journal, run, Result(density=0), part)
    assert [each.part.name for each in parts_of(review(journal, run))] == [
        "", "piece 1", "piece 2", "piece 3", "piece 4", "film 1", "film 2"
    ]  # fmt: skip


def test_pieces_of_a_run_that_ended_before_its_develop_were_never_developed(journal, tmp_path):
    pieces = tuple(RunPiece(round(minutes * MINUTE)) for minutes in TIMES)
    run = journal.begin_run(run_start(tmp_path, PLAN)._replace(pieces=pieces))
    journal.record(run, Event(0, 0, STEP_BEGUN, "", 0, 0))
    journal.finish_run(run, "aborted")
    for piece, density in ((1, -1), (3, 1)):
        add_result(journal, run, Result(density=density), RunPart(piece=piece))
    assert [each.time_ms for each in pieces_of(review(journal, run))] == [None] * 3
    with pytest.raises(SensitometryError):
        by_words(pieces_of(review(journal, run)))
