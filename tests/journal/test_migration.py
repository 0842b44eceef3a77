"""A journal of an earlier version is brought up to date, and kept as it was beside it."""

import sqlite3
from pathlib import Path

import pytest

from darktimer.journal import Event, Journal, JournalError, schema
from darktimer.journal.results import Result, add_result, result_of

VERSION_1 = Path(__file__).with_name("version_1.sql").read_text("utf-8")


@pytest.fixture
def old(tmp_path):
    connection = sqlite3.connect(tmp_path / "journal.sqlite3")
    connection.executescript(VERSION_1)
    connection.close()
    return tmp_path


def _dump(path):
    connection = sqlite3.connect(path)
    lines = list(connection.iterdump())
    connection.close()
    return lines


def test_everything_of_version_1_is_there_after_it(old):
    with Journal.open(old) as journal:
        assert journal.run(7).film == "120"
        assert journal.events(7) == [
            Event(0, 1_900_000_000_000, "cue", "move", None, 0),
            Event(60_000, 1_900_000_060_000, "note", detail={"why": "over"}),
        ]
        add_result(journal, 7, Result(density=1))
        assert result_of(journal, 7).density == 1
        assert journal.store.read("PRAGMA user_version") == [(schema.VERSION,)]


def test_a_backup_of_it_is_made_first_and_named(old):
    before = _dump(old / "journal.sqlite3")
    with Journal.open(old) as journal:
        (backup,) = old.glob("journal-before-version-*.sqlite3")
        assert backup.name in journal.notices[0]
    assert _dump(backup) == before
    with Journal.open(old) as journal:
        assert not journal.notices
    assert len(list(old.glob("journal-before-*"))) == 1


def test_a_new_file_has_the_tables_that_an_old_one_gets(old, tmp_path):
    Journal.open(old).close()
    Journal.open(tmp_path / "new").close()

    def tables(folder):
        connection = sqlite3.connect(folder / "journal.sqlite3")
        rows = connection.execute("SELECT name, sql FROM sqlite_master ORDER BY name").fetchall()
        connection.close()
        return [(name, "".join((sql or "").split())) for name, sql in rows]

    assert tables(old) == tables(tmp_path / "new")


def test_a_migration_that_fails_leaves_the_old_file(old, monkeypatch):
    broken = (*schema.VERSIONS[:1], (*schema.VERSIONS[1], "CREATE TABLE runs (number)"))
    monkeypatch.setattr(schema, "VERSIONS", broken)
    before = _dump(old / "journal.sqlite3")
    with pytest.raises(JournalError):
        Journal.open(old)
    assert _dump(old / "journal.sqlite3") == before
    monkeypatch.undo()
    with Journal.open(old) as journal:
        assert journal.run(7).title == "Invented"
