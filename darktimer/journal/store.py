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
from darktimer.journal.files import Files, ask
from darktimer.journal.opening import Opened, Opening, kept_whole
from darktimer.journal.refusal import cause_of, refusal

Row = tuple[Any, ...]
_Done = TypeVar("_Done")
#: What SQLite raises, and what Python does for values that SQLite cannot take, or for the file.
_ERRORS: Final = (sqlite3.Error, sqlite3.Warning, UnicodeError, OverflowError)


class Store:
    """An open file. May be used from several threads; each call waits for the one before it.

    ``notices`` is what a person must be told: a file set aside, a backup made. ``damage`` names the
    rows that were found damaged and left out. ``generation`` grows when another file takes the
    place of this one. ``patience_ms`` is how long a call waits for a process that is writing.
    """

    def __init__(self, path: Path, patience_ms: int) -> None:
        self.path = path
        self.notices: list[str] = []
        self.damage: dict[str, None] = {}
        self.generation = 0
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

    @contextmanager
    def snapshot(self) -> Iterator[Callable[[str, str, str], Iterator[Row]]]:
        """What takes the arguments of `rows` and gives a row at a time, all as of one moment."""
        with self._lock, self._translated():
            self._ask("BEGIN")
            try:
                yield self._whole
            finally:
                if self._file.connection.in_transaction:
                    self._ask("ROLLBACK")

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """A transaction that is kept as a whole when the block ends, or not at all."""
        with self._lock, self._translated(), self._transaction() as connection:
            yield connection

    def write(self, work: Callable[[sqlite3.Connection], _Done]) -> _Done:
        """Does work in a transaction; again where another file had to take this one's place."""

        def once() -> _Done:
            with self._transaction() as connection:
                return work(connection)

        return self._surely(once)

    def close(self) -> None:
        """Ends the use of the file; closing twice does no harm."""
        with self._lock:
            self._file.connection.close()
            self._files.close()

    def _surely(self, work: Callable[[], _Done]) -> _Done:
        """Does what may be done twice; the second time where the file turned out damaged."""
        with self._lock, self._translated():
            try:
                return work()
            except (sqlite3.Error, UnicodeDecodeError) as error:
                if cause_of(error, self.path) != "damaged":
                    raise
                self._open_instead()
                return work()

    @contextmanager
    def _translated(self) -> Iterator[None]:
        """Turns every error of the database into a `JournalError`; sets a damaged file aside."""
        try:
            yield
        except _ERRORS as error:
            if cause_of(error, self.path) == "damaged":
                self._open_instead()
            raise refusal(self.path, error) from None

    @contextmanager
    def _refusing(self) -> Iterator[None]:
        """Turns every error of the database and of its file into a `JournalError`."""
        try:
            yield
        except (*_ERRORS, OSError) as error:
            raise refusal(self.path, error) from None

    def _ask(self, sql: str, values: Sequence[Any] = ()) -> sqlite3.Cursor:
        return ask(self._file.connection, sql, values, self._patience_s)

    def _whole(
        self, table: str, columns: str, condition: str = "", values: Sequence[Any] = ()
    ) -> Iterator[Row]:
        keys, total = schema.TABLES[table].keys, self._file.sums[table]
        sql = f"SELECT {total} IS {schema.SUM}, {', '.join(keys)}, {columns} FROM {table}"
        for whole, *row in self._ask(f"{sql} {condition}", values):
            if whole:
                yield tuple(row[len(keys) :])
            else:
                self.damage[schema.TABLES[table].row.format(*row)] = None

    @contextmanager
    def _transaction(self) -> Iterator[sqlite3.Connection]:
        while not (held := self._begun()):
            self._file.connection.close()
            with self._refusing():
                self._take(self._opening.open())
        with held, kept_whole(self._file.connection):
            yield self._file.connection

    def _begun(self) -> ExitStack | None:
        """Begins a transaction; returns what holds the file, None where another has its place."""
        with self._files.first_in_line(self._patience_s), ExitStack() as held:
            held.enter_context(self._files.together())
            if self._files.identity() != self._file.identity:
                return None
            self._ask("BEGIN IMMEDIATE")
            return held.pop_all()

    def _open_instead(self) -> None:
        """Has another file take the place of this one, which is damaged."""
        damaged = self._file
        damaged.connection.close()
        self._file = damaged._replace(identity=None)  # so that it is tried again, should this fail
        with self._refusing():
            self._take(self._opening.open_instead(damaged))

    def _take(self, opened: Opened) -> None:
        self._file = opened
        self.generation += 1


class _Damaged(sqlite3.DatabaseError):
    """A file that SQLite reads without an error, though it is damaged."""

    sqlite_errorcode = sqlite3.SQLITE_CORRUPT
