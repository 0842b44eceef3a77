"""Writes a file whole, or not at all.

The file grows under another name beside its target and takes the target's name when it is
complete. Knows files and what can go wrong with them; not what is in them.
"""

import errno
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from glob import escape
from pathlib import Path
from typing import IO, Final

from darktimer.errors import OutputError

if sys.platform != "win32":
    import fcntl


@contextmanager
def whole_file(wanted: Path, *, force: bool, smaller: str = "") -> Iterator[int]:
    """A descriptor to a new file that takes the wanted name at the end, or is gone.

    An existing file is replaced only with ``force``. ``smaller`` says what would take less room on
    a full disk, such as "write FLAC". Raises `OutputError`, for an `OSError` in the block too.
    """
    target = Path(os.path.realpath(wanted))
    _refuse(wanted, target, force)
    growing, descriptor = target, -1
    try:
        _clean_up(target)
        growing, descriptor = _begun(target)
        yield descriptor
        if target.exists():
            os.fsync(descriptor)  # a good file only gives way to one that outlives a power cut
        os.close(descriptor)
        descriptor = -1
        growing.replace(target)
    except OSError as error:
        raise failed(target, error, smaller) from None
    finally:
        if descriptor >= 0:
            os.close(descriptor)
        if growing != target:
            with suppress(OSError):
                growing.unlink()


@contextmanager
def whole_text(wanted: Path, *, force: bool) -> Iterator[IO[str]]:
    """The same as UTF-8 text, with the ends of lines as they are written."""
    with (
        whole_file(wanted, force=force) as descriptor,
        open(descriptor, "w", encoding="utf-8", newline="", closefd=False) as file,
    ):
        yield file


def write_whole(wanted: Path, content: bytes, *, force: bool) -> None:
    """Writes ``content``, which is all there in memory. Raises `OutputError`."""
    with whole_file(wanted, force=force) as descriptor:
        left = memoryview(content)
        while left:
            left = left[os.write(descriptor, left) :]


def _begun(target: Path) -> tuple[Path, int]:
    """A new file beside the target, locked; another where that was taken for a killed write's."""
    while True:
        growing = target.with_name(f".{target.name[:100]}.{os.urandom(4).hex()}.part")
        descriptor = os.open(growing, os.O_RDWR | os.O_CREAT | os.O_EXCL | _BINARY, 0o666)
        with suppress(BlockingIOError):
            _lock(descriptor)
            if os.fstat(descriptor).st_nlink:
                return growing, descriptor
        os.close(descriptor)


def _clean_up(target: Path) -> None:
    """Takes away what writes of this target left that were killed; those that go on are locked."""
    for left in target.parent.glob(f".{escape(target.name[:100])}.{'[0-9a-f]' * 8}.part"):
        with suppress(OSError):
            with left.open("rb") as file:
                _lock(file.fileno())
            left.unlink()


def _lock(descriptor: int) -> None:
    """Held until the file is closed, or its process ends; `OSError` where another holds it.

    Where there are no such locks, an open file cannot be deleted.
    """
    if sys.platform != "win32":
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)


_BINARY: Final = getattr(os, "O_BINARY", 0)


def _refuse(wanted: Path, target: Path, force: bool) -> None:
    reason = remedy = ""
    if not os.path.isdir(target.parent):
        reason, remedy = "its folder does not exist", "make the folder first"
    elif os.path.isdir(target):
        reason, remedy = "this is a folder", "give the name of a file"
    elif os.path.exists(target) and not os.path.isfile(target):
        reason, remedy = "this is not an ordinary file", "give the name of a new file"
    elif os.path.exists(target) and not force:
        reason, remedy = "this file is already there", "give another name, or add --force"
    if reason:
        raise OutputError(str(wanted), reason, remedy)


def failed(target: Path, error: OSError, smaller: str = "") -> OutputError:
    """What became of writing there, and what to do."""
    unknown = (error.strerror or "it cannot be written").lower()
    reason, remedy = _CAUSES.get(error.errno or 0, (unknown, _ELSEWHERE))
    if smaller and error.errno in _TOO_LARGE:
        remedy = f"{remedy}, or {smaller}"
    return OutputError(str(target), reason, remedy)


_ELSEWHERE: Final = "write to another place"
_TOO_LARGE: Final = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
_CAUSES: Final[dict[int, tuple[str, str]]] = {
    errno.ENOENT: ("its folder does not exist", "make the folder first"),
    errno.ENOSPC: ("the disk is full", "free some space"),
    errno.EDQUOT: ("your quota of the disk is used up", "free some space"),
    errno.EFBIG: ("the file is too large for this disk", "write to another disk"),
    errno.EACCES: ("you may not write here", _ELSEWHERE),
    errno.EPERM: ("you may not write here", _ELSEWHERE),
    errno.EROFS: ("this disk is read-only", _ELSEWHERE),
    errno.ENAMETOOLONG: ("the name is too long", "give a shorter name"),
}
