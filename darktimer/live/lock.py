"""One process alone leads a run; the system lets go of its lock when that process dies.

All locks are bytes of one file beside the journal, one a run.
"""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

FILE_NAME: Final = "runs.lock"


@contextmanager
def leading(folder: Path, run: int) -> Iterator[bool]:
    """Whether no other process leads this run; then none can until the end of the block.

    Also where no lock can be had at all: a disk in trouble stops no run.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        descriptor = os.open(folder / FILE_NAME, os.O_RDWR | os.O_CREAT, 0o600)
    except OSError:
        yield True
        return
    try:
        yield _locks(descriptor, run)
    finally:
        os.close(descriptor)


def _locks(descriptor: int, run: int) -> bool:
    try:
        if sys.platform == "win32":
            import msvcrt

            os.lseek(descriptor, run, os.SEEK_SET)
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.lockf(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB, 1, run)
    except (BlockingIOError, PermissionError):
        return False
    except OSError:  # a file system without locks
        return True
    return True
