"""Runs and events: what is written down is what is read back, by whoever asks."""

import json
import threading
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from darktimer.journal.clocks import Reading, elapsed, local_text, read_clocks, utc_ms, utc_text
from darktimer.journal.events import Event
from darktimer.journal.folder import home, journal_is_begun
from darktimer.journal.journal import Journal
from darktimer.journal.refusal import JournalError
from darktimer.journal.runs import timeline_of
from tests.journal.samples import PLAN, STARTED, cue, run_start


def test_a_run_is_read_back_as_it_was_begun(tmp_path):
    start = run_start(tmp_path)
    with Journal.open(tmp_path) as journal:
        number = journal.begin_run(start)
    with Journal.open(tmp_path) as journal:
        run = journal.run(number)
        assert (run.title, run.film, run.light, run.state) == (
            "Invented for tests", "135-36", "open", "unfinished",
        )  # fmt: skip
        assert run.started == STARTED
        assert journal.plan_text(number) == PLAN
        assert journal.timeline(number) == start.timeline


def test_each_step_of_the_timeline_has_its_bath(tmp_path):
    start = run_start(tmp_path)
    named = dict(zip((step.kind for step in start.timeline.steps), start.baths, strict=True))
    assert named["develop"] == "nettle developer"
    assert named["fix"] == "plain fixer"
    assert named["wash"] == "water"
    assert named["load"] == named["done"] == ""


def test_baths_keep_their_steps_whatever_the_lead_in(tmp_path):
    from darktimer.journal.start import about_to_start
    from darktimer.plan.reader import read_plan_file
    from darktimer.process.compiler import compile_plan
    from tests.journal.samples import write_plan

    file = read_plan_file(write_plan(tmp_path))
    for lead_ms in (0, 5_000, 300_000):
        timeline = compile_plan(file.plan, lambda _: 500, lead_ms)
        start = about_to_start(file, "standard", timeline)
        kinds = [s.kind for s, bath in zip(timeline.steps, start.baths, strict=True) if bath]
        assert kinds == ["develop", "fix", "wash"]


json_details = some.dictionaries(
    some.text(some.characters(codec="utf-8"), max_size=8),
    some.none() | some.booleans() | some.integers(-(2**60), 2**60) | some.floats(allow_nan=False)
    | some.text(some.characters(codec="utf-8"), max_size=20),
    max_size=4,
).filter(lambda detail: not any(abs(v) == float("inf") for v in detail.values()
                                if isinstance(v, float)))  # fmt: skip
written = some.builds(
    Event,
    some.integers(0, 10**9),
    some.integers(0, 4 * 10**12),
    some.sampled_from(["cue", "key", "fault", "note"]),
    some.text(some.characters(codec="utf-8"), max_size=12),
    some.none() | some.integers(0, 99),
    some.none() | some.integers(0, 10**9),
    json_details,
)


@settings(max_examples=30, deadline=None)
@given(some.lists(written, max_size=6))
def test_events_are_read_back_in_order(tmp_path_factory, events):
    folder = tmp_path_factory.mktemp("journal")
    with Journal.open(folder) as journal:
        run = journal.begin_run(run_start(folder))
        for event in events:
            journal.record(run, event)
        assert journal.events(run) == events


def test_what_was_begun_last_and_has_not_ended_is_taken_up_again(tmp_path):
    """A clock whose battery is empty begins anew in 1970: it says nothing of what was last."""
    start = run_start(tmp_path)
    by_such_a_clock = start._replace(started=STARTED._replace(wall_utc_ms=60_000))
    with Journal.open(tmp_path) as journal:
        assert journal.unfinished_run() is None
        first, second = journal.begin_run(start), journal.begin_run(by_such_a_clock)
        assert journal.unfinished_run().number == second
        journal.finish_run(second, "aborted", 3)
        assert journal.unfinished_run().number == first
        journal.finish_run(first)
        assert journal.unfinished_run() is None
        assert (journal.run(second).state, journal.run(second).exit) == ("aborted", 3)
        assert (journal.run(first).state, journal.run(first).exit) == ("finished", 0)


def test_the_same_plan_is_kept_once(tmp_path):
    with Journal.open(tmp_path) as journal:
        for _ in range(3):
            journal.begin_run(run_start(tmp_path))
        assert journal.store.read("SELECT count(*) FROM texts") == [(2,)]


def test_a_run_that_is_not_there_is_named(tmp_path):
    with Journal.open(tmp_path) as journal:
        for ask in (journal.run, journal.plan_text, journal.timeline):
            with pytest.raises(JournalError, match="run 7: there is none"):
                ask(7)


@pytest.mark.parametrize(
    "event",
    [
        cue(0)._replace(detail={"level": float("nan")}),
        cue(0)._replace(meaning="\udcff"),  # a file name that is not UTF-8
        cue(0)._replace(at_ms=2**70),
        cue(0)._replace(at_ms=None),
    ],
)
def test_what_cannot_be_kept_is_one_kind_of_error(tmp_path, event):
    with Journal.open(tmp_path) as journal:
        run = journal.begin_run(run_start(tmp_path))
        with pytest.raises(JournalError):
            journal.record(run, event)
        journal.record(run, cue(1))
        assert journal.events(run) == [cue(1)]


def test_an_event_of_no_run_and_a_closed_journal_are_errors_of_the_journal(tmp_path):
    journal = Journal.open(tmp_path)
    with pytest.raises(JournalError):
        journal.record(5, cue(0))
    journal.close()
    journal.close()
    with pytest.raises(JournalError):
        journal.unfinished_run()


def test_threads_share_a_journal(tmp_path):
    with Journal.open(tmp_path) as journal:
        run = journal.begin_run(run_start(tmp_path))

        def write(first):
            for at_ms in range(first, first + 20):
                journal.record(run, cue(at_ms))

        threads = [threading.Thread(target=write, args=(100 * n,)) for n in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        wanted = sorted(100 * n + k for n in range(4) for k in range(20))
        assert sorted(event.at_ms for event in journal.events(run)) == wanted


def test_the_folder_is_the_users_own_unless_it_is_named(tmp_path, monkeypatch):
    from platformdirs import user_data_path

    monkeypatch.delenv("DARKTIMER_HOME", raising=False)
    assert home() == user_data_path("darktimer", appauthor=False)
    monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path / "here"))
    with Journal.open() as journal:
        assert journal.store.path == tmp_path / "here" / "journal.sqlite3"
        assert journal.store.path.exists()


def test_who_only_looks_finds_a_journal_where_there_is_one(tmp_path, monkeypatch):
    for home_is, begun in (("none yet", False), ("file/none", False), ("here", True)):
        monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path / home_is))
        (tmp_path / "file").touch()
        if begun:
            Journal.open().close()
        assert journal_is_begun() == begun
    monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path / ("a" * 300)))
    with pytest.raises(JournalError, match="name too long; name another folder"):
        journal_is_begun()


def test_a_detail_is_kept_as_people_write_it(tmp_path):
    with Journal.open(tmp_path) as journal:
        run = journal.begin_run(run_start(tmp_path))
        journal.record(run, cue(0)._replace(detail={"found": "größer", "path": tmp_path}))
        kept = journal.store.read("SELECT detail FROM events")
    assert kept == [(f'{{"found":"größer","path":"{tmp_path}"}}',)]


def test_a_home_in_quotes_is_the_users(tmp_path, monkeypatch):
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("DARKTIMER_HOME", "~/in quotes")
    assert home() == tmp_path / "in quotes"


def test_time_gone_is_by_the_boot_clock_within_one_start_of_the_machine():
    set_back = Reading(STARTED.wall_utc_ms - 3_600_000, STARTED.boot_ms + 90_000, STARTED.boot_id)
    assert elapsed(STARTED, set_back) == (90_000, "boot")
    restarted = Reading(STARTED.wall_utc_ms + 120_000, 8_000, "another-start")
    assert elapsed(STARTED, restarted) == (120_000, "wall")
    unknown = Reading(STARTED.wall_utc_ms + 120_000, None, "")
    assert elapsed(unknown._replace(wall_utc_ms=STARTED.wall_utc_ms), unknown) == (120_000, "wall")
    assert abs(elapsed(read_clocks(), read_clocks()).ms) < 1_000


@given(some.integers(0, 253_402_300_799_999))
def test_moments_are_written_as_iso_8601_and_read_back(moment):
    assert utc_ms(utc_text(moment)) == moment


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="this system cannot change its time zone")
def test_people_are_told_the_day_they_lived(monkeypatch):
    try:
        with monkeypatch.context() as changed:
            changed.setenv("TZ", "XXX-12")  # twelve hours ahead of UTC
            time.tzset()
            assert local_text(utc_ms("2031-05-04T20:15:00.250Z")) == "2031-05-05 08:15"
    finally:
        time.tzset()


def test_a_step_kept_under_a_kinds_former_name_has_its_present_one():
    step = {"name": "Clear", "kind": "clear", "start_ms": 0, "end_ms": 9, "dark": False}
    kept = {"title": "Old", "duration_ms": 9, "steps": [step], "spans": [], "cues": [], "notes": []}
    (read,) = timeline_of(json.dumps(kept)).steps
    assert (read.name, read.kind) == ("Clear", "wash aid")
