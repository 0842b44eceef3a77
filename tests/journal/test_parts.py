"""What a run was of, and results of its parts."""

import pytest

from darktimer.journal.films import Development, RunFilm
from darktimer.journal.journal import Journal
from darktimer.journal.limits import check_columns, check_result
from darktimer.journal.results import (
    WHOLE,
    Result,
    RunPart,
    add_result,
    result_of,
    result_row,
    results_of,
)
from darktimer.journal.schema import columns
from tests.journal.samples import PLAN, run_start

TWO_DEVELOPS = PLAN.replace(
    "  - fix: 8 min",
    "  - develop: 3 min\n    bath: soda\n    repeat: 2\n    agitation: none\n  - fix: 8 min",
)


@pytest.fixture
def journal(tmp_path):
    with Journal.open(tmp_path) as opened:
        yield opened


def test_a_run_begins_with_its_film_and_its_developments(journal, tmp_path):
    run = journal.run(journal.begin_run(run_start(tmp_path, TWO_DEVELOPS)))
    assert run.films == (RunFilm(format="135-36", words="135-36", area_m2=0.0516128),)
    assert run.pieces == ()
    assert run.developments == (
        Development("nettle developer", 600_000, "half agitation", 20.0),
        Development("soda", 180_000, "no agitation", 20.0),
        Development("soda", 180_000, "no agitation", 20.0),
    )


def test_each_of_two_films_is_kept(journal, tmp_path):
    films = """films:
  - {format: 135-36, stock: meadow 100, exposed at: 24°}
  - {format: 120, count: 2, note: the fair}"""
    start = run_start(tmp_path, PLAN.replace("film: {format: 135-36, count: 1}", films), 0.15)
    run = journal.run(journal.begin_run(start))
    assert (run.film, run.film_area_m2) == ("135-36 and 2 x 120", 0.15)
    assert run.films == (
        RunFilm("meadow 100", "200/24°", "", "135-36", "135-36", 0.0516128),
        RunFilm("", "", "the fair", "120", "2 x 120", 0.10004),
    )


def test_a_time_that_was_made_to_fit_its_bath_is_the_one_carried_out(journal, tmp_path):
    """10 min at 20 C with 60 kJ/mol are 8:28 at 22 C: 600 exp(-60000 / R (1/293.15 - 1/295.15))
    is 507.6 s, by the rule and the constants of `tests/outside/test_bench_time.py`."""
    warm = PLAN.replace("temperature: 20 C", "temperature: 22 C")
    warm = warm.replace("    bath: nettle", "    time is for: 20 C\n    adjust: for temperature\n"
                        "    bath: nettle")  # fmt: skip
    run = journal.run(journal.begin_run(run_start(tmp_path, warm)))
    assert run.developments == (Development("nettle developer", 508_000, "half agitation", 22.0),)


@pytest.mark.parametrize(
    ("written", "words"),
    [
        ("continuous", "continuous agitation"),
        ("stand", "stand"),
        ("none", "no agitation"),
        ("50 %", "half agitation"),
        ("1/3", "1/3 agitation"),
        ("{share: 1/2, cycle: 2 min}", "half agitation in cycles of 2:00"),
        ("{inversions: 2, within: 5 s, every: 1 min}", "2 inversions in 0:05 every 1:00"),
        ("{inversions: 2, at: [1 min, 4 min]}", "2 inversions in 0:10 at 1:00, 4:00"),
        ("{reverse every: 30 s}", "rotation, reversed every 0:30"),
    ],
)
def test_ways_of_agitation_in_words(tmp_path, written, words):
    start = run_start(tmp_path, PLAN.replace("agitation: 1/2", f"agitation: {written}"))
    assert start.developments[0].agitation == words


def test_what_is_said_of_a_part_is_not_said_of_the_whole(journal, tmp_path):
    journal.begin_run(run_start(tmp_path))
    add_result(journal, 1, Result(density=1, notes="of all"))
    add_result(journal, 1, Result(density=-2), RunPart(film=2))
    add_result(journal, 1, Result(contrast=1, densities="[0.1]"), RunPart(piece=2))
    add_result(journal, 1, Result(density=-1, kept=1), RunPart(film=2))
    add_result(journal, 1, Result(kept=0), RunPart(film=2))
    assert result_of(journal, 1) == Result(density=1, notes="of all")
    assert results_of(journal, 1, 1)[1] == {
        WHOLE: Result(density=1, notes="of all"),
        RunPart(film=2): Result(density=-1, kept=0),
        RunPart(piece=2): Result(contrast=1, densities="[0.1]"),
    }


@pytest.mark.parametrize(
    ("part", "result", "says"),
    [
        (RunPart(film=0), Result(density=1), "film is 0, and should be from 1"),
        (RunPart(piece=1001), Result(density=1), "piece is 1001"),
        (WHOLE, Result(kept=2), "kept is 2, and should be from 0 to 1"),
        (WHOLE, Result(densities="[0.1"), "delimiter"),
    ],
)
def test_a_result_from_elsewhere_has_parts_that_there_can_be(part, result, says):
    row = {"number": 1, **result_row(1, result, 0, part)}
    with pytest.raises(ValueError, match=says):
        check_row(row)


def check_row(row):
    check_columns(columns(6)["results"], row)
    check_result(row)
