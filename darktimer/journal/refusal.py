"""The one error of the journal: what cannot be kept or read, why, and the remedy.

Errors of the database never leave this room as such. Knows what they mean, not where they arise.
"""

import errno
import shutil
import sqlite3
from pathlib import Path
from typing import Final, Literal

from darktimer.errors import DarktimerError

#: "unwritable": what was given can never be written, so that trying again is of no use.
Cause = Literal["full", "locked", "damaged", "forbidden", "newer", "unwritable", "other"]

#: What SQLite raises; the latter where the name of what it found damaged is no text any more.
OF_SQLITE: Final = (sqlite3.Error, UnicodeDecodeError)
_DAMAGED: Final = frozenset({sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB})
_CAUSES: Final[dict[int, Cause]] = {
    sqlite3.SQLITE_FULL: "full",
    sqlite3.SQLITE_BUSY: "locked",
    sqlite3.SQLITE_LOCKED: "locked",
    sqlite3.SQLITE_READONLY: "forbidden",
    sqlite3.SQLITE_CANTOPEN: "forbidden",
    sqlite3.SQLITE_PERM: "forbidden",
    sqlite3.SQLITE_AUTH: "forbidden",
    sqlite3.SQLITE_CONSTRAINT: "unwritable",
    sqlite3.SQLITE_TOOBIG: "unwritable",
    sqlite3.SQLITE_MISMATCH: "unwritable",
    **dict.fromkeys(_DAMAGED, "damaged"),
}
_ERRNO_CAUSES: Final[dict[int, Cause]] = {
    errno.ENOSPC: "full",
    errno.EDQUOT: "full",
    errno.EACCES: "forbidden",
    errno.EPERM: "forbidden",
    errno.EROFS: "forbidden",
}
#: What SQLite says, among others, of a disk that has no room for a file's index or log.
_IF_NO_ROOM: Final = frozenset({sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CANTOPEN})
_ROOM_BYTES: Final = 65_536  # the index of a log takes half of that
_SAYS: Final[dict[Cause, tuple[str, str]]] = {
    "full": ("the disk is full", "free some space"),
    "locked": ("another program is writing to it", "wait, or end that program"),
    "damaged": ("the file is damaged", "do it again: a new journal is begun, the old one kept"),
    "forbidden": (
        "it cannot be opened or written",
        "look at its owner and rights, or name another folder in DARKTIMER_HOME",
    ),
}


class JournalError(DarktimerError):
    """Something the journal could not keep or read. ``cause`` is for programs to decide by."""

    def __init__(self, place: Path | str, found: str, remedy: str, cause: Cause = "other") -> None:
        super().__init__(f"{place}: {found}; {remedy}")
        self.cause = cause


def refusal(path: Path, error: Exception) -> JournalError:
    """What an error of the database, its file, or the values given to it comes to."""
    cause = cause_of(error, path)
    fallback = (str(error) or type(error).__name__, "look at the disk and at the file")
    if isinstance(error, OSError):
        reason = (error.strerror or "its folder cannot be used").lower()
        fallback = (reason, "name another folder in DARKTIMER_HOME")
    return JournalError(path, *_SAYS.get(cause, fallback), cause)


def cause_of(error: Exception, path: Path) -> Cause:
    """The kind of trouble behind an error that arose with the database at ``path``."""
    if isinstance(error, OSError):
        return _ERRNO_CAUSES.get(error.errno or 0, "other")
    if isinstance(error, UnicodeDecodeError):  # SQLite names what it found damaged
        return "damaged"
    if isinstance(error, UnicodeError | OverflowError) or "binding" in str(error):
        return "unwritable"
    code = getattr(error, "sqlite_errorcode", 0)
    if code == sqlite3.SQLITE_CORRUPT_VTAB:  # an index that can be made anew
        return "other"
    # The low byte is the kind of error; what is above it only narrows it down.
    kind = code & 0xFF
    if kind in _IF_NO_ROOM and _no_room(path):
        return "full"
    return _CAUSES.get(kind, "other")


def is_locked(error: sqlite3.Error) -> bool:
    """Whether another process, or thread, holds what is needed: asking again may help."""
    return _CAUSES.get(error.sqlite_errorcode & 0xFF) == "locked"


def _no_room(path: Path) -> bool:
    try:
        return shutil.disk_usage(path.parent).free < _ROOM_BYTES
    except OSError:
        return False
