"""Several films in one run: only what all of them ask for changes their plan."""

import pytest

from darktimer.journal.journal import Journal
from darktimer.journal.propose import propose
from darktimer.journal.results import WHOLE, Result, RunPart, add_result
from tests.journal.samples import PLAN
from tests.journal.test_review import played

FIRST, SECOND = RunPart(film=1), RunPart(film=2)
TWO = PLAN.replace(
    "film: {format: 135-36, count: 1}",
    "films: [{format: 135-36, stock: meadow}, {format: 135-36, stock: hill}]",
)

CUT = PLAN.replace("1/2", "1/2\n    pieces: {times: [5 min, 7 min, 10 min], in: one by one}")


@pytest.fixture
def proposed(tmp_path):
    def after(results):
        with Journal.open(tmp_path) as journal:
            run = played(journal, tmp_path, TWO)
            for part, result in results.items():
                add_result(journal, run, result, part)
            return propose(journal, run)

    return after


def test_what_every_film_asks_for_is_done(proposed):
    """A film alone that is dense has its 10 min made 8:30."""
    found = proposed({FIRST: Result(density=1), SECOND: Result(density=1)})
    assert "develop: 8 min 30 s" in found.text


def test_films_that_differ_change_nothing_and_are_told(proposed):
    found = proposed({FIRST: Result(density=1), SECOND: Result(density=-1)})
    (said,) = found.suggestions
    assert said.found == "density: film 1 dense, film 2 thin"
    assert "develop them apart" in said.remedy
    assert found.text == ""


def test_one_film_does_not_speak_for_another(proposed):
    found = proposed({FIRST: Result(density=1)})
    (said,) = found.suggestions
    assert said.found == "density: film 1 dense, film 2 unknown"
    assert "judge every film" in said.remedy
    assert found.text == ""


def test_what_is_said_of_the_whole_run_holds_for_each_film_but_for_its_own(proposed):
    """As in what is known of a stock: a film that was judged by itself is not outvoted."""
    found = proposed({WHOLE: Result(density=1), FIRST: Result(density=-1)})
    (said,) = found.suggestions
    assert said.found == "density: film 1 thin, film 2 dense"
    assert found.text == ""


def test_what_is_said_of_the_whole_run_and_of_each_film_alike_is_done(proposed):
    found = proposed(
        {WHOLE: Result(density=-1), FIRST: Result(density=1), SECOND: Result(density=1)}
    )
    assert "develop: 8 min 30 s" in found.text


def test_what_is_seen_of_pieces_counts_but_for_what_they_differ_in(tmp_path):
    """An uneven piece asks for a longer opening of all of the film; pieces nobody judged do not
    hinder it, and one that is even does."""
    with Journal.open(tmp_path) as journal:
        run = played(journal, tmp_path, CUT)
        add_result(journal, run, Result(evenness=-1, density=0), RunPart(piece=2))
        found = propose(journal, run)
        assert "opening: 1 min" in found.text
        for piece, density in ((1, -1), (3, 1)):
            add_result(journal, run, Result(density=density), RunPart(piece=piece))
        assert all("in place of" not in each.found for each in propose(journal, run).suggestions)
        add_result(journal, run, Result(evenness=0), RunPart(piece=3))
        told = [each for each in propose(journal, run).suggestions if "piece 2" in each.found]
        assert told[-1].found == "evenness: piece 2 uneven, piece 3 even"
        assert "comes nearest" in told[-1].remedy
        assert "opening" not in propose(journal, run).text
