"""The journal among other processes: real ones, that open, write, damage and replace its file."""

import os
import shutil
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

from darktimer.journal.events import Event
from darktimer.journal.folder import FILE_NAME
from darktimer.journal.journal import Journal
from darktimer.journal.refusal import JournalError
from darktimer.live.journal_writer import JournalWriter
from darktimer.live.resume import cut_off
from tests.journal.samples import cue, run_start

PROJECT = Path(__file__).parents[2]
NEIGHBOUR = Path(__file__).with_name("neighbour.py")
VERSION_2 = Path(__file__).with_name("version_2.sql").read_text("utf-8")


class Neighbour:
    """Another process, which is asked and answers later."""

    def __init__(self, **environment: str) -> None:
        self._process = subprocess.Popen(
            [sys.executable, NEIGHBOUR],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            env={**os.environ, "PYTHONPATH": str(PROJECT), **environment},
        )
        assert self.answer() == "ready"

    def ask(self, *words: object) -> None:
        self._process.stdin.write(" ".join(map(str, words)) + "\n")
        self._process.stdin.flush()

    def answer(self) -> str:
        return self._process.stdout.readline().strip()

    def end(self) -> None:
        self._process.stdin.close()
        self._process.wait(10)
        self._process.stdout.close()


@pytest.fixture
def neighbours():
    """Two of them."""
    both = Neighbour(), Neighbour()
    yield both
    for each in both:
        each.end()


def both_do(neighbours, *words):
    for each in neighbours:
        each.ask(*words)
    return [each.answer() for each in neighbours]


def at_once() -> float:
    """A moment for which both are surely ready."""
    return time.time() + 0.03


def aside(folder, end=""):
    return sorted(folder.glob(f"journal-damaged-*.sqlite3{end}"))


def runs_in(folder):
    with Journal.open(folder) as journal:
        return [run.number for run in journal.runs("ORDER BY number")]


def test_two_that_open_a_damaged_file_at_once_set_it_aside_once(tmp_path, neighbours):
    for turn in range(8):
        folder = tmp_path / str(turn)
        with Journal.open(folder) as journal:
            journal.begin_run(run_start(tmp_path))
        path = folder / FILE_NAME
        path.write_bytes(b"no journal".ljust(4096, b"!") + path.read_bytes()[4096:])
        damaged = path.read_bytes()
        told = both_do(neighbours, "open", folder, at_once())
        assert sorted(told) == ["0", "1"]
        assert [kept.read_bytes() for kept in aside(folder)] == [damaged]
        assert runs_in(folder) == [1, 2]


def test_two_that_open_an_earlier_journal_at_once_bring_it_up_to_date_once(tmp_path, neighbours):
    for turn in range(4):
        folder = tmp_path / str(turn)
        folder.mkdir()
        with sqlite3.connect(folder / FILE_NAME) as connection:
            connection.executescript(VERSION_2)
        connection.close()
        assert sorted(both_do(neighbours, "open", folder, at_once())) == ["0", "1"]
        assert len(list(folder.glob("journal-before-version-*"))) == 1
        assert runs_in(folder) == [1, 2, 3]


def test_two_that_make_a_journal_at_once_make_one(tmp_path, neighbours):
    for turn in range(4):
        assert both_do(neighbours, "open", tmp_path / str(turn), at_once()) == ["0", "0"]
        assert runs_in(tmp_path / str(turn)) == [1, 2]


def test_who_has_the_file_open_goes_on_in_the_new_one(tmp_path, neighbours):
    with Journal.open(tmp_path) as journal:
        run = journal.begin_run(run_start(tmp_path))
    holder, other = neighbours
    holder.ask("hold", tmp_path)
    assert holder.answer() == str(run)
    holder.ask("record", run, 1)
    assert holder.answer() == "kept"
    path = tmp_path / FILE_NAME
    path.write_bytes(b"no journal at all".ljust(path.stat().st_size, b"!"))
    other.ask("open", tmp_path, 0)
    assert other.answer() == "1"
    holder.ask("record", run, 2)
    assert holder.answer() == "kept"
    with Journal.open(tmp_path) as journal:
        kept = {event.at_ms for each in journal.runs("") for event in journal.events(each.number)}
        assert 2 in kept
        assert len(journal.runs("WHERE state = 'unfinished'")) == 2


def test_two_that_write_on_and_on_both_get_their_turn(tmp_path, neighbours):
    with Journal.open(tmp_path) as journal:
        journal.begin_run(run_start(tmp_path))
    kept = both_do(neighbours, "write", tmp_path, 2.5)
    assert all(count.isdecimal() and int(count) > 20 for count in kept), kept
    with Journal.open(tmp_path) as journal:
        assert len(journal.events(1)) == sum(map(int, kept))


def _left_by_a_kill(folder, events=3):
    """A journal whose commits are still in its log, as a kill leaves it; returns its folder."""
    with Journal.open(folder / "own") as journal:
        run = journal.begin_run(run_start(folder))
        for at_ms in range(events):
            journal.record(run, cue(at_ms))
        left = folder / "left"
        shutil.copytree(journal.store.path.parent, left)
    return left


@pytest.mark.parametrize("how", ["gone", "empty"])
def test_a_log_without_its_file_is_set_aside_and_read(tmp_path, how):
    left = _left_by_a_kill(tmp_path)
    log = (left / f"{FILE_NAME}-wal").read_bytes()
    assert log
    (left / FILE_NAME).unlink()
    if how == "empty":
        (left / FILE_NAME).touch()
    with Journal.open(left) as journal:
        assert f"this journal was {how}" in journal.notices[0]
        assert [event.at_ms for event in journal.events(1)] == [0, 1, 2]
    assert [kept.read_bytes() for kept in aside(left, "-wal")] == [log]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "was empty"),
        (b"S", "was cut short"),
        (b"S" * 511, "was cut short"),
        (b"S" * 512, "was damaged"),
    ],
)
def test_a_file_of_no_length_is_told_of(tmp_path, content, says):
    (tmp_path / FILE_NAME).write_bytes(content)
    with Journal.open(tmp_path) as journal:
        assert says in journal.notices[0]
    assert [kept.read_bytes() for kept in aside(tmp_path)] == [content]


def test_a_file_that_is_deleted_while_it_is_in_use_costs_no_event(tmp_path):
    """Its log is still there, and is read into the new one."""
    with Journal.open(tmp_path) as journal:
        run = journal.begin_run(run_start(tmp_path))
        journal.record(run, cue(1))
        (tmp_path / FILE_NAME).unlink()
        journal.record(run, cue(2))
        assert journal.events(run) == [cue(1), cue(2)]
        assert "was gone, but not its log" in journal.notices[0]


def test_a_new_file_is_whole_when_it_gets_its_name(tmp_path):
    (tmp_path / f"{FILE_NAME}.part").write_bytes(b"left by a kill")
    with Journal.open(tmp_path) as journal:
        assert not journal.notices
    assert {path.name for path in tmp_path.iterdir()} == {FILE_NAME, "journal.lock"}


def test_a_new_start_that_was_cut_off_is_made_again(tmp_path):
    left = _left_by_a_kill(tmp_path)
    for end in ("", "-wal"):
        (left / f"{FILE_NAME}{end}").rename(left / f"journal-damaged-20310504T201500Z.sqlite3{end}")
    (left / f"{FILE_NAME}.part").touch()
    with Journal.open(left) as journal:
        assert len(journal.events(1)) == 3


@pytest.mark.parametrize("readable", [True, False])
def test_a_run_that_was_taken_up_is_kept_on_in_a_new_file(tmp_path, readable):
    left = _left_by_a_kill(tmp_path)
    with Journal.open(left) as journal:
        run = journal.unfinished_run()
        journal.store.read("PRAGMA wal_checkpoint(TRUNCATE)")
        journal.store.read("PRAGMA cache_size = 0")
        path = journal.store.path
        spoiled = bytearray(path.read_bytes())
        spoiled[100:4096] = b"\0" * 3996  # the tables' definitions
        if not readable:
            spoiled[:] = b"\0" * len(spoiled)
        path.write_bytes(spoiled)
        with Journal.open(left) as other:  # another process finds it first, and begins a run of it
            other.begin_run(run_start(tmp_path))
        journal.record(run.number, cue(100))
        journal.finish_run(run.number)
        (kept,) = journal.runs("WHERE state = 'finished'")
        assert (kept.key, kept.title, kept.baths) == (run.key, run.title, run.baths)
        assert journal.timeline(kept.number).steps
        assert journal.plan_text(kept.number)
        assert [e.at_ms for e in journal.events(kept.number)][-1] == 100


@pytest.mark.parametrize(
    "event",
    [
        cue(0)._replace(detail={"level": float("nan")}),
        cue(0)._replace(meaning="\udcff"),
        cue(0)._replace(at_ms=2**70),
        cue(0)._replace(at_ms=None),
    ],
)
def test_what_can_never_be_written_says_so(tmp_path, event):
    with Journal.open(tmp_path) as journal:
        run = journal.begin_run(run_start(tmp_path))
        with pytest.raises(JournalError) as caught:
            journal.record(run, cue(1), event)
        assert caught.value.cause == "unwritable"
        assert journal.events(run) == []


def test_what_can_never_be_written_holds_up_nothing(tmp_path):
    journal = Journal.open(tmp_path)
    run = journal.begin_run(run_start(tmp_path))
    writer = JournalWriter(journal, run)
    for event in (cue(1), cue(2)._replace(detail={"level": float("nan")}), cue(3)):
        writer.write(event)
    writer.finish(aborted=False, exit_status=0)
    kept = journal.events(run)
    journal.close()
    assert [event.at_ms for event in kept if event.kind == "cue"] == [1, 3]
    assert len(writer.troubles) == 1


def test_several_events_are_one_commit(tmp_path):
    with Journal.open(tmp_path) as journal:
        run = journal.begin_run(run_start(tmp_path))
        journal.record(run, cue(1), cue(2), Event(3, 3, "note"))
        assert journal.events(run) == [cue(1), cue(2), Event(3, 3, "note")]


def test_every_commit_is_to_be_on_the_disk(tmp_path):
    with Journal.open(tmp_path) as journal:
        asked = {
            name: journal.store.read(f"PRAGMA {name}")[0][0]
            for name in ("synchronous", "journal_mode", "fullfsync", "foreign_keys")
        }
    assert asked == {"synchronous": 2, "journal_mode": "wal", "fullfsync": 1, "foreign_keys": 1}


COUNTING = """
#define _GNU_SOURCE
#include <stdio.h>
#include <stdlib.h>
#include <sys/syscall.h>
#include <unistd.h>
static int syncs;
int fsync(int file) { syncs++; return syscall(SYS_fsync, file); }
int fdatasync(int file) { syncs++; return syscall(SYS_fdatasync, file); }
__attribute__((destructor)) static void tell(void) {
    FILE *told = fopen(getenv("SYNCS_TOLD"), "w");
    if (told) { fprintf(told, "%d", syncs); fclose(told); }
}
"""


@pytest.mark.skipif(
    sys.platform != "linux" or not shutil.which("cc"), reason="nothing to count syncs with"
)
def test_every_commit_is_synced(tmp_path):
    (tmp_path / "counting.c").write_text(COUNTING)
    library = tmp_path / "counting.so"
    subprocess.run(["cc", "-shared", "-fPIC", "-o", library, tmp_path / "counting.c"], check=True)
    with Journal.open(tmp_path) as journal:
        run = journal.begin_run(run_start(tmp_path))
    counted = []
    for commits in (5, 45):
        told = tmp_path / f"told-{commits}"
        neighbour = Neighbour(LD_PRELOAD=str(library), SYNCS_TOLD=str(told))
        neighbour.ask("hold", tmp_path)
        assert neighbour.answer() == str(run)
        for at_ms in range(commits):
            neighbour.ask("record", run, at_ms)
            assert neighbour.answer() == "kept"
        neighbour.end()
        counted.append(int(told.read_text()))
    assert counted[1] - counted[0] >= 40


def _fill(disk):
    """Takes all the room there is; returns the file that takes it."""
    filler = disk / "filler"
    with filler.open("wb", buffering=0) as file:
        try:
            while True:
                file.write(b"x" * 1024)
        except OSError:
            pass
    return filler


def test_on_a_full_disk_what_is_there_is_read_and_a_run_is_taken_up(disk, tmp_path):
    left = _left_by_a_kill(tmp_path)
    for end in ("", "-wal"):
        shutil.copy(left / f"{FILE_NAME}{end}", disk)
    filler = _fill(disk)
    with Journal.open(disk) as journal:
        left_open = journal.unfinished_run()
        run = left_open.number
        assert [event.at_ms for event in journal.events(run)] == [0, 1, 2]
        assert cut_off(journal, left_open).run.number == run
        large = cue(3)._replace(detail={"padding": "x" * 200_000})
        with pytest.raises(JournalError, match="the disk is full") as caught:
            journal.record(run, large)
        assert caught.value.cause == "full"
        filler.unlink()
        journal.record(run, cue(200))
        assert journal.events(run)[-1] == cue(200)
        assert not journal.notices
    assert runs_in(disk) == [run]


def test_a_journal_that_finds_no_room_to_begin_says_full(disk):
    _fill(disk)
    with pytest.raises(JournalError, match="the disk is full") as caught:
        Journal.open(disk)
    assert caught.value.cause == "full"
