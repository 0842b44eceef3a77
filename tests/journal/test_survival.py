"""What the journal lives through: kills, two writers, damage, a full disk."""

import os
import random
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

from darktimer.journal.journal import Journal
from darktimer.journal.refusal import JournalError
from tests.journal.samples import cue, run_start

WRITER = Path(__file__).with_name("writer.py")
PROJECT = WRITER.parent.parent.parent


def writer(folder, first, count):
    return subprocess.Popen(
        [sys.executable, WRITER, folder, str(first), str(count)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(PROJECT)},
    )


def test_a_kill_at_any_moment_loses_nothing_that_was_kept(tmp_path):
    chance, said = random.Random(4), []
    for turn in range(6):
        child = writer(tmp_path, 1_000_000 * turn, 100_000)
        said.append(int(child.stdout.readline()))
        time.sleep(chance.uniform(0, 0.15))
        child.kill()
        said += [int(line) for line in child.stdout.read().split("\n") if line.strip()]
        child.communicate()
    with Journal.open(tmp_path) as journal:
        assert not journal.notices
        kept = [event.at_ms for event in journal.events(journal.unfinished_run().number)]
        assert set(said) <= set(kept)
        # At most the one event of each turn that was kept but not yet said.
        assert len(kept) - len(said) <= 6
        assert journal.store.read("PRAGMA integrity_check") == [("ok",)]


def test_a_kill_while_the_file_is_made_leaves_a_journal(tmp_path):
    chance = random.Random(5)
    for turn in range(4):
        child = writer(tmp_path / str(turn), 0, 1)
        time.sleep(chance.uniform(0.1, 0.4))
        child.kill()
        child.communicate()
        with Journal.open(tmp_path / str(turn)) as journal:
            assert not journal.notices
            assert journal.begin_run(run_start(tmp_path))


def test_two_processes_write_at_once(tmp_path):
    with Journal.open(tmp_path) as journal:
        run = journal.begin_run(run_start(tmp_path))
    children = [writer(tmp_path, first, 60) for first in (0, 1000, 2000)]
    for child in children:
        _, trouble = child.communicate(timeout=60)
        assert child.returncode == 0, trouble
    with Journal.open(tmp_path) as journal:
        kept = sorted(event.at_ms for event in journal.events(run))
    assert kept == [*range(60), *range(1000, 1060), *range(2000, 2060)]


def test_many_open_a_new_journal_at_once(tmp_path):
    children = [writer(tmp_path / "new", first, 2) for first in (0, 10, 20)]
    for child in children:
        _, trouble = child.communicate(timeout=60)
        assert child.returncode == 0, trouble
    with Journal.open(tmp_path / "new") as journal:
        assert not journal.notices
        assert journal.store.read("SELECT count(*) FROM events") == [(6,)]


def _spoiled_head(path):
    path.write_bytes(b"this is no journal".ljust(4096, b"!") + path.read_bytes()[4096:])


def _cut_short(path):
    path.write_bytes(path.read_bytes()[:9000])


def _emptied_tables(path):
    with sqlite3.connect(path) as connection:
        connection.execute("DROP TABLE events")
    connection.close()


@pytest.mark.parametrize("damage", [_spoiled_head, _cut_short, _emptied_tables])
def test_a_damaged_file_is_set_aside_and_a_new_one_begun(tmp_path, damage):
    for turn in (1, 2):
        with Journal.open(tmp_path) as journal:
            journal.begin_run(run_start(tmp_path))
        damage(tmp_path / "journal.sqlite3")
        spoiled = (tmp_path / "journal.sqlite3").read_bytes()
        with Journal.open(tmp_path) as journal:
            assert "was damaged" in journal.notices[0]
            assert journal.begin_run(run_start(tmp_path))
        kept = sorted(tmp_path.glob("journal-damaged-*.sqlite3"))
        assert len(kept) == turn
        assert spoiled in [path.read_bytes() for path in kept]


def test_damage_in_the_midst_of_a_run_costs_no_event_after_it(tmp_path):
    with Journal.open(tmp_path) as journal:
        for _ in range(3):
            run = journal.begin_run(run_start(tmp_path))
        journal.record(run, cue(1))
        journal.store.read("PRAGMA wal_checkpoint(TRUNCATE)")
        journal.store.read("PRAGMA cache_size = 0")
        path = journal.store.path
        path.write_bytes(b"\0" * path.stat().st_size)
        journal.record(run, cue(2))
        journal.record(3, cue(3))
        journal.finish_run(3)
        assert journal.run(3).state == "finished"
        assert journal.events(3) == [cue(2), cue(3)]
        assert "was damaged" in journal.notices[0]


def test_another_programs_database_is_left_alone(tmp_path):
    path = tmp_path / "journal.sqlite3"
    with sqlite3.connect(path) as connection:
        connection.execute("CREATE TABLE recipes (name TEXT)")
    connection.close()
    before = path.read_bytes()
    with pytest.raises(JournalError, match="another program's database"):
        Journal.open(tmp_path)
    assert path.read_bytes() == before


def test_a_later_journal_is_left_alone(tmp_path):
    Journal.open(tmp_path).close()
    with sqlite3.connect(tmp_path / "journal.sqlite3") as connection:
        connection.execute("PRAGMA user_version = 99")
    connection.close()
    with pytest.raises(JournalError, match="a later darktimer") as caught:
        Journal.open(tmp_path)
    assert caught.value.cause == "newer"
    assert not list(tmp_path.glob("*damaged*"))


def test_a_folder_that_cannot_be_made_is_an_error_of_the_journal(tmp_path):
    (tmp_path / "file").touch()
    with pytest.raises(JournalError):
        Journal.open(tmp_path / "file" / "home")
    (tmp_path / "journal.sqlite3").mkdir()
    with pytest.raises(JournalError):
        Journal.open(tmp_path)


def test_a_journal_locked_by_another_is_one_error_and_then_goes_on(tmp_path):
    with Journal.open(tmp_path, patience_ms=50) as journal:
        run = journal.begin_run(run_start(tmp_path))
        other = sqlite3.connect(journal.store.path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(JournalError) as caught:
            journal.record(run, cue(1))
        assert caught.value.cause == "locked"
        other.execute("ROLLBACK")
        other.close()
        journal.record(run, cue(2))
        assert journal.events(run) == [cue(2)]


def _write_on(journal, run, kept):
    for at_ms in range(100_000):
        journal.record(run, cue(at_ms)._replace(detail={"padding": "x" * 2000}))
        kept.append(at_ms)


def _fill(journal, run):
    """Writes until the disk is full; returns the moments that were kept."""
    kept = []
    with pytest.raises(JournalError) as caught:
        _write_on(journal, run, kept)
    assert caught.value.cause == "full"
    return kept


def test_a_full_database_keeps_what_it_has_and_goes_on_later(tmp_path):
    with Journal.open(tmp_path) as journal:
        run = journal.begin_run(run_start(tmp_path))
        journal.store.read("PRAGMA max_page_count = 60")
        kept = _fill(journal, run)
        journal.store.read("PRAGMA max_page_count = 100000")
        journal.record(run, cue(200_000))
        assert [event.at_ms for event in journal.events(run)] == [*kept, 200_000]


def test_a_full_disk_keeps_what_it_has_and_goes_on_later(disk, tmp_path):
    filler = disk / "filler"
    filler.write_bytes(b"x" * 150_000)
    with Journal.open(disk) as journal:
        run = journal.begin_run(run_start(tmp_path))
        kept = _fill(journal, run)
        filler.unlink()
        journal.record(run, cue(200_000))
        assert [event.at_ms for event in journal.events(run)] == [*kept, 200_000]
        assert not journal.notices
