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


def test_what_is_said_of_the_whole_run_goes_before_its_films(proposed):
    found = proposed({WHOLE: Result(density=1), FIRST: Result(density=-1)})
    assert "develop: 8 min 30 s" in found.text
    assert all("film 1" not in each.found for each in found.suggestions)
