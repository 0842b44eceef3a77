"""A journal of an earlier version is brought up to date, and kept as it was beside it."""

import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from darktimer.journal import schema
from darktimer.journal.baths import all_baths
from darktimer.journal.developments import look_up
from darktimer.journal.events import Event
from darktimer.journal.exchange import (
    export_csv,
    export_json_lines,
    import_csv,
    import_json_lines,
)
from darktimer.journal.films import Development
from darktimer.journal.journal import Journal
from darktimer.journal.refusal import JournalError
from darktimer.journal.results import Result, add_result, result_of
from tests.journal.samples import run_start

VERSION_1 = Path(__file__).with_name("version_1.sql").read_text("utf-8")
VERSION_2 = Path(__file__).with_name("version_2.sql").read_text("utf-8")
VERSION_5 = Path(__file__).with_name("version_5.sql").read_text("utf-8")


@pytest.fixture
def old(tmp_path):
    connection = sqlite3.connect(tmp_path / "journal.sqlite3")
    connection.executescript(VERSION_1)
    connection.close()
    return tmp_path


def test_everything_of_version_2_is_there_after_it(tmp_path):
    connection = sqlite3.connect(tmp_path / "journal.sqlite3")
    connection.executescript(VERSION_2)
    connection.close()
    with Journal.open(tmp_path) as journal:
        assert "updated from version 2" in journal.notices[0]
        assert journal.run(1).baths == ("", "", "", "plain fixer", "")
        assert [event.at_ms for event in journal.events(1)] == [1000, 5000]
        assert result_of(journal, 1).notes == '"dense"\nat the edges'
        assert journal.timeline(1).steps[3].kind == "fix"
        assert journal.plan_text(1).startswith("title: Invented")
        (bath,) = all_baths(journal)
        assert (bath.name, bath.used_m2) == ("plain fixer", 0.05)
        assert not journal.store.damage


@pytest.fixture
def of_version_5(tmp_path):
    """Two runs of plans that can be read, and one of a plan that is none any more."""
    with closing(sqlite3.connect(tmp_path / "journal.sqlite3")) as connection:
        connection.executescript(VERSION_5)
    return tmp_path


def test_films_and_developments_of_earlier_runs_are_looked_up_in_their_plans(of_version_5):
    with Journal.open(of_version_5) as journal:
        assert "updated from version 5 to 6" in journal.notices[0]
        before = [(run.films, run.developments) for run in journal.runs("ORDER BY number")]
        look_up(journal)
        after = [(run.films, run.developments) for run in journal.runs("ORDER BY number")]
        assert not journal.store.damage
        assert result_of(journal, 1) == Result(density=1, notes="dense")
    sizes = ["135-36", "4x5 in", "16 mm"]
    assert [[film.format for film in films] for films, _ in before] == [[size] for size in sizes]
    assert [developments for _, developments in before] == [()] * 3
    assert [[film.words for film in films] for films, _ in after] == [
        ["135-36"], ["6 x 4x5 in"], ["24.4 m of 16 mm"]
    ]  # fmt: skip
    assert [developments for _, developments in after] == [
        (Development("nettle developer", 600_000, "half agitation", 20.0),),
        (Development("nettle developer", 508_000, "1/4 agitation", 22.0),),  # as carried out
        (),
    ]


def test_what_was_looked_up_once_is_not_again(of_version_5):
    with Journal.open(of_version_5) as journal:
        look_up(journal)
        changes = journal.store.read("SELECT total_changes()")
        look_up(journal)
        assert journal.store.read("SELECT total_changes()") == changes


def test_an_export_of_version_5_is_looked_up_as_well(of_version_5, tmp_path):
    with Journal.open(of_version_5) as journal:
        export_json_lines(journal, tmp_path / "out.jsonl")
    head, *rows = map(json.loads, (tmp_path / "out.jsonl").read_text("utf-8").splitlines())
    head["darktimer journal"] = 5
    known = schema.columns(5)
    rows = [
        {name: row[name] for name in ("table", *(each.name for each in known[row["table"]]))}
        for row in rows
    ]
    (tmp_path / "out.jsonl").write_text("\n".join(map(json.dumps, [head, *rows])) + "\n", "utf-8")
    with Journal.open(tmp_path / "there") as journal:
        import_json_lines(journal, tmp_path / "out.jsonl")
        look_up(journal)
        assert journal.run(2).developments[0].time_ms == 508_000


def test_a_column_is_added_by_a_statement(tmp_path, monkeypatch):
    """Old rows keep their sums, damaged ones do not become good, and old exports are taken."""
    with Journal.open(tmp_path) as journal:
        for _ in range(2):
            journal.begin_run(run_start(tmp_path))
        export_csv(journal, tmp_path / "out")
        export_json_lines(journal, tmp_path / "out.jsonl")
    damaged = sqlite3.connect(tmp_path / "journal.sqlite3")
    damaged.execute("UPDATE runs SET title = 'Invended' WHERE number = 2")
    damaged.commit()
    damaged.close()
    added = "ALTER TABLE runs ADD COLUMN place TEXT NOT NULL DEFAULT 'a cellar'"
    monkeypatch.setattr(schema, "VERSIONS", (*schema.VERSIONS, (added,)))
    monkeypatch.setattr(schema, "VERSION", schema.VERSION + 1)
    with Journal.open(tmp_path) as journal:
        assert journal.store.rows("runs", "number, place") == [(1, "a cellar")]
        assert list(journal.store.damage) == ["run 2"]
    for way, name in ((import_csv, "out"), (import_json_lines, "out.jsonl")):
        with Journal.open(tmp_path / f"there-{name}") as journal:
            assert way(journal, tmp_path / name) == (2, 0, 0, 0)
            assert journal.store.rows("runs", "place") == [("a cellar",)] * 2


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
