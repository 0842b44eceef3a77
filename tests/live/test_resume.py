"""Finding a run that was cut off: where its film is, how sure that is, and who leads it."""

import subprocess
import sys
from contextlib import contextmanager

import pytest

from darktimer.errors import DarktimerError
from darktimer.journal.clocks import Reading
from darktimer.journal.events import Event
from darktimer.journal.journal import Journal
from darktimer.journal.runs import RunStart
from darktimer.live import resume
from darktimer.live.lock import leading
from tests.live.plans import OPEN, REVERSED, timeline
from tests.output.recording import ManualClock

BEGAN = Reading(1_900_000_000_000, 5_000_000, "one-start-of-a-machine")


@pytest.fixture
def journal(tmp_path):
    with Journal.open(tmp_path) as opened:
        yield opened


def begun(journal: Journal, *events: Event, plan: str = OPEN) -> int:
    line = timeline(plan)
    baths = ("",) * len(line.steps)
    start = RunStart("a.yaml", plan, "standard", line, "open", "", baths, None, BEGAN)
    run = journal.begin_run(start)
    for event in events:
        journal.record(run, event)
    return run


def at(monkeypatch, wall_ms: int, boot_ms: int | None = None, start: str = "another") -> None:
    """The clocks now: so long after the run began by the wall, and by the boot clock if it ran."""
    boot = (BEGAN.boot_ms + boot_ms, BEGAN.boot_id) if boot_ms is not None else (1_000, start)
    monkeypatch.setattr(resume, "read_clocks", lambda: Reading(BEGAN.wall_utc_ms + wall_ms, *boot))


def heard(at_ms: int, meaning: str = "move", wall_ms: int | None = None) -> Event:
    wall = BEGAN.wall_utc_ms + (at_ms if wall_ms is None else wall_ms)
    return Event(at_ms, wall, "cue", meaning, 3, at_ms)


def state(at_ms: int, **detail) -> Event:
    kept = {"course": [[0, None, 0]], "gates": [], "held": False, "doubt_ms": 0, **detail}
    return Event(at_ms, BEGAN.wall_utc_ms + at_ms, "gate", "went on", 1, None, kept)


def now_ms(found: resume.CutOff) -> int:
    """The session's moment at the clocks that `at` has set."""
    return resume.read_clocks().boot_ms - found.origin.boot_ms


def cut_off(journal: Journal) -> resume.CutOff:
    return resume.cut_off(journal, journal.unfinished_run())


@pytest.fixture
def nobody_leads(tmp_path, monkeypatch):
    """A home of its own, in which a run that is led on all the same ends at once, as a failure."""

    def led_on(*_):
        raise AssertionError("a run is led on that was not cut off")

    monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path))
    monkeypatch.setattr("darktimer.pages.resuming._led_on", led_on)


@pytest.mark.usefixtures("nobody_leads")
def test_there_may_be_none(run, tmp_path):
    with Journal.open(tmp_path) as journal:
        for words in ((), ("--give-up",)):
            assert "no run was cut off" in str(run("run", "--resume", *words).exception)
            journal.finish_run(begun(journal), "finished", 0)


@pytest.mark.usefixtures("nobody_leads")
def test_a_run_that_ends_just_before_its_lock_is_had_gives_way_to_no_other(
    run, tmp_path, monkeypatch
):
    @contextmanager
    def ends_first(folder, number):
        with Journal.open(folder) as other:
            other.finish_run(number, "finished", 0)
        yield True

    with Journal.open(tmp_path) as journal:
        older, _ = begun(journal), begun(journal)
        monkeypatch.setattr("darktimer.live.lock.leading", ends_first)
        for words in ((), ("--give-up",)):
            assert "no run was cut off" in str(run("run", "--resume", *words).exception)
            begun(journal)
        assert journal.run(older).state == "unfinished"
        assert journal.events(older) == []


def test_after_a_kill_the_beginning_is_the_one_that_was_written_down(journal, monkeypatch):
    """To the millisecond, whenever it is asked for, and whatever the wall clock says."""
    begun(journal, heard(65_000), heard(75_000, "stand"))
    at(monkeypatch, wall_ms=-3_600_000, boot_ms=90_000)
    found = cut_off(journal)
    assert found.origin == BEGAN
    assert (found.last_ms, found.kept["doubt_ms"], found.warning) == (75_000, 0, "")
    assert resume.begin_ns(found.origin, ManualClock(1)) == BEGAN.boot_ms * 1_000_000
    assert found.heard == {("move", 65_000), ("stand", 75_000)}
    assert found.dark


def test_where_no_clock_counts_sleep_the_beginning_is_told_by_the_wall(journal, monkeypatch):
    clock = ManualClock(boot_ns=7_000_000_000, wall_ns=(BEGAN.wall_utc_ms + 5_000) * 1_000_000)
    origin = BEGAN._replace(boot_ms=None)
    assert resume.begin_ns(origin, clock) == 2_000_000_000


def test_the_last_state_counts_not_the_first(journal, monkeypatch):
    begun(
        journal,
        state(0, course=[[0, 21_700, 0]], gates=[21_700], speakers={"rate": 8_000}),
        state(30_000, course=[[0, 21_700, 0], [21_700, None, 8_300]]),
        heard(40_000),
    )
    at(monkeypatch, wall_ms=50_000, boot_ms=50_000)
    found = cut_off(journal)
    assert found.kept["course"] == [[0, 21_700, 0], [21_700, None, 8_300]]
    assert found.kept["gates"] == []
    assert found.begun["speakers"] == {"rate": 8_000}


def test_after_a_power_cut_the_wall_clock_is_likely_and_doubted(journal, monkeypatch):
    begun(journal, heard(65_000))
    at(monkeypatch, wall_ms=125_000)
    found = cut_off(journal)
    assert (now_ms(found), found.kept["doubt_ms"]) == (125_000, 60_000)
    assert "wall clock" in found.warning
    assert "60 s longer" in found.warning


def test_a_run_of_which_nothing_was_written_was_cut_off_at_its_beginning(journal, monkeypatch):
    begun(journal)
    at(monkeypatch, wall_ms=59_999)
    found = cut_off(journal)
    assert (found.last_ms, now_ms(found), found.kept["doubt_ms"]) == (0, 59_999, 59_999)
    assert "59 s longer" in found.warning


def test_of_several_beginnings_the_last_one_counts(journal, monkeypatch):
    """Each time that a run is taken up, its first moment is told by the clocks of that start."""
    origins = (BEGAN._replace(boot_ms=BEGAN.boot_ms + ms) for ms in (1_000, 2_000))
    begun(journal, *(state(10_000 + n, origin=o._asdict()) for n, o in enumerate(origins)))
    at(monkeypatch, wall_ms=50_000, boot_ms=50_000)
    assert cut_off(journal).origin.boot_ms == BEGAN.boot_ms + 2_000


@pytest.mark.parametrize("set_ms", [-7_200_000, 7_200_000])
def test_a_wall_clock_that_was_set_during_the_run_does_not_count_twice(
    journal, monkeypatch, set_ms
):
    """What was written down last has the wall clock of then beside it."""
    begun(journal, heard(65_000, wall_ms=65_000 + set_ms))
    at(monkeypatch, wall_ms=125_000 + set_ms)
    found = cut_off(journal)
    assert (now_ms(found), found.kept["doubt_ms"]) == (125_000, 60_000)


def test_a_wall_clock_that_went_back_is_not_believed(journal, monkeypatch):
    begun(journal, heard(65_000))
    at(monkeypatch, wall_ms=-10_000)
    found = cut_off(journal)
    assert (now_ms(found), found.kept["doubt_ms"]) == (65_000, 0)
    assert "wall clock" in found.warning, "all times may be late, and that is said"


def test_doubt_adds_up(journal, monkeypatch):
    """A power cut, taken up; killed and taken up in the same start of the machine; another cut."""
    run = begun(journal, heard(65_000))
    at(monkeypatch, wall_ms=125_000)
    first = cut_off(journal)
    taken_up = {"doubt_ms": 60_000, "origin": first.origin._asdict()}
    journal.record(run, state(125_500, **taken_up))
    monkeypatch.setattr(
        resume, "read_clocks", lambda: Reading(BEGAN.wall_utc_ms + 9**9, 6_000, "another")
    )
    second = cut_off(journal)
    assert (now_ms(second), second.kept["doubt_ms"], second.warning) == (130_000, 60_000, "")
    at(monkeypatch, wall_ms=155_500, start="a third")
    third = cut_off(journal)
    assert (now_ms(third), third.kept["doubt_ms"]) == (155_500, 90_000)


def test_light_that_was_heard_to_be_safe_is_safe(journal, monkeypatch):
    begun(journal, heard(300_000, "light-safe"))
    at(monkeypatch, wall_ms=310_000)
    found = cut_off(journal)
    assert not found.dark
    assert found.kept["doubt_ms"] == 0
    assert "longer" not in found.warning


@pytest.mark.parametrize(
    ("vessel", "longer"), [("tub, light: open", ""), ("drum, light: closed", "245 s longer")]
)
def test_in_doubt_a_closed_vessel_is_opened_later_for_the_second_exposure(
    journal, monkeypatch, vessel, longer
):
    """In an open one light-safe was heard, by the clock that was sure."""
    begun(journal, heard(65_000, "light-safe"), plan=REVERSED.replace("tub, light: open", vessel))
    at(monkeypatch, wall_ms=310_000)
    warning = cut_off(journal).warning
    assert (longer in warning) if longer else warning.endswith("as much")


def test_in_the_light_the_doubt_is_told_at_once(run, tmp_path, monkeypatch):
    def led_on(*_):
        raise DarktimerError("led on")

    monkeypatch.setattr("darktimer.pages.resuming._led_on", led_on)
    with Journal.open(tmp_path) as journal:
        begun(journal, heard(300_000, "light-safe"))
    at(monkeypatch, wall_ms=310_000)
    assert "Note: the machine was off" in run("run", "--resume").output


@contextmanager
def led_elsewhere(folder, run):
    """While another process leads that run; with its death the lock is free."""
    leads = (
        "import sys, time; from pathlib import Path; from darktimer.live.lock import leading\n"
        "with leading(Path(sys.argv[1]), int(sys.argv[2])) as mine:\n"
        "    print(mine, flush=True); time.sleep(60)"
    )
    words = [sys.executable, "-c", leads, str(folder), str(run)]
    with subprocess.Popen(words, stdout=subprocess.PIPE) as other:
        try:
            assert other.stdout.readline() == b"True\n"
            yield
        finally:
            other.kill()


def test_one_process_alone_leads_a_run(tmp_path):
    with (
        led_elsewhere(tmp_path, 7),
        leading(tmp_path, 7) as mine,
        leading(tmp_path, 8) as another,
    ):
        assert (mine, another) == (False, True)
    with leading(tmp_path, 7) as mine:
        assert mine


@pytest.mark.parametrize("words", [(), ("--give-up",)])
def test_a_run_that_goes_on_cannot_be_taken_up_or_given_up(run, tmp_path, words):
    with Journal.open(tmp_path) as journal:
        number = begun(journal)
        with led_elsewhere(tmp_path, number):
            done = run("run", "--resume", *words)
        assert done.exit_code == 1
        assert "still going on in another process" in " ".join(str(done.exception).split())
        assert journal.run(number).state == "unfinished"
        assert journal.events(number) == []


def test_a_lock_that_cannot_be_had_stops_no_run(tmp_path):
    (tmp_path / "file").touch()
    with leading(tmp_path / "file", 7) as mine:
        assert mine


def test_resume_refuses_what_it_could_not_obey(run):
    for words in (["a.yaml"], ["--gates"], ["--cues", "standard"], ["--start-in", "1 s"]):
        done = run("run", "--resume", *words)
        assert done.exit_code == 2
        assert "leave out" in done.output
    assert run("run", "--give-up").exit_code == 2


def test_only_the_person_gives_a_run_up(run, tmp_path, monkeypatch):
    monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path))
    with Journal.open(tmp_path) as journal:
        number = begun(journal)
    done = run("run", "--resume", "--give-up")
    assert done.exit_code == 0
    assert "run 1 is closed" in done.output
    with Journal.open(tmp_path) as journal:
        assert journal.run(number).state == "aborted"
        assert journal.unfinished_run() is None
