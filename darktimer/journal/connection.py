"""A connection to a file of the journal: statements, a transaction, rows written into tables."""

import sqlite3
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import Any, Final

from darktimer.journal import schema
from darktimer.journal.refusal import is_locked


def connect(path: Path, mode: str) -> sqlite3.Connection:
    """Opens a file: "rw" one that is there, "rwc" also a new one. Waits for nobody."""
    connection = sqlite3.connect(
        f"{path.absolute().as_uri()}?mode={mode}",
        uri=True,
        timeout=0,
        isolation_level=None,
        check_same_thread=False,
    )
    connection.text_factory = _text
    connection.create_function("folded", 1, _folded, deterministic=True)
    connection.execute("PRAGMA foreign_keys = 1")
    return connection


@contextmanager
def committed(connection: sqlite3.Connection) -> Iterator[sqlite3.Connection]:
    """Commits what was begun when the block ends, or takes it back."""
    try:
        yield connection
        connection.execute("COMMIT")
    finally:
        if connection.in_transaction:
            connection.execute("ROLLBACK")


def ask(
    connection: sqlite3.Connection, sql: str, values: Sequence[Any], patience_s: float
) -> sqlite3.Cursor:
    """One statement, asked again each millisecond while another process holds what it needs.

    SQLite's own waiting grows to a tenth of a second, and so misses the short gaps between the
    commits of a process that writes on and on.
    """
    deadline = time.monotonic() + patience_s
    while True:
        try:
            return connection.execute(sql, values)
        except sqlite3.OperationalError as error:
            if not is_locked(error) or time.monotonic() > deadline:
                raise
            time.sleep(0.001)


def insert(
    connection: sqlite3.Connection, table: str, row: Mapping[str, Any], act: str = "INSERT"
) -> int:
    """Writes a row, None for what the table is to choose; returns its number."""
    names, marks = ", ".join(row), ", ".join("?" * len(row))
    sql = f"{act} INTO {table} ({names}) VALUES ({marks})"
    return connection.execute(sql, tuple(row.values())).lastrowid or 0


def append(connection: sqlite3.Connection, table: str, row: Mapping[str, Any]) -> None:
    """Writes a row under the next number of the run, or bath, that it belongs to."""
    owner = schema.TABLES[table].keys[0]
    last = f"SELECT coalesce(max(number), 0) FROM {table} WHERE {owner} = ?"
    (number,) = connection.execute(last, (row[owner],)).fetchone()
    insert(connection, table, {**row, "number": number + 1})


def number_of(connection: sqlite3.Connection, table: str, column: str, value: Any) -> int | None:
    """The number of the row of which a column has this value; None where there is none."""
    sql = f"SELECT number FROM {table} WHERE {column} = ?"
    for (number,) in connection.execute(sql, (value,)).fetchall():
        return int(number)
    return None


#: Text that is damaged is read all the same: a sum tells. Called for each text there is.
_text: Final = partial(str, encoding="utf-8", errors="replace")


def _folded(raw: bytes) -> str:
    """Text in which capital and small letters are alike, in every alphabet."""
    return _text(raw).casefold()
