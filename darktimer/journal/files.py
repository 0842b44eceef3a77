"""The journal's file on the disk: its companions, its lock, and how a damaged one is set aside.

Whoever writes into the file holds its lock together with others; whoever puts another file in its
place holds it alone. So no commit ever goes into a file that is just being set aside. Writers stand
in line: the first of it waits for the file, the others wait for its place.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from darktimer.journal.connection import ask

Identity = tuple[int, ...]
#: Bringing a long journal up to date, or saving what can be read of a damaged one, takes seconds.
_PATIENCE_S: Final = 60
#: No database is smaller than its smallest page.
_LEAST_BYTES: Final = 512
_COMPANIONS: Final = ("", "-wal", "-shm")


class Files:
    """The file at ``path`` with what SQLite keeps beside it."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._part = path.with_name(f"{path.name}.part")
        self._lock, self._line = (_lock_on(path.with_suffix(".lock")) for _ in range(2))

    def close(self) -> None:
        """Ends the use of the locks."""
        self._lock.close()
        self._line.close()

    @contextmanager
    def together(self) -> Iterator[None]:
        """While this is held, the file is not replaced."""
        with _held(self._lock, _PATIENCE_S, "BEGIN", "SELECT 1 FROM sqlite_master"):
            yield

    @contextmanager
    def alone(self) -> Iterator[None]:
        """While this is held, nobody else opens the file, writes into it or replaces it."""
        with _held(self._lock, _PATIENCE_S, "BEGIN EXCLUSIVE"):
            yield

    @contextmanager
    def first_in_line(self, patience_s: float) -> Iterator[None]:
        """While this is held, nobody else begins to write."""
        with _held(self._line, patience_s, "BEGIN IMMEDIATE"):
            yield

    def identity(self) -> Identity:
        """What tells this very file from another of the same name; empty where there is none."""
        try:
            found = self.path.stat()
        except OSError:
            return ()
        return found.st_dev, found.st_ino

    def trouble(self) -> str:
        """What is wrong with the file before it is even opened, or nothing.

        SQLite would take an empty file for a new one, and delete a log that has no file.
        """
        log = companion(self.path, "-wal")
        if self.path.is_file():
            size = self.path.stat().st_size
            return "" if size >= _LEAST_BYTES else "was cut short" if size else "was empty"
        lost = not self.path.exists() and log.exists() and log.stat().st_size
        return "was gone, but not its log" if lost else ""

    def set_aside(self) -> Path:
        """Gives the file and its companions another name, which nothing has; returns that."""
        target = self.unused("damaged")
        for end in _COMPANIONS:
            with suppress(FileNotFoundError):
                companion(self.path, end).rename(companion(target, end))
        return target

    def left_aside(self) -> Path | None:
        """What was set aside by a process that was killed before it had made the new file."""
        found = self.path.parent.glob(f"{self.path.stem}-damaged-*") if self._part.exists() else ()
        names = (path.name.removesuffix("-wal") for path in found)
        return max((self.path.with_name(name) for name in names), default=None)

    def unused(self, word: str) -> Path:
        """A name beside the file that nothing has: with the word and the moment."""
        while True:
            moment = datetime.now(UTC).strftime("%Y%m%dT%H%M%S.%fZ")
            target = self.path.with_stem(f"{self.path.stem}-{word}-{moment}")
            if not any(companion(target, end).exists() for end in _COMPANIONS):
                return target

    def growing(self) -> Path:
        """Where a new file is made, to be moved when it is whole; what a kill left is deleted."""
        for left in self.path.parent.glob(f"{self._part.name}*"):
            left.unlink()
        return self._part


def companion(path: Path, end: str) -> Path:
    """What SQLite keeps beside a file under its name with another end."""
    return path.with_name(path.name + end)


def _lock_on(path: Path) -> sqlite3.Connection:
    """A database that stays empty: its locks are the same on every system, and end with a process.

    Nothing is ever written, so that a full disk cannot refuse it.
    """
    connection = sqlite3.connect(path, timeout=0, isolation_level=None, check_same_thread=False)
    ask(connection, "PRAGMA journal_mode = MEMORY", (), _PATIENCE_S)
    return connection


@contextmanager
def _held(lock: sqlite3.Connection, patience_s: float, *statements: str) -> Iterator[None]:
    try:
        for statement in statements:
            ask(lock, statement, (), patience_s).fetchall()
        yield
    finally:
        if lock.in_transaction:
            lock.execute("ROLLBACK")
