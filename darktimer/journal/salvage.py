"""What can still be read of a damaged file, row by row, copied into a new one.

Knows nothing of what the rows say; those that are damaged come along with their sums, by which they
are found later.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, suppress
from pathlib import Path
from typing import Any

from darktimer.journal import schema
from darktimer.journal.checksums import crc32
from darktimer.journal.connection import insert
from darktimer.journal.files import companion
from darktimer.journal.refusal import OF_SQLITE


def salvage(damaged: Path, connection: sqlite3.Connection) -> int:
    """Copies every row that can be read, in one transaction; returns how many there were."""
    _give_file(damaged)
    kept = 0
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as copy:
        copy.text_factory = bytes
        with suppress(*OF_SQLITE):
            _copy(damaged, copy)
            for table in schema.TABLES:
                kept += sum(_kept(connection, table, row) for row in _readable(copy, table))
    return kept


def _give_file(damaged: Path) -> None:
    """Puts an empty database before a log that lost its own, which SQLite then reads."""
    lost = not damaged.exists() or not damaged.stat().st_size
    if lost and companion(damaged, "-wal").exists():
        growing = companion(damaged, ".part")
        with closing(sqlite3.connect(growing)) as connection:
            connection.execute("PRAGMA journal_mode = WAL")
        growing.replace(damaged)


def _copy(damaged: Path, copy: sqlite3.Connection) -> None:
    """In memory, since its tables' definitions may be damaged too, and are written anew."""
    with closing(sqlite3.connect(f"{damaged.absolute().as_uri()}?mode=ro", uri=True)) as source:
        source.backup(copy)
    (version,) = copy.execute("PRAGMA user_version").fetchone()
    copy.execute("PRAGMA writable_schema = ON")
    for name, sql in schema.definitions(version).items():
        copy.execute("UPDATE sqlite_master SET sql = ? WHERE name = ?", (sql, name))
    copy.execute("PRAGMA writable_schema = RESET")


def _readable(copy: sqlite3.Connection, table: str) -> Iterator[dict[str, Any]]:
    """The rows from the front and, where that ends at a damaged page, those from the back."""
    for order in ("ASC", "DESC"):
        with suppress(*OF_SQLITE):
            keys = schema.TABLES[table].ordered(order)
            rows = copy.execute(f"SELECT * FROM {table} NOT INDEXED ORDER BY {keys}")
            names = [column[0] for column in rows.description]
            yield from (dict(zip(names, row, strict=True)) for row in rows)
            return


def _kept(connection: sqlite3.Connection, table: str, row: dict[str, Any]) -> bool:
    """Whether the row came in now: not if it is there already, or what it belongs to is lost."""
    if row.get(schema.SUM) == crc32(*(row[name] for name in row if name != schema.SUM)):
        del row[schema.SUM]  # it is summed anew, with columns that it did not have yet
    text = {n: v.decode(errors="replace") for n, v in row.items() if isinstance(v, bytes)}
    before = connection.total_changes
    with suppress(sqlite3.Error, OverflowError):
        insert(connection, table, row | text, "INSERT OR IGNORE")
    return connection.total_changes > before
