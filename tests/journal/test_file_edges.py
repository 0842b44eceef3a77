"""The file of the journal at its edges: waiting, numbering, saving, bringing up to date."""

import sqlite3
from contextlib import closing, suppress

import pytest

from darktimer.journal import connection as connections
from darktimer.journal import schema
from darktimer.journal.baths import all_baths
from darktimer.journal.checksums import keep_checksums, with_checksums
from darktimer.journal.connection import append, ask, connect, insert
from darktimer.journal.files import Files
from darktimer.journal.folder import FILE_NAME
from darktimer.journal.journal import Journal
from darktimer.journal.refusal import JournalError
from darktimer.journal.salvage import salvage
from darktimer.journal.store import Store
from tests.journal.samples import cue, run_start


class Clock:
    """A clock that stands still but while somebody waits, ``slower`` times as long as asked."""

    def __init__(self, slower=1):
        self.waits, self.slower = 0, slower

    def monotonic(self):
        return self.waits * self.slower / 1000

    def sleep(self, seconds):
        assert seconds == 0.001
        self.waits += 1


@pytest.fixture
def clock(monkeypatch):
    """Every wait lasts a quarter of a second of this clock, and no time at all of ours."""
    clock = Clock(slower=250)
    monkeypatch.setattr(connections, "time", clock)
    return clock


class Stubborn:
    """A connection that fails with these errors in turn, then answers."""

    def __init__(self, *codes):
        self.codes = list(codes)

    def execute(self, *_):
        if not self.codes:
            return "answered"
        error = sqlite3.OperationalError()
        error.sqlite_errorcode = self.codes.pop(0)
        raise error


def test_who_is_held_up_asks_again_until_patience_ends(clock):
    assert ask(Stubborn(5, 6, 5), "", (), 1) == "answered"
    assert clock.waits == 3
    clock.waits = 0
    # A wait longer than a second of 4 quarters is the fifth; just a second is not over yet.
    with pytest.raises(sqlite3.OperationalError):
        ask(Stubborn(*[5] * 99), "", (), 1)
    assert clock.waits == 5


def test_what_waiting_does_not_help_is_not_waited_for(clock):
    with pytest.raises(sqlite3.OperationalError):
        ask(Stubborn(1), "", (), 1)
    assert clock.waits == 0


def test_a_connection_waits_for_nobody_by_itself(tmp_path):
    with closing(connect(tmp_path / "x", "rwc")) as connection:
        assert connection.execute("PRAGMA busy_timeout").fetchone() == (0,)
        # "Maße" and "MASSE" are alike by Unicode's full case folding, CaseFolding.txt.
        folded = connection.execute("SELECT folded(?), folded(?)", ("Maße".encode(), b"\xffMASSE"))
        assert folded.fetchone() == ("masse", "\ufffdmasse")


def test_rows_are_numbered_from_one_for_each_they_belong_to():
    with closing(schema._made(1)) as connection:
        row = {"at_ms": 0, "wall_utc_ms": 0, "kind": "", "meaning": "", "detail": ""}
        for run in (7, 8, 7):
            append(connection, "events", {"run": run, **row})
        found = connection.execute("SELECT run, number FROM events ORDER BY run, number")
        assert found.fetchall() == [(7, 1), (7, 2), (8, 1)]


def test_a_row_without_a_number_of_its_own_has_none():
    with closing(sqlite3.connect(":memory:")) as connection:
        connection.execute("CREATE TABLE t (a TEXT PRIMARY KEY) WITHOUT ROWID")
        assert insert(connection, "t", {"a": "x"}) == 0


def test_a_minute_is_waited_for_whoever_holds_the_file_alone(tmp_path, clock):
    here, there = Files(tmp_path / FILE_NAME), Files(tmp_path / FILE_NAME)
    for held, asked in ((here.alone, there.together), (here.together, there.alone)):
        clock.waits = 0
        with held():
            with pytest.raises(sqlite3.OperationalError, match="locked"), asked():
                pass
            assert clock.waits == 60 * 4 + 1
        with asked():  # which is free again
            pass
    with here.together(), there.together():
        pass
    assert here._lock.execute("PRAGMA busy_timeout").fetchone() == (0,)
    here.close()
    there.close()


def test_one_stands_first_in_line(tmp_path, clock):
    here, there = Files(tmp_path / FILE_NAME), Files(tmp_path / FILE_NAME)
    with here.first_in_line(1):
        with pytest.raises(sqlite3.OperationalError), there.first_in_line(1):
            pass
        assert clock.waits == 5
    with there.first_in_line(1):
        pass
    here.close()
    there.close()


def test_who_writes_is_waited_for_as_long_as_is_said(tmp_path, clock):
    store = Store(tmp_path / "home" / "deep" / FILE_NAME, 500_000)
    with closing(sqlite3.connect(store.path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(JournalError, match="another program is writing"):
            store.write(lambda connection: None)
    store.close()
    assert clock.waits == 500 * 4 + 1


def _database(path, version, **pragmas):
    """A file with the tables of a version, and these settings."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        schema.update(connection, 0, version)
        for name, value in pragmas.items():
            connection.execute(f"PRAGMA {name} = {value}")


def test_the_tables_tell_a_journal_whose_mark_is_lost(tmp_path):
    _database(tmp_path / FILE_NAME, 1, user_version=1)
    with Journal.open(tmp_path) as journal:
        assert "updated from version 1" in journal.notices[0]


def test_a_journal_is_marked(tmp_path):
    """By "dark" in ASCII."""
    with Journal.open(tmp_path) as journal:
        assert journal.store.read("PRAGMA application_id") == [(int.from_bytes(b"dark"),)]


def test_a_database_without_tables_or_version_is_damaged(tmp_path):
    for name, version in (("empty", 0), ("unversioned", 5)):
        (tmp_path / name).mkdir()
        mark = {"application_id": schema.APPLICATION_ID} if version else {}
        _database(tmp_path / name / FILE_NAME, version, **mark, journal_mode="WAL")
        with Journal.open(tmp_path / name) as journal:
            assert "was damaged; it is kept as" in journal.notices[0]
            assert journal.notices[0].endswith("with the 0 rows that could be read of it")


@pytest.mark.parametrize("version", [4, 5])
def test_rows_with_sums_are_whole_in_the_next_version(tmp_path, monkeypatch, version):
    """Also those that the statements of a version write: they are summed when all is done."""
    texts = "INSERT INTO texts (number, sha256, text) VALUES ({}, '{}', '')"
    with closing(sqlite3.connect(tmp_path / FILE_NAME, isolation_level=None)) as connection:
        schema.update(connection, 0, version)
        with_checksums(connection)
        connection.execute(texts.format(1, "a"))
        connection.execute(f"PRAGMA user_version = {version}")
    added = ("ALTER TABLE texts ADD COLUMN place TEXT NOT NULL DEFAULT ''", texts.format(2, "b"))
    monkeypatch.setattr(schema, "VERSIONS", (*schema.VERSIONS[:version], added))
    monkeypatch.setattr(schema, "VERSION", version + 1)
    with Journal.open(tmp_path) as journal:
        assert journal.store.rows("texts", "number, place", "ORDER BY number") == [(1, ""), (2, "")]
        assert not journal.store.damage


def test_sums_came_with_the_version_that_says_so():
    for version, there in ((schema.SUMMED_SINCE - 1, False), (schema.SUMMED_SINCE, True)):
        with closing(schema._made(version)) as connection:
            info = connection.execute("PRAGMA table_info(runs)")
            assert ("crc32" in {name for _, name, *_ in info}) == there


def _damaged(folder, rows):
    """A journal of some texts, the first of them changed behind its sum; returns its file."""
    with Journal.open(folder) as journal:
        for number in range(rows):
            row = {"sha256": str(number), "text": f"text {number}"}
            journal.store.write(lambda connection, row=row: insert(connection, "texts", row))
    with closing(sqlite3.connect(folder / FILE_NAME)) as connection:
        connection.execute("UPDATE texts SET text = 'untrue' WHERE sha256 = '0'")
        connection.commit()
    return folder / FILE_NAME


def test_what_is_saved_is_counted_and_what_was_damaged_stays_so(tmp_path):
    damaged = _damaged(tmp_path / "old", 3)
    with closing(schema._made(schema.VERSION)) as new:
        sums = keep_checksums(new)
        assert salvage(damaged, new) == 3
        assert salvage(damaged, new) == 0, "all of it is here already"
        whole = new.execute(f"SELECT sha256, {sums['texts']} IS crc32 FROM texts ORDER BY sha256")
        assert whole.fetchall() == [("0", 0), ("1", 1), ("2", 1)]


def test_a_file_that_still_has_content_is_not_replaced_before_its_log_is_read(tmp_path):
    damaged = _damaged(tmp_path, 2)
    damaged.with_name(f"{FILE_NAME}-wal").write_bytes(b"")
    before = damaged.read_bytes()
    with closing(schema._made(schema.VERSION)) as new:
        keep_checksums(new)
        assert salvage(damaged, new) == 2
    assert damaged.read_bytes() == before


def test_only_the_very_file_that_was_found_damaged_is_set_aside(tmp_path):
    with Journal.open(tmp_path) as journal:
        run = journal.begin_run(run_start(tmp_path))
        opening, (device, inode) = journal.store._opening, journal.store._files.identity()
        opening.open((device, inode + 1)).connection.close()
        assert not journal.notices
        opening.open((device, inode)).connection.close()
        assert "was damaged" in journal.notices[0]
        assert journal.events(run) == []


def test_what_is_locked_while_it_is_opened_is_no_full_disk(tmp_path, clock):
    """A file that is held alone is refused as such, not opened in the way of a full disk."""
    Journal.open(tmp_path).close()
    with closing(sqlite3.connect(tmp_path / FILE_NAME, isolation_level=None)) as other:
        other.execute("PRAGMA locking_mode = EXCLUSIVE")
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(JournalError, match="another program is writing"):
            Journal.open(tmp_path, patience_ms=1_000)
    assert clock.waits == 5


def test_damage_met_while_it_is_brought_up_to_date_sets_it_aside(tmp_path, monkeypatch):
    _database(tmp_path / FILE_NAME, 1, user_version=1, application_id=schema.APPLICATION_ID)
    update, calls = schema.update, []

    def once_damaged(connection, start, end=None):
        if start == 1:
            calls.append(start)
            error = sqlite3.DatabaseError("malformed")
            error.sqlite_errorcode = sqlite3.SQLITE_CORRUPT
            raise error
        update(connection, start, end)

    monkeypatch.setattr(schema, "update", once_damaged)
    with Journal.open(tmp_path) as journal:
        assert calls == [1]
        assert "was damaged" in journal.notices[-1]
        assert journal.runs("") == []


def test_a_new_file_is_asked_for_again_where_opening_it_failed(tmp_path):
    """After a failure the journal holds no file, and looks for it at the next call."""
    with Journal.open(tmp_path) as journal:
        run = journal.begin_run(run_start(tmp_path))
        path = journal.store.path
        away = path.rename(tmp_path / "away")
        path.mkdir()
        with suppress(JournalError):
            journal.record(run, cue(1))
        path.rmdir()
        away.rename(path)
        journal.record(run, cue(2))
        assert cue(2) in journal.events(run)
        assert all_baths(journal) == []
