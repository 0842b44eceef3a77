"""A connection to a file of the journal, and a transaction in it."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path


def connect(path: Path, mode: str) -> sqlite3.Connection:
    """Opens a file: "rw" one that is there, "rwc" also a new one. Waits for nobody."""
    connection = sqlite3.connect(
        f"{path.absolute().as_uri()}?mode={mode}",
        uri=True,
        timeout=0,
        isolation_level=None,
        check_same_thread=False,
    )
    # Text that is damaged is read all the same: a sum tells.
    connection.text_factory = partial(str, encoding="utf-8", errors="replace")
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


def _folded(text: bytes) -> str:
    """Text in which capital and small letters are alike, in every alphabet."""
    return text.decode(errors="replace").casefold()
