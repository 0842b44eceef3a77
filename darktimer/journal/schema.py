"""The tables of the journal, version by version.

A file is updated from version n to n + 1 by the statements at index n; they are never changed once
they have been used, only added to. Moments are milliseconds since 1970 in UTC. Text that is not
known is empty; a number that is not known is NULL.

To add a column, add a tuple of statements to `VERSIONS`, such as ``ALTER TABLE runs ADD COLUMN
celsius REAL`` or ``ADD COLUMN place TEXT NOT NULL DEFAULT ''``, and use the column: backup,
migration, checksums, export and the import of older exports follow from the table itself. What an
import may hold follows from the column's name (`limits`).
"""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from itertools import chain
from typing import Final, NamedTuple

#: Written into each file, so that another program's database is not taken for a journal.
APPLICATION_ID: Final = 0x6461726B

_RUNS_AND_EVENTS: Final = (
    # Plans and timelines are long and mostly the same from run to run: each is kept once.
    """CREATE TABLE texts (
        number INTEGER PRIMARY KEY,
        sha256 TEXT NOT NULL UNIQUE,
        text TEXT NOT NULL
    )""",
    """CREATE TABLE runs (
        number INTEGER PRIMARY KEY AUTOINCREMENT,
        key TEXT NOT NULL UNIQUE,
        started_utc_ms INTEGER NOT NULL,
        started_boot_ms INTEGER,
        boot_id TEXT NOT NULL,
        title TEXT NOT NULL,
        planned_ms INTEGER NOT NULL,
        plan_source TEXT NOT NULL,
        plan INTEGER NOT NULL REFERENCES texts,
        cue_set TEXT NOT NULL,
        timeline INTEGER NOT NULL REFERENCES texts,
        light TEXT NOT NULL,
        film TEXT NOT NULL,
        film_area_m2 REAL,
        baths TEXT NOT NULL,
        state TEXT NOT NULL CHECK (state IN ('unfinished', 'finished', 'aborted')),
        ended_utc_ms INTEGER,
        exit INTEGER
    )""",
    "CREATE INDEX runs_by_start ON runs (started_utc_ms)",
    "CREATE INDEX runs_unfinished ON runs (started_utc_ms) WHERE state = 'unfinished'",
    """CREATE TABLE events (
        run INTEGER NOT NULL REFERENCES runs,
        number INTEGER NOT NULL,
        at_ms INTEGER NOT NULL,
        wall_utc_ms INTEGER NOT NULL,
        kind TEXT NOT NULL,
        meaning TEXT NOT NULL,
        step INTEGER,
        planned_ms INTEGER,
        detail TEXT NOT NULL,
        PRIMARY KEY (run, number)
    ) WITHOUT ROWID""",
    # What the table of runs counts; cues, which are most of the events, stay out of it.
    """CREATE INDEX events_counted ON events (run, kind, meaning)
        WHERE kind IN ('fault', 'key')""",
)

_RESULTS_AND_BATHS: Final = (
    """CREATE TABLE results (
        run INTEGER NOT NULL REFERENCES runs,
        number INTEGER NOT NULL,
        added_utc_ms INTEGER NOT NULL,
        density INTEGER CHECK (density BETWEEN -2 AND 2),
        contrast INTEGER CHECK (contrast BETWEEN -2 AND 2),
        evenness INTEGER CHECK (evenness BETWEEN -2 AND 2),
        grain INTEGER CHECK (grain BETWEEN -2 AND 2),
        fog INTEGER CHECK (fog BETWEEN -2 AND 2),
        celsius REAL,
        usable_for TEXT NOT NULL,
        notes TEXT NOT NULL,
        photographs TEXT NOT NULL,
        PRIMARY KEY (run, number)
    ) WITHOUT ROWID""",
    """CREATE TABLE baths (
        number INTEGER PRIMARY KEY AUTOINCREMENT,
        key TEXT NOT NULL UNIQUE,
        name TEXT NOT NULL,
        volume_ml REAL NOT NULL,
        born_utc_ms INTEGER NOT NULL,
        keeps_ms INTEGER,
        capacity_m2 REAL,
        discarded_utc_ms INTEGER
    )""",
    "CREATE UNIQUE INDEX baths_in_use ON baths (name) WHERE discarded_utc_ms IS NULL",
    """CREATE TABLE bath_notes (
        bath INTEGER NOT NULL REFERENCES baths,
        number INTEGER NOT NULL,
        at_utc_ms INTEGER NOT NULL,
        run INTEGER REFERENCES runs,
        area_m2 REAL,
        clearing_ms INTEGER,
        PRIMARY KEY (bath, number)
    ) WITHOUT ROWID""",
)

#: What the time of each develop rested on when a run began, as a list in JSON.
_BASES: Final = ("ALTER TABLE runs ADD COLUMN bases TEXT NOT NULL DEFAULT '[]'",)

#: A sum of all the other columns of a row, by which what the disk changed is found (`checksums`).
SUM: Final = "crc32"
_SUMS: Final = tuple(
    f"ALTER TABLE {table} ADD COLUMN crc32 INTEGER"
    for table in ("texts", "runs", "events", "results", "baths", "bath_notes")
)

#: When a run was entered that this program did not lead; NULL for one that it led.
_ENTERED: Final = ("ALTER TABLE runs ADD COLUMN entered_utc_ms INTEGER",)

#: Which films were in it, which pieces, and what each develop was, as lists in JSON; empty where
#: nobody has looked it up in the plan yet (`developments`). A result may be that of one film or of
#: one piece, counted from 1; `kept` is 1 for the one to do again, 0 for one no longer so.
_FILMS: Final = (
    "ALTER TABLE runs ADD COLUMN films TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE runs ADD COLUMN pieces TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE runs ADD COLUMN developments TEXT NOT NULL DEFAULT ''",
    "CREATE INDEX runs_not_looked_up ON runs (plan) WHERE developments = ''",
    "ALTER TABLE results ADD COLUMN film INTEGER",
    "ALTER TABLE results ADD COLUMN piece INTEGER",
    "ALTER TABLE results ADD COLUMN kept INTEGER",
    "ALTER TABLE results ADD COLUMN densities TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE results ADD COLUMN exposures TEXT NOT NULL DEFAULT ''",
)

VERSIONS: Final[tuple[tuple[str, ...], ...]] = (
    _RUNS_AND_EVENTS,
    _RESULTS_AND_BATHS,
    _BASES,
    _SUMS,
    _ENTERED,
    _FILMS,
)
VERSION: Final = len(VERSIONS)
SUMMED_SINCE: Final = VERSIONS.index(_SUMS) + 1


class TableKeys(NamedTuple):
    """The columns by which a table's rows are told apart, and what a row is called by them."""

    keys: tuple[str, ...]
    row: str

    def ordered(self, way: str = "ASC") -> str:
        """The keys as SQL orders by them."""
        return ", ".join(f"{key} {way}" for key in self.keys)


#: Every table of the latest version, each after those that it refers to.
TABLES: Final = {
    "texts": TableKeys(("number",), "text {}"),
    "runs": TableKeys(("number",), "run {}"),
    "events": TableKeys(("run", "number"), "event {1} of run {0}"),
    "results": TableKeys(("run", "number"), "result {1} of run {0}"),
    "baths": TableKeys(("number",), "bath {}"),
    "bath_notes": TableKeys(("bath", "number"), "note {1} of bath {0}"),
}


class Column(NamedTuple):
    """A column of a table. Text is never NULL; a number is where it is not known."""

    name: str
    kind: str
    required: bool


def columns(version: int) -> dict[str, list[Column]]:
    """The columns of each table of a version, in order, but for the sums."""
    with closing(_made(version)) as connection:
        found = {table: list(_columns(connection, table)) for table in TABLES}
    return {table: has for table, has in found.items() if has}


def _columns(connection: sqlite3.Connection, table: str) -> Iterator[Column]:
    info = connection.execute(f"PRAGMA table_info({table})")
    for _, name, kind, required, _, key in info:
        if name != SUM:
            yield Column(name, kind, bool(required or key))


def definitions(version: int) -> dict[str, str]:
    """What each table and index of a version is made by, as SQLite keeps it."""
    with closing(_made(version)) as connection:
        found = connection.execute("SELECT name, sql FROM sqlite_master WHERE sql <> ''")
        return dict(found.fetchall())


def update(connection: sqlite3.Connection, start: int, end: int | None = None) -> None:
    """Brings the tables from one version to another, to the latest where that is not said."""
    for statement in chain.from_iterable(VERSIONS[start:end]):
        connection.execute(statement)


def _made(version: int) -> sqlite3.Connection:
    """An empty journal of a version, in memory."""
    connection = sqlite3.connect(":memory:")
    update(connection, 0, version)
    return connection
