"""One SQLite file: opened, brought up to date, set aside when damaged, its errors translated.

Written ahead and synced at each commit, so that nothing committed is lost by a kill or a power
cut. Knows no runs and no baths.
"""

import sqlite3
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, closing, contextmanager
from functools import partial
from pathlib import Path
from typing import Any, Final, Literal, TypeVar

from darktimer.journal import schema
from darktimer.journal.files import Files, ask
from darktimer.journal.refusal import JournalError, cause_of, refusal
from darktimer.journal.salvage import salvage
from darktimer.journal.sums import keep_sums, with_sums, without_sums

Row = tuple[Any, ...]
_Done = TypeVar("_Done")
#: What there is at the path: a journal that is open now, or one that must be seen to first.
_Found = Literal["open", "nothing", "older", "damaged"]
#: What SQLite raises, and what Python does for values that SQLite cannot take.
_ERRORS: Final = (sqlite3.Error, sqlite3.Warning, UnicodeEncodeError, OverflowError)


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
        with self._refusing():
            path.parent.mkdir(parents=True, exist_ok=True)
            self._files = Files(path)
            self._connection = sqlite3.connect(":memory:")
            try:
                self._open()
            except BaseException:
                self._files.close()
                raise

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
            self._connection.close()
            self._files.close()

    def _surely(self, work: Callable[[], _Done]) -> _Done:
        """Does what may be done twice; the second time where the file turned out damaged."""
        with self._lock, self._translated():
            try:
                return work()
            except sqlite3.Error as error:
                if self._cause(error) != "damaged":
                    raise
                self._begin_anew()
                return work()

    @contextmanager
    def _translated(self) -> Iterator[None]:
        """Turns every error of the database into a `JournalError`; sets a damaged file aside."""
        try:
            yield
        except _ERRORS as error:
            if self._cause(error) == "damaged":
                self._begin_anew()
            raise refusal(self.path, error) from None

    @contextmanager
    def _refusing(self) -> Iterator[None]:
        """Turns every error of the database and of its file into a `JournalError`."""
        try:
            yield
        except (*_ERRORS, OSError) as error:
            raise refusal(self.path, error) from None

    def _cause(self, error: Exception) -> str:
        return cause_of(error, self.path)

    def _ask(self, sql: str, values: Sequence[Any] = ()) -> sqlite3.Cursor:
        return ask(self._connection, sql, values, self._patience_s)

    def _whole(
        self, table: str, columns: str, condition: str = "", values: Sequence[Any] = ()
    ) -> Iterator[Row]:
        keys = schema.TABLES[table].keys
        sql = f"SELECT {self._sums[table]} IS crc32, {', '.join(keys)}, {columns} FROM {table}"
        for whole, *row in self._ask(f"{sql} {condition}", values):
            if whole:
                yield tuple(row[len(keys) :])
            else:
                self.damage[schema.TABLES[table].row.format(*row)] = None

    @contextmanager
    def _transaction(self) -> Iterator[sqlite3.Connection]:
        while not (held := self._begun()):
            self._open()
        with held, _whole(self._connection):
            yield self._connection

    def _begun(self) -> ExitStack | None:
        """Begins a transaction; returns what holds the file, None where another has its place."""
        with self._files.first_in_line(self._patience_s), ExitStack() as held:
            held.enter_context(self._files.together())
            if self._files.identity() != self._identity:
                return None
            self._ask("BEGIN IMMEDIATE")
            return held.pop_all()

    def _open(self) -> None:
        """Opens the file; alone, and after another look, where something must be done first."""
        with self._refusing():
            with self._files.together():
                if self._look() == "open":
                    return
            with self._files.alone():
                found = self._look()
                if found == "older":
                    found = self._brought_up_to_date()
                if found != "open":
                    self._begin(set_aside=found == "damaged")

    def _look(self) -> _Found:
        self._connection.close()
        self._identity: tuple[int, ...] | None = None
        if self._files.trouble():
            return "damaged"
        if not self.path.exists():
            return "nothing"
        # With its index in memory a log can be read on a full disk, though by one process alone.
        for locking in ("NORMAL", "EXCLUSIVE"):
            try:
                return self._connect(locking)
            except sqlite3.Error as error:
                cause = self._cause(error)
                if cause == "damaged":
                    return "damaged"
                if cause != "full" or locking == "EXCLUSIVE":
                    raise
        raise AssertionError("unreachable")

    def _connect(self, locking: str) -> _Found:
        self._connection = _connected(self.path, "rw")
        try:
            self._ask(f"PRAGMA locking_mode = {locking}")
            found = self._inspect()
            if found == "open":
                for pragma in ("synchronous = FULL", "fullfsync = 1"):
                    self._ask(f"PRAGMA {pragma}")
                self._sums = keep_sums(self._connection)
                self._identity, self.generation = self._files.identity(), self.generation + 1
        except BaseException:
            self._connection.close()
            raise
        if found != "open":
            self._connection.close()
        return found

    def _inspect(self) -> _Found:
        """What the open file is; raises `JournalError` for another program's, or a later one's."""
        (owner,), (version,) = (
            self._ask(f"PRAGMA {name}").fetchone() for name in ("application_id", "user_version")
        )
        rows = self._ask("SELECT name, sql FROM sqlite_master")
        found = {name: _plain(sql) for name, sql in rows}
        if (
            found
            and owner != schema.APPLICATION_ID
            and not found.keys() >= schema.definitions(1).keys()
        ):
            mend = "move it out of this folder"
            raise JournalError(self.path, "this is another program's database", mend, "forbidden")
        if version > schema.VERSION:
            says = f"a later darktimer wrote this journal (version {version})"
            raise JournalError(self.path, says, "use that darktimer for it", "newer")
        self._ask("PRAGMA journal_mode = WAL")
        wanted = schema.definitions(version)
        if version < 1 or any(found.get(name) != _plain(sql) for name, sql in wanted.items()):
            return "damaged"
        return "open" if version == schema.VERSION else "older"

    def _begin_anew(self) -> None:
        """Sets the damaged file aside, unless another process has already put one in its place."""
        self._connection.close()
        with self._refusing():
            with self._files.alone():
                if self._files.identity() == self._identity:
                    self._begin(set_aside=True)
                    return
            self._open()

    def _begin(self, *, set_aside: bool) -> None:
        """A new file, with what can be read of the damaged one; whole when it gets its name."""
        trouble, damaged = self._files.trouble() or "was damaged", None
        if set_aside:
            damaged = self._files.set_aside()
        elif self._files.was_interrupted():
            damaged = self._files.last_set_aside()
        growing = self._files.growing()
        with closing(_connected(growing, "rwc")) as new:
            new.execute("PRAGMA journal_mode = WAL")
            new.execute("BEGIN")
            with _whole(new):
                new.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
                _bring_from(new, 0)
                kept = salvage(damaged, new) if damaged else 0
        growing.rename(self.path)
        if damaged:
            self.notices.append(
                f"{self.path}: this journal {trouble}; it is kept as {damaged.name}, and a new one "
                f"is begun, with the {kept} rows that could be read of it"
            )
        self._look()

    def _brought_up_to_date(self) -> _Found:
        with closing(_connected(self.path, "rw")) as old:
            (version,) = old.execute("PRAGMA user_version").fetchone()
            kept = self._back_up(old)
            old.execute("BEGIN IMMEDIATE")
            try:
                with _whole(old):
                    _bring_from(old, version)
            except sqlite3.DatabaseError as error:
                if self._cause(error) != "damaged":
                    raise
                return "damaged"
        self.notices.append(
            f"{self.path}: brought from version {version} to {schema.VERSION}; "
            f"as it was, it is kept as {kept.name}"
        )
        return self._look()

    def _back_up(self, old: sqlite3.Connection) -> Path:
        """A whole copy beside the file, made before anything is changed."""
        growing = self._files.growing()
        target = self._files.unused(f"before-version-{schema.VERSION}")
        with closing(sqlite3.connect(growing)) as copy:
            old.backup(copy)
        growing.rename(target)
        return target


class _Damaged(sqlite3.DatabaseError):
    """A file that SQLite reads without an error, though it is damaged."""

    sqlite_errorcode = sqlite3.SQLITE_CORRUPT


def _connected(path: Path, mode: str) -> sqlite3.Connection:
    connection = sqlite3.connect(
        f"{path.absolute().as_uri()}?mode={mode}",
        uri=True,
        timeout=0,
        isolation_level=None,
        check_same_thread=False,
    )
    connection.text_factory = partial(str, encoding="utf-8", errors="replace")  # a sum tells
    connection.create_function("folded", 1, _folded, deterministic=True)
    connection.execute("PRAGMA foreign_keys = 1")
    return connection


def _folded(text: str | bytes) -> str:
    """Text in which capital and small letters are alike, in every alphabet."""
    return (text if isinstance(text, str) else text.decode(errors="replace")).casefold()


@contextmanager
def _whole(connection: sqlite3.Connection) -> Iterator[None]:
    """Commits what was begun when the block ends, or takes it back."""
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def _bring_from(connection: sqlite3.Connection, version: int) -> None:
    if version >= schema.SUMMED_SINCE:
        without_sums(connection)
    for statements in schema.VERSIONS[version:]:
        for statement in statements:
            connection.execute(statement)
    connection.execute(f"PRAGMA user_version = {schema.VERSION}")
    with_sums(connection)


def _plain(sql: str | None) -> str:
    """A definition without its blanks, which say nothing."""
    return "".join((sql or "").split())
