"""One SQLite file: read and written, another opened in its place, its errors translated.

Written ahead and synced at each commit, so that nothing committed is lost by a kill or a power
cut. Knows no runs and no baths.
"""

import sqlite3
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any, Final, TypeVar

from darktimer.journal import schema
from darktimer.journal.connection import ask, committed
from darktimer.journal.files import Files, Identity
from darktimer.journal.opening import Opening
from darktimer.journal.refusal import cause_of, refusal

Row = tuple[Any, ...]
_Done = TypeVar("_Done")
#: What SQLite raises, and what Python does for values that SQLite cannot take, or for the file.
_ERRORS: Final = (sqlite3.Error, sqlite3.Warning, UnicodeError, OverflowError, OSError)


class Store:
    """An open file. May be used from several threads; each call waits for the one before it.

    What a call does may be done twice: where the file turns out damaged, it is set aside, and what
    was asked is done in the one that takes its place. ``notices`` is what a person must know: a
    file set aside, a backup made. ``damage`` names the rows that were found damaged and left out.
    ``patience_ms`` is how long a call waits for a process that is writing.
    """

    def __init__(self, path: Path, patience_ms: int) -> None:
        self.path = path
        self.notices: list[str] = []
        self.damage: dict[str, None] = {}
        self._patience_s = patience_ms / 1000
        self._lock = threading.RLock()
        with self._refusing(), ExitStack() as unless_opened:
            path.parent.mkdir(parents=True, exist_ok=True)
            self._files = Files(path)
            unless_opened.callback(self._files.close)
            self._opening = Opening(self._files, self._patience_s, self.notices)
            self._file = self._opening.open()
            unless_opened.pop_all()

    def read(self, sql: str, values: Sequence[Any] = ()) -> list[Row]:
        """All rows of a query, as they are, damaged or not."""
        return self._surely(lambda: self._ask(sql, values).fetchall())

    def rows(
        self, table: str, columns: str, condition: str = "", values: Sequence[Any] = ()
    ) -> list[Row]:
        """The rows of a table that ``condition`` chooses and orders; damaged ones are left out."""
        return self._surely(lambda: list(self._whole(table, columns, condition, values)))

    def check(self) -> dict[str, int]:
        """Looks at every row and at the file; returns how many rows each table has.

        Damaged rows are in ``damage`` after it. A file that is damaged itself is set aside.
        """

        def look() -> dict[str, int]:
            (found,) = self._ask("PRAGMA integrity_check(1)").fetchone()
            if found != "ok":
                raise _Damaged(found)
            return {table: sum(1 for _ in self._whole(table, "1")) for table in schema.TABLES}

        return self._surely(look)

    def snapshot(self, work: Callable[[Callable[..., Iterator[Row]]], _Done]) -> _Done:
        """Does work with what takes the arguments of `rows`, all as of one moment."""

        def once() -> _Done:
            self._ask("BEGIN")
            with committed(self._file.connection):
                return work(self._whole)

        return self._surely(once)

    def write(self, work: Callable[[sqlite3.Connection], _Done]) -> _Done:
        """Does work in a transaction that is kept as a whole, or not at all."""

        def once() -> _Done:
            with self._begun() as connection:
                return work(connection)

        return self._surely(once)

    def close(self) -> None:
        """Ends the use of the file; closing twice does no harm."""
        with self._lock:
            self._file.connection.close()
            self._files.close()

    def _surely(self, work: Callable[[], _Done]) -> _Done:
        """Does work; again where the file turned out damaged and another took its place."""
        with self._lock, self._refusing():
            try:
                return work()
            except _ERRORS as error:
                if cause_of(error, self.path) != "damaged":
                    raise
                self._open(self._file.identity)
                return work()

    @contextmanager
    def _refusing(self) -> Iterator[None]:
        """Turns every error of the database and of its file into a `JournalError`."""
        try:
            yield
        except _ERRORS as error:
            raise refusal(self.path, error) from None

    def _ask(self, sql: str, values: Sequence[Any] = ()) -> sqlite3.Cursor:
        return ask(self._file.connection, sql, values, self._patience_s)

    def _whole(
        self, table: str, columns: str, condition: str = "", values: Sequence[Any] = ()
    ) -> Iterator[Row]:
        keys, total = schema.TABLES[table].keys, self._file.sums[table]
        sql = f"SELECT {total} IS {schema.SUM}, {', '.join(keys)}, {columns} FROM {table}"
        begin = 1 + len(keys)
        for row in self._ask(f"{sql} {condition}", values):
            if row[0]:
                yield row[begin:]
            else:
                self.damage[schema.TABLES[table].row.format(*row[1:begin])] = None

    @contextmanager
    def _begun(self) -> Iterator[sqlite3.Connection]:
        """A transaction in the file that has the name now, and keeps it until the block ends."""
        while not (held := self._held()):
            self._open()
        with held, committed(self._file.connection) as connection:
            yield connection

    def _held(self) -> ExitStack | None:
        """Begins a transaction; returns what holds the file, None where another has its place."""
        with self._files.first_in_line(self._patience_s), ExitStack() as held:
            held.enter_context(self._files.together())
            if self._files.identity() != self._file.identity:
                return None
            self._ask("BEGIN IMMEDIATE")
            return held.pop_all()

    def _open(self, damaged: Identity | None = None) -> None:
        """Opens the file that has the name now, or a new one in place of the damaged one."""
        self._file.connection.close()
        self._file = self._file._replace(identity=None)  # so that it is tried again, should it fail
        self._file = self._opening.open(damaged)


class _Damaged(sqlite3.DatabaseError):
    """A file that SQLite reads without an error, though it is damaged."""

    sqlite_errorcode = sqlite3.SQLITE_CORRUPT
