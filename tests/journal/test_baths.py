"""Baths used again: what runs add to them, and when they are thrown out."""

from datetime import timedelta

import pytest

from darktimer.bench.film import load
from darktimer.journal.baths import (
    DAY_MS,
    BathNote,
    KeptBath,
    all_baths,
    bath_named,
    begin_bath,
    discard,
    note_clearing,
    note_use,
)
from darktimer.journal.journal import Journal
from darktimer.journal.refusal import JournalError
from darktimer.plan.formats import ROLL_M2
from tests.journal.samples import STARTED, cue, run_start

BORN = STARTED.wall_utc_ms


@pytest.fixture
def journal(tmp_path):
    with Journal.open(tmp_path) as opened:
        begin_bath(opened, "plain fixer", 1000.0, BORN, 90 * DAY_MS, 0.2)
        yield opened


def _run(journal, tmp_path, steps, area_m2=0.05):
    run = journal.begin_run(run_start(tmp_path, area_m2=area_m2))
    for step in steps:
        journal.record(run, cue(step)._replace(kind="step-begun", meaning="", step=step))
    return run


def test_a_run_adds_its_film_once_to_the_bath_its_plan_names(journal, tmp_path):
    run = _run(journal, tmp_path, range(5))
    journal.finish_run(run)
    journal.finish_run(run)
    bath = bath_named(journal, "plain fixer")
    assert [note.run for note in bath.notes] == [run]
    assert bath.left_m2 == pytest.approx(0.15)


def test_a_run_that_never_came_to_the_bath_adds_nothing(journal, tmp_path):
    journal.finish_run(_run(journal, tmp_path, range(3)), "aborted", 1)
    assert bath_named(journal, "plain fixer").notes == ()


def test_film_of_unknown_area_is_a_doubt(journal, tmp_path):
    journal.finish_run(_run(journal, tmp_path, range(5), area_m2=None))
    bath = bath_named(journal, "plain fixer")
    assert (bath.used_m2, bath.unknown()) == (0, ["1 x film of unknown area went through"])


def test_a_bath_is_spent_old_or_slow(journal):
    assert bath_named(journal, "plain fixer").reasons_to_discard(BORN) == []
    note_use(journal, "plain fixer", 0.21)
    note_clearing(journal, "plain fixer", 60_000)
    note_clearing(journal, "plain fixer", 119_000)
    bath = bath_named(journal, "plain fixer")
    assert bath.left_m2 == 0.0
    assert len(bath.reasons_to_discard(BORN)) == 1
    assert len(bath.reasons_to_discard(BORN + 91 * DAY_MS)) == 2
    # "Throw the bath out when the clearing time has doubled": Navy training manual 14209.
    bath = note_clearing(journal, "plain fixer", 120_000)
    assert "from 1:00 to 2:00" in bath.reasons_to_discard(BORN)[-1]


def test_a_shorter_clearing_time_lifts_no_discard(journal):
    for minutes in (1, 2, 1):
        bath = note_clearing(journal, "plain fixer", 60_000 * minutes)
    assert bath.clearing_ms[-1] == 60_000
    assert "doubled, from 1:00 to 2:00" in bath.reasons_to_discard(BORN)[-1]


def test_one_slow_clearing_time_alone_is_no_doubling(journal):
    assert note_clearing(journal, "plain fixer", 600_000).reasons_to_discard(BORN) == []


@pytest.mark.parametrize("rolls", [1, 3, 7, 12, 20, 33])
def test_so_many_rolls_use_up_a_bath_for_so_many(journal, rolls):
    """T: the trade's roll is one 135-36."""
    begin_bath(journal, "strong fixer", 1000.0, BORN, capacity_m2=rolls * ROLL_M2)
    for each in range(rolls):
        assert bath_named(journal, "strong fixer").reasons_to_discard(BORN) == []
        bath = note_use(journal, "strong fixer", load("135-36").area_m2)
        assert bath.left_m2 == pytest.approx((rolls - each - 1) * ROLL_M2, abs=1e-6)
    assert bath.left_m2 == 0
    assert "used up" in bath.reasons_to_discard(BORN)[0]


@pytest.mark.parametrize("parts", range(2, 60))
def test_a_roll_in_parts_uses_up_a_bath_for_one(parts):
    notes = tuple(BathNote(BORN, None, ROLL_M2 / parts, None) for _ in range(parts))
    bath = KeptBath(1, "", "fixer", 1000.0, BORN, None, ROLL_M2, None, notes)
    assert bath.left_m2 == 0
    assert "used up" in bath.reasons_to_discard(BORN)[0]


def test_a_name_is_free_again_once_the_bath_is_discarded(journal, tmp_path):
    with pytest.raises(JournalError, match="in use already"):
        begin_bath(journal, "plain  fixer", 500.0, BORN)
    discard(journal, "plain fixer")
    with pytest.raises(JournalError, match="no bath"):
        note_use(journal, "plain fixer", 0.1)
    begin_bath(journal, "plain fixer", 500.0, BORN + 1)
    journal.finish_run(_run(journal, tmp_path, range(5)))
    old, new = all_baths(journal, discarded=True)
    assert (len(old.notes), len(new.notes)) == (0, 1)
    assert [bath.number for bath in all_baths(journal)] == [new.number]


def test_a_bath_needs_a_name(journal):
    with pytest.raises(JournalError, match="no name"):
        begin_bath(journal, "  ", 1.0, BORN)


def test_a_bath_that_is_not_there_is_told_with_the_remedy(journal, tmp_path):
    with pytest.raises(JournalError, match=r"no bath 'stop' is in use; in use: .*'plain fixer'"):
        bath_named(journal, "stop")
    with Journal.open(tmp_path / "new") as empty, pytest.raises(JournalError, match="baths begin"):
        bath_named(empty, "stop")


def test_a_bath_is_old_once_it_has_been_kept_longer_than_it_keeps(journal):
    bath = bath_named(journal, "plain fixer")
    after = lambda days: BORN + timedelta(days=days) // timedelta(milliseconds=1)  # noqa: E731
    assert bath.reasons_to_discard(after(90)) == []
    assert bath.reasons_to_discard(after(90) + 1) == ["it is 90 days old and keeps 90"]
    assert bath.reasons_to_discard(after(92) - 1) == ["it is 91 days old and keeps 90"]
    assert bath.reasons_to_discard(after(92)) == ["it is 92 days old and keeps 90"]


def test_less_than_half_a_square_millimetre_is_nothing():
    for left, wanted in ((0.6e-6, 1e-6), (0.4e-6, 0), (-1.0, 0)):
        notes = (BathNote(BORN, None, 0.1 - left, None),)
        assert KeptBath(1, "", "fixer", 1000.0, BORN, None, 0.1, None, notes).left_m2 == wanted


def test_what_is_not_known_of_a_bath_speaks_neither_for_nor_against_it():
    notes = (BathNote(BORN, 1, None, None), BathNote(BORN, 2, None, None),
             BathNote(BORN, None, None, 60_000), BathNote(BORN, None, 0.1, None))  # fmt: skip
    bath = KeptBath(1, "", "fixer", 1000.0, BORN, None, None, None, notes)
    assert (bath.left_m2, bath.reasons_to_discard(BORN + 10_000 * DAY_MS)) == (None, [])
    assert bath.unknown() == ["2 x film of unknown area went through"]
    assert bath._replace(notes=notes[2:]).unknown() == []


def test_baths_stand_in_order_of_their_birth_each_with_its_notes(journal):
    begin_bath(journal, "older", 500.0, BORN - 1)
    for name, clearing_ms in (("older", 5), ("plain fixer", 6), ("older", 7)):
        note_clearing(journal, name, clearing_ms)
    assert [(bath.name, bath.clearing_ms) for bath in all_baths(journal)] == [
        ("older", (5, 7)), ("plain fixer", (6,)),
    ]  # fmt: skip


@pytest.mark.parametrize("step", [None, -1, 6])
def test_an_event_of_no_step_uses_no_bath(journal, tmp_path, step):
    start = run_start(tmp_path)
    run = journal.begin_run(start._replace(baths=(*start.baths[:-1], "plain fixer")))
    journal.record(run, cue(0)._replace(kind="step-begun", meaning="", step=step))
    journal.finish_run(run)
    assert bath_named(journal, "plain fixer").notes == ()


def test_the_first_and_the_last_step_use_their_baths(journal, tmp_path):
    begin_bath(journal, "first", 500.0, BORN)
    start = run_start(tmp_path)
    run = journal.begin_run(start._replace(baths=("First", *start.baths[1:-1], "plain fixer")))
    for step in (0, 5):
        journal.record(run, cue(0)._replace(kind="step-begun", meaning="", step=step))
    journal.finish_run(run)
    assert [len(bath.notes) for bath in all_baths(journal)] == [1, 1]
