"""One SQLite file: opened, brought up to date, set aside when damaged, its errors translated.

Written ahead and synced at each commit, so that nothing committed is lost by a kill or a power
cut. Knows no runs and no baths.
"""

import os
import sqlite3
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any, Final

from darktimer.journal import schema
from darktimer.journal.refusal import JournalError, cause_of, refusal

FILE_NAME: Final = "journal.sqlite3"
_COMPANIONS: Final = ("", "-wal", "-shm")

Row = tuple[Any, ...]


class Store:
    """An open file. May be used from several threads; each call waits for the one before it.

    ``notices`` is what a person must be told: a file set aside, a backup made. ``generation``
    grows when a new file takes the place of a damaged one. ``patience_ms`` is how long a call
    waits for another process that is writing.
    """

    def __init__(self, path: Path, patience_ms: int) -> None:
        self.path = path
        self.notices: list[str] = []
        self.generation = 0
        self._patience_s = patience_ms / 1000
        self._lock = threading.RLock()
        self._open()

    def read(self, sql: str, values: Sequence[Any] = ()) -> list[Row]:
        """All rows of a query."""
        with self._lock, self._translated():
            return self._connection.execute(sql, values).fetchall()

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """A transaction that is kept as a whole when the block ends, or not at all."""
        with self._lock, self._translated():
            self._connection.execute("BEGIN IMMEDIATE")
            try:
                yield self._connection
                self._connection.execute("COMMIT")
            except BaseException:
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")
                raise

    def close(self) -> None:
        """Ends the use of the file; closing twice does no harm."""
        with self._lock:
            self._connection.close()

    @contextmanager
    def _translated(self) -> Iterator[None]:
        """Turns every error of the database into a `JournalError`; sets a damaged file aside."""
        try:
            yield
        except (sqlite3.Error, sqlite3.Warning, UnicodeError, OverflowError) as error:
            if cause_of(error) == "damaged":
                self._begin_anew()
            raise refusal(self.path, error) from None

    def _open(self) -> None:
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            self._connect()
        except OSError as error:
            raise refusal(self.path, error) from None
        except sqlite3.Error as error:
            if cause_of(error) != "damaged":
                raise refusal(self.path, error) from None
            self._begin_anew()

    def _connect(self) -> None:
        self._connection = sqlite3.connect(
            self.path, timeout=self._patience_s, isolation_level=None, check_same_thread=False
        )
        self._identity = _identity(self.path)
        try:
            self._prepare()
        except BaseException:
            self._connection.close()
            raise

    def _prepare(self) -> None:
        self._refuse_foreign()
        self._write_ahead()
        for pragma in ("synchronous = FULL", "fullfsync = 1", "foreign_keys = 1"):
            self._connection.execute(f"PRAGMA {pragma}")
        if self._version() < schema.VERSION:
            self._bring_up_to_date()
        self._look_for_tables()

    def _refuse_foreign(self) -> None:
        """Raises `JournalError` where the file is another program's, or of a later version."""
        # In one transaction: another process may be making the file between the two questions.
        self._connection.execute("BEGIN")
        (owner,) = self._connection.execute("PRAGMA application_id").fetchone()
        tables = self._tables()
        self._connection.execute("ROLLBACK")
        if tables and owner != schema.APPLICATION_ID:
            found, mend = "this is another program's database", "move it out of this folder"
            raise JournalError(self.path, found, mend, "forbidden")
        if self._version() > schema.VERSION:
            found = f"a later darktimer wrote this journal (version {self._version()})"
            raise JournalError(self.path, found, "use that darktimer for it", "newer")

    def _write_ahead(self) -> None:
        """Switches a new file over; two processes doing so at once do not wait for each other."""
        deadline = time.monotonic() + self._patience_s
        while True:
            try:
                self._connection.execute("PRAGMA journal_mode = WAL")
                return
            except sqlite3.OperationalError as error:
                if cause_of(error) != "locked" or time.monotonic() > deadline:
                    raise
                time.sleep(0.01)

    def _bring_up_to_date(self) -> None:
        self._connection.execute("BEGIN IMMEDIATE")
        try:
            found = self._version()  # again, since another process may just have done it
            if 0 < found < schema.VERSION:
                self._back_up(found)
            if found == 0:
                self._connection.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
            for statements in schema.VERSIONS[found:]:
                for statement in statements:
                    self._connection.execute(statement)
            self._connection.execute(f"PRAGMA user_version = {schema.VERSION}")
            self._connection.execute("COMMIT")
        except BaseException:
            if self._connection.in_transaction:
                self._connection.execute("ROLLBACK")
            raise

    def _back_up(self, version: int) -> None:
        """A whole copy beside the file, by a second connection: this one holds the lock."""
        target = _unused(self.path, f"before-version-{schema.VERSION}")
        unfinished = target.with_name(target.name + ".part")
        with (
            closing(sqlite3.connect(self.path)) as source,
            closing(sqlite3.connect(unfinished)) as copy,
        ):
            source.backup(copy)
        os.replace(unfinished, target)
        self.notices.append(
            f"{self.path}: brought from version {version} to {schema.VERSION}; "
            f"as it was, it is kept as {target.name}"
        )

    def _look_for_tables(self) -> None:
        missing = set(schema.TABLES) - self._tables()
        if missing:
            raise _Damaged(f"tables are missing: {', '.join(sorted(missing))}")

    def _begin_anew(self) -> None:
        """Sets the damaged file aside under a name of its own, and begins a new one."""
        self._connection.close()
        self.generation += 1
        try:
            # Another process may have done so already: then the file here is a good one.
            if _identity(self.path) == self._identity:
                self._set_aside()
            self._connect()
        except (OSError, sqlite3.Error) as error:
            raise refusal(self.path, error) from None

    def _set_aside(self) -> None:
        target = _unused(self.path, "damaged")
        for companion in _COMPANIONS:
            part = self.path.with_name(self.path.name + companion)
            if part.exists():
                part.rename(target.with_name(target.name + companion))
        self.notices.append(
            f"{self.path}: this journal was damaged; it is kept as {target.name}, "
            "and a new one is begun"
        )

    def _version(self) -> int:
        (version,) = self._connection.execute("PRAGMA user_version").fetchone()
        return int(version)

    def _tables(self) -> set[str]:
        rows = self._connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        return {name for (name,) in rows}


class _Damaged(sqlite3.DatabaseError):
    """A file that SQLite can read, but that has lost parts of a journal."""

    sqlite_errorcode = sqlite3.SQLITE_CORRUPT


def _identity(path: Path) -> tuple[int, int] | None:
    """What tells this very file from another of the same name; None where there is none."""
    try:
        found = path.stat()
    except FileNotFoundError:
        return None
    return found.st_dev, found.st_ino


def _unused(path: Path, word: str) -> Path:
    """A name beside ``path`` that nothing has: with the word, the moment, and if need be more."""
    stamp = time.strftime("%Y%m%dT%H%M%SZ", time.gmtime())
    for turn in range(1, 1000):
        more = f"-{turn}" if turn > 1 else ""
        candidate = path.with_name(f"{path.stem}-{word}-{stamp}{more}{path.suffix}")
        if not candidate.exists():
            return candidate
    raise JournalError(path, "a thousand copies stand beside it", "clear its folder")
