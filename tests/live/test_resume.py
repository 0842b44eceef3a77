"""Finding a run that was cut off: where its film is, how sure that is, and whether it is over."""

import pytest

from darktimer.journal import Event, Journal, Reading, RunStart
from darktimer.live import resume
from tests.live.plans import OPEN, timeline

BEGAN = Reading(1_900_000_000_000, 5_000_000, "one-start-of-a-machine")


@pytest.fixture
def journal(tmp_path):
    with Journal.open(tmp_path) as opened:
        yield opened


def begun(journal: Journal, *events: Event) -> int:
    line = timeline(OPEN)
    baths = ("",) * len(line.steps)
    start = RunStart("a.yaml", OPEN, "standard", line, "open", "", baths, None, BEGAN)
    run = journal.begin_run(start)
    for event in events:
        journal.record(run, event)
    return run


def at(monkeypatch, wall_ms: int, boot_ms: int | None = None) -> None:
    """The clocks now: so long after the run began by the wall, and by the boot clock if it ran."""
    boot = (BEGAN.boot_ms + boot_ms, BEGAN.boot_id) if boot_ms is not None else (1_000, "another")
    monkeypatch.setattr(resume, "read_clocks", lambda: Reading(BEGAN.wall_utc_ms + wall_ms, *boot))


def heard(at_ms: int, meaning: str = "move") -> Event:
    return Event(at_ms, 0, "cue", meaning, 3, at_ms)


def test_there_may_be_none(journal, monkeypatch):
    assert resume.cut_off(journal) is None
    journal.finish_run(begun(journal), "finished", 0)
    assert resume.cut_off(journal) is None


def test_after_a_kill_the_boot_clock_is_sure_whatever_the_wall_clock_says(journal, monkeypatch):
    begun(journal, heard(65_000), heard(75_000, "stand"))
    at(monkeypatch, wall_ms=-3_600_000, boot_ms=90_000)
    found = resume.cut_off(journal)
    assert (found.now_ms, found.silent_from_ms, found.doubt_ms) == (90_000, 75_000, 0)
    assert found.dark
    assert not found.doubt


def test_a_cue_written_down_before_it_is_heard_moves_no_film(journal, monkeypatch):
    begun(journal, heard(90_400))
    at(monkeypatch, wall_ms=90_000, boot_ms=90_000)
    found = resume.cut_off(journal)
    assert (found.now_ms, found.silent_from_ms) == (90_000, 90_000)


def test_after_a_power_cut_the_wall_clock_is_believed_and_doubted(journal, monkeypatch):
    begun(journal, heard(65_000))
    at(monkeypatch, wall_ms=125_000)
    found = resume.cut_off(journal)
    assert (found.now_ms, found.doubt_ms) == (125_000, 60_000)
    assert "wall clock" in found.doubt


def test_a_wall_clock_that_went_back_is_not_believed(journal, monkeypatch):
    begun(journal, heard(65_000))
    at(monkeypatch, wall_ms=-10_000)
    assert resume.cut_off(journal).now_ms == 65_000


def test_light_that_was_safe_is_safe(journal, monkeypatch):
    begun(journal, heard(300_000, "light-safe"))
    at(monkeypatch, wall_ms=310_000, boot_ms=310_000)
    assert not resume.cut_off(journal).dark


def test_a_plan_that_ended_is_over_and_one_that_waits_is_not(journal, monkeypatch):
    run = begun(journal)
    at(monkeypatch, wall_ms=10**7, boot_ms=10**7)
    assert resume.cut_off(journal).over_ms == 10**7 - timeline(OPEN).duration_ms
    waits = {"course": [[0, 21_700, 0]], "gates": [21_700], "held": False}
    journal.record(run, Event(0, 0, "note", "begun", detail=waits))
    found = resume.cut_off(journal)
    assert found.over_ms < 0
    assert found.kept == found.begun == waits
