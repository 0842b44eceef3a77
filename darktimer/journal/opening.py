"""A journal's file opened: made where there is none, brought up to date, set aside when damaged."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from functools import partial
from pathlib import Path
from typing import Final, Literal, NamedTuple

from darktimer.journal import schema
from darktimer.journal.files import Files, ask
from darktimer.journal.refusal import JournalError, cause_of
from darktimer.journal.salvage import salvage
from darktimer.journal.sums import keep_sums, with_sums, without_sums

#: Why a file cannot be used as it is.
_Need = Literal["nothing", "older", "damaged"]
_ON_THE_DISK: Final = ("journal_mode = WAL", "synchronous = FULL", "fullfsync = 1")


class Opened(NamedTuple):
    """A journal that can be used: its connection, each table's sum in SQL, and which file it is."""

    connection: sqlite3.Connection
    sums: dict[str, str]
    identity: tuple[int, ...] | None


class Opening:
    """Opens the file of ``files``. What a person must be told is added to ``notices``.

    Everything raises `JournalError`, `OSError` and errors of the database.
    """

    def __init__(self, files: Files, patience_s: float, notices: list[str]) -> None:
        self._files = files
        self._path = files.path
        self._patience_s = patience_s
        self._notices = notices

    def open(self) -> Opened:
        """The file; alone, and after another look, where something must be done first."""
        with self._files.together():
            found = self._look()
        if isinstance(found, Opened):
            return found
        with self._files.alone():
            found = self._look()
            if found == "older":
                found = self._brought_up_to_date()
            return found if isinstance(found, Opened) else self._begun(found)

    def open_instead(self, damaged: Opened) -> Opened:
        """Sets the damaged file aside, unless another process has already put one in its place."""
        with self._files.alone():
            if self._files.identity() == damaged.identity:
                return self._begun("damaged")
        return self.open()

    def _look(self) -> Opened | _Need:
        if self._files.trouble():
            return "damaged"
        if not self._path.exists():
            return "nothing"
        try:
            return self._connected("NORMAL")
        except (sqlite3.Error, UnicodeDecodeError) as error:
            cause = cause_of(error, self._path)
            if cause == "damaged":
                return "damaged"
            if cause != "full":
                raise
        # With its index in memory a log can be read on a full disk, though by one process alone.
        return self._connected("EXCLUSIVE")

    def _connected(self, locking: str) -> Opened | _Need:
        connection = _connect(self._path, "rw")
        found: Opened | _Need | None = None
        try:
            connection.execute(f"PRAGMA locking_mode = {locking}")
            found = self._need_of(connection)
            if found is None:
                for pragma in _ON_THE_DISK:
                    self._ask(connection, f"PRAGMA {pragma}")
                found = Opened(connection, keep_sums(connection), self._files.identity())
            return found
        finally:
            if not isinstance(found, Opened):
                connection.close()

    def _ask(self, connection: sqlite3.Connection, sql: str) -> sqlite3.Cursor:
        return ask(connection, sql, (), self._patience_s)

    def _need_of(self, connection: sqlite3.Connection) -> _Need | None:
        """What must be done first; raises `JournalError` for a file that is not ours to change."""
        sql = "SELECT name, sql FROM sqlite_master"
        found = {name: _plain(made_by) for name, made_by in self._ask(connection, sql)}
        (owner,) = self._ask(connection, "PRAGMA application_id").fetchone()
        (version,) = self._ask(connection, "PRAGMA user_version").fetchone()
        ours = owner == schema.APPLICATION_ID or found.keys() >= schema.definitions(1).keys()
        if found and not ours:
            mend = "move it out of this folder"
            raise JournalError(self._path, "this is another program's database", mend, "forbidden")
        if version > schema.VERSION:
            says = f"a later darktimer wrote this journal (version {version})"
            raise JournalError(self._path, says, "use that darktimer for it", "newer")
        wanted = schema.definitions(version)
        if version < 1 or any(found.get(name) != _plain(sql) for name, sql in wanted.items()):
            return "damaged"
        return None if version == schema.VERSION else "older"

    def _begun(self, need: _Need) -> Opened:
        """A new file, with what can be read of a damaged one; whole when it gets its name."""
        trouble, damaged = self._files.trouble() or "was damaged", None
        if need == "damaged":
            damaged = self._files.set_aside()
        elif self._files.was_interrupted():
            damaged = self._files.last_set_aside()
        growing, kept = self._files.growing(), 0
        with closing(_connect(growing, "rwc")) as new:
            new.execute("PRAGMA journal_mode = WAL")
            new.execute("BEGIN")
            with kept_whole(new):
                new.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
                _bring_from(new, 0)
                if damaged:
                    kept = salvage(damaged, new)
        growing.rename(self._path)
        if damaged:
            self._notices.append(
                f"{self._path}: this journal {trouble}; it is kept as {damaged.name}, and a new "
                f"one is begun, with the {kept} rows that could be read of it"
            )
        return self._surely_opened()

    def _brought_up_to_date(self) -> Opened | _Need:
        with closing(_connect(self._path, "rw")) as old:
            (version,) = old.execute("PRAGMA user_version").fetchone()
            kept = self._back_up(old)
            old.execute("BEGIN IMMEDIATE")
            try:
                with kept_whole(old):
                    _bring_from(old, version)
            except (sqlite3.Error, UnicodeDecodeError) as error:
                if cause_of(error, self._path) != "damaged":
                    raise
                return "damaged"
        self._notices.append(
            f"{self._path}: brought from version {version} to {schema.VERSION}; "
            f"as it was, it is kept as {kept.name}"
        )
        return self._surely_opened()

    def _surely_opened(self) -> Opened:
        found = self._look()
        if isinstance(found, Opened):
            return found
        raise JournalError(self._path, f"what was just written is {found}", "look at the disk")

    def _back_up(self, old: sqlite3.Connection) -> Path:
        """A whole copy beside the file, made before anything is changed."""
        growing = self._files.growing()
        target = self._files.unused(f"before-version-{schema.VERSION}")
        with closing(sqlite3.connect(growing)) as copy:
            old.backup(copy)
        growing.rename(target)
        return target


@contextmanager
def kept_whole(connection: sqlite3.Connection) -> Iterator[None]:
    """Commits what was begun when the block ends, or takes it back."""
    try:
        yield
        connection.execute("COMMIT")
    finally:
        if connection.in_transaction:
            connection.execute("ROLLBACK")


def _connect(path: Path, mode: str) -> sqlite3.Connection:
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


def _bring_from(connection: sqlite3.Connection, version: int) -> None:
    if version >= schema.SUMMED_SINCE:
        without_sums(connection)
    for statement in schema.statements(version):
        connection.execute(statement)
    connection.execute(f"PRAGMA user_version = {schema.VERSION}")
    with_sums(connection)


def _plain(sql: str | None) -> str:
    """A definition without its blanks, which say nothing."""
    return "".join((sql or "").split())
