"""A disk so small that it can be filled, of which nothing is left, whatever becomes of the test.

It is mounted in a mount namespace that the calling thread has to itself (man 7 mount_namespaces):
whoever is started meanwhile sees it too, nobody else does, and it goes when they all have.
"""

import ctypes
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

# <sched.h> and <sys/mount.h>
_CLONE_NEWNS = 0x0002_0000
_MS_REC_PRIVATE = 0x0000_4000 | 0x0004_0000


@contextmanager
def small_disk(folder: Path, kib: int) -> Iterator[Path | None]:
    """The folder, which is made, as a disk of so many KiB; None where mounting is not allowed."""
    folder.mkdir()
    if sys.platform != "linux":
        yield None
        return
    libc, here = ctypes.CDLL(None), Path.cwd()
    shared = os.open("/proc/thread-self/ns/mnt", os.O_RDONLY)
    try:
        yield folder if _mounted(libc, folder, kib) else None
    finally:
        libc.setns(shared, _CLONE_NEWNS)
        os.close(shared)
        os.chdir(here)


def _mounted(libc: ctypes.CDLL, folder: Path, kib: int) -> bool:
    return (
        libc.unshare(_CLONE_NEWNS) == 0
        and libc.mount(None, b"/", None, _MS_REC_PRIVATE, None) == 0
        and libc.mount(b"tmpfs", bytes(folder), b"tmpfs", 0, f"size={kib}k".encode()) == 0
    )
