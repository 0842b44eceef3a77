"""What an error of the database, or of its file, comes to: a cause, and a line for a person."""

import errno
import sqlite3

import pytest

from darktimer.journal import refusal
from darktimer.journal.refusal import cause_of, is_locked


def of_sqlite(code, text="said"):
    error = sqlite3.OperationalError(text)
    error.sqlite_errorcode = code
    return error


@pytest.mark.parametrize(
    ("error", "cause"),
    [
        # Result codes and extended ones, whose low byte is the primary code: sqlite.org/rescode.
        (of_sqlite(13), "full"),
        (of_sqlite(5), "locked"),
        (of_sqlite(6), "locked"),
        (of_sqlite(5 | 2 << 8), "locked"),  # BUSY_SNAPSHOT
        (of_sqlite(11), "damaged"),
        (of_sqlite(26), "damaged"),
        (of_sqlite(11 | 3 << 8), "damaged"),  # CORRUPT_INDEX
        (of_sqlite(11 | 1 << 8), "other"),  # CORRUPT_VTAB: an index that can be made anew
        (of_sqlite(8), "forbidden"),
        (of_sqlite(14), "forbidden"),
        (of_sqlite(3), "forbidden"),
        (of_sqlite(23), "forbidden"),
        (of_sqlite(19 | 5 << 8), "unwritable"),  # CONSTRAINT_NOTNULL
        (of_sqlite(18), "unwritable"),
        (of_sqlite(20), "unwritable"),
        (of_sqlite(1), "other"),
        (of_sqlite(10), "other"),
        (sqlite3.InterfaceError("Error binding parameter 1: a list"), "unwritable"),
        (sqlite3.ProgrammingError("Cannot operate on a closed database."), "other"),
        (OSError(errno.ENOSPC, ""), "full"),
        (OSError(errno.EDQUOT, ""), "full"),
        (OSError(errno.EACCES, ""), "forbidden"),
        (OSError(errno.EPERM, ""), "forbidden"),
        (OSError(errno.EROFS, ""), "forbidden"),
        (OSError(errno.EIO, ""), "other"),
        (OSError("no number"), "other"),
        (UnicodeDecodeError("utf-8", b"\xff", 0, 1, "damaged"), "damaged"),
        (UnicodeEncodeError("utf-8", "\udcff", 0, 1, "half a character"), "unwritable"),
        (OverflowError("too large"), "unwritable"),
    ],
)  # fmt: skip
def test_each_error_has_its_cause(tmp_path, error, cause):
    assert cause_of(error, tmp_path / "journal.sqlite3") == cause
    if isinstance(error, sqlite3.OperationalError):
        assert is_locked(error) == (cause == "locked")


class Usage:
    def __init__(self, free):
        self.free = free


@pytest.mark.parametrize("code", [10, 14, 10 | 19 << 8])  # IOERR, CANTOPEN, IOERR_SHMSIZE
@pytest.mark.parametrize(("free", "full"), [(65_535, True), (65_536, False)])
def test_a_file_that_finds_no_room_for_its_log_says_full(tmp_path, monkeypatch, code, free, full):
    monkeypatch.setattr(refusal.shutil, "disk_usage", lambda _: Usage(free))
    assert (cause_of(of_sqlite(code), tmp_path / "journal.sqlite3") == "full") == full
    assert cause_of(of_sqlite(1), tmp_path) == "other"


def test_room_is_looked_for_in_the_folder_of_the_file_and_where_there_is_one(tmp_path):
    for path in (tmp_path / "journal.sqlite3", tmp_path / "gone" / "journal.sqlite3"):
        assert cause_of(of_sqlite(10), path) == "other"


@pytest.mark.parametrize(
    ("error", "says"),
    [
        (of_sqlite(13), "the disk is full; free some space"),
        (of_sqlite(5), "another program is writing to it; wait, or end that program"),
        (of_sqlite(1, "no such table: x"), "no such table: x; look at the disk and at the file"),
        (of_sqlite(1, ""), "OperationalError; look at the disk and at the file"),
        (OSError(errno.EIO, "Input/output error"),
         "input/output error; name another folder in DARKTIMER_HOME"),
        (OSError("x"), "its folder cannot be used; name another folder in DARKTIMER_HOME"),
    ],
)  # fmt: skip
def test_an_error_is_one_line_with_the_file_and_a_remedy(tmp_path, error, says):
    path = tmp_path / "journal.sqlite3"
    reported = refusal.refusal(path, error)
    assert str(reported) == f"{path}: {says}"
    assert reported.cause == cause_of(error, path)
