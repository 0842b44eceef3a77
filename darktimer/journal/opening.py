"""A journal's file opened: made where there is none, brought up to date, set aside when damaged."""

import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Final, Literal, NamedTuple

from darktimer.journal import schema
from darktimer.journal.checksums import keep_checksums, with_checksums, without_checksums
from darktimer.journal.connection import ask, committed, connect
from darktimer.journal.files import Files, Identity
from darktimer.journal.refusal import OF_SQLITE, JournalError, cause_of
from darktimer.journal.salvage import salvage

#: Why a file cannot be used as it is.
_Need = Literal["nothing", "older", "damaged"]
_ON_THE_DISK: Final = ("journal_mode = WAL", "synchronous = FULL", "fullfsync = 1")


class Opened(NamedTuple):
    """A journal that can be used: its connection, each table's sum in SQL, and which file it is."""

    connection: sqlite3.Connection
    sums: dict[str, str]
    identity: Identity | None


class Opening:
    """Opens the file of ``files``. What a person must know of it is added to ``notices``.

    Everything raises `JournalError`, `OSError` and errors of the database.
    """

    def __init__(self, files: Files, patience_s: float, notices: list[str]) -> None:
        self._files = files
        self._path = files.path
        self._patience_s = patience_s
        self._notices = notices

    def open(self, damaged: Identity | None = None) -> Opened:
        """The file; alone, and after another look, where something must be done first.

        The file that has the identity ``damaged`` is set aside.
        """
        with self._files.together():
            found = self._look(damaged)
        if not isinstance(found, Opened):
            with self._files.alone():
                found = self._made_usable(damaged)
        return found

    def _made_usable(self, damaged: Identity | None) -> Opened:
        found = self._look(damaged)
        if found == "older":
            found = self._brought_up_to_date()
        if found in ("nothing", "damaged"):
            self._begin()
            found = self._look()
        if isinstance(found, Opened):
            return found
        raise JournalError(self._path, f"what was just written is {found}", "look at the disk")

    def _look(self, damaged: Identity | None = None) -> Opened | _Need:
        if self._files.trouble() or (damaged and damaged == self._files.identity()):
            return "damaged"
        if not self._path.exists():
            return "nothing"
        try:
            return self._connected("NORMAL")
        except OF_SQLITE as error:
            cause = cause_of(error, self._path)
            if cause == "damaged":
                return "damaged"
            if cause != "full":
                raise
        # With its index in memory a log can be read on a full disk, though by one process alone.
        return self._connected("EXCLUSIVE")

    def _connected(self, locking: str) -> Opened | _Need:
        connection = connect(self._path, "rw")
        found: Opened | _Need | None = None
        try:
            connection.execute(f"PRAGMA locking_mode = {locking}")
            found = self._need_of(connection)
            if found is None:
                for pragma in _ON_THE_DISK:
                    self._ask(connection, f"PRAGMA {pragma}")
                found = Opened(connection, keep_checksums(connection), self._files.identity())
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
            remedy = "move it out of this folder"
            raise JournalError(
                self._path, "this is another program's database", remedy, "forbidden"
            )
        if version > schema.VERSION:
            says = f"a later darktimer wrote this journal (version {version})"
            raise JournalError(self._path, says, "use that darktimer for it", "newer")
        wanted = schema.definitions(version)
        if version < 1 or any(found.get(name) != _plain(sql) for name, sql in wanted.items()):
            return "damaged"
        return None if version == schema.VERSION else "older"

    def _begin(self) -> None:
        """A new file, with what can be read of a damaged one; whole when it gets its name."""
        trouble = self._files.trouble()
        aside = trouble or self._path.exists()
        damaged = self._files.set_aside() if aside else self._files.left_aside()
        growing, kept = self._files.growing(), 0
        with closing(connect(growing, "rwc")) as new:
            new.execute("PRAGMA journal_mode = WAL")
            new.execute("BEGIN")
            with committed(new):
                new.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
                _update(new, 0)
                if damaged:
                    kept = salvage(damaged, new)
        growing.rename(self._path)
        if damaged:
            self._notices.append(
                f"{self._path}: this journal {trouble or 'was damaged'}; it is kept as "
                f"{damaged.name}, and a new one is begun, with the {kept} rows that could be read "
                "of it"
            )

    def _brought_up_to_date(self) -> Opened | _Need:
        with closing(connect(self._path, "rw")) as old:
            (version,) = old.execute("PRAGMA user_version").fetchone()
            kept = self._back_up(old)
            old.execute("BEGIN IMMEDIATE")
            try:
                with committed(old):
                    _update(old, version)
            except OF_SQLITE as error:
                if cause_of(error, self._path) != "damaged":
                    raise
                return "damaged"
        self._notices.append(
            f"{self._path}: updated from version {version} to {schema.VERSION}; "
            f"the old file is kept as {kept.name}"
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


def _update(connection: sqlite3.Connection, version: int) -> None:
    """Brings the tables from a version to the latest, 0 for a file that has none."""
    if version >= schema.SUMMED_SINCE:
        without_checksums(connection)
    schema.update(connection, version)
    connection.execute(f"PRAGMA user_version = {schema.VERSION}")
    with_checksums(connection)


def _plain(sql: str | None) -> str:
    """A definition without its blanks, which say nothing."""
    return "".join((sql or "").split())
