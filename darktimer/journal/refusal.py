"""The one error of the journal: what cannot be kept or read, why, and the mend.

Errors of the database never leave this room as such. Knows what they mean, not where they arise.
"""

import sqlite3
from pathlib import Path
from typing import Final, Literal

from darktimer.errors import DarktimerError

Cause = Literal["full", "locked", "damaged", "forbidden", "newer", "other"]

_DAMAGED: Final = frozenset({sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB})
_CAUSES: Final[dict[int, Cause]] = {
    sqlite3.SQLITE_FULL: "full",
    sqlite3.SQLITE_BUSY: "locked",
    sqlite3.SQLITE_LOCKED: "locked",
    sqlite3.SQLITE_READONLY: "forbidden",
    sqlite3.SQLITE_CANTOPEN: "forbidden",
    sqlite3.SQLITE_PERM: "forbidden",
    sqlite3.SQLITE_AUTH: "forbidden",
    **dict.fromkeys(_DAMAGED, "damaged"),
}
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

    def __init__(self, place: Path | str, found: str, mend: str, cause: Cause = "other") -> None:
        super().__init__(f"{place}: {found}; {mend}")
        self.cause = cause


def refusal(path: Path, error: Exception) -> JournalError:
    """What an error of the database, or of the values given to it, comes to."""
    cause = cause_of(error)
    fallback = (str(error) or type(error).__name__, "look at the disk and at the file")
    return JournalError(path, *_SAYS.get(cause, fallback), cause)


def cause_of(error: Exception) -> Cause:
    """The kind of trouble behind an error of the database."""
    code = getattr(error, "sqlite_errorcode", None)
    # The low byte is the kind of error; what stands above it only narrows it down.
    return "other" if code is None else _CAUSES.get(code & 0xFF, "other")
