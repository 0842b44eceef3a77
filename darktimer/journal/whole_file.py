"""Text files that stand there whole, or not at all."""

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import IO

from darktimer.journal.refusal import JournalError


@contextmanager
def whole_file(target: Path) -> Iterator[IO[str]]:
    """A UTF-8 file that takes its place when the block ends well; raises `JournalError`."""
    unfinished = target.with_name(f".{target.name}.part")
    try:
        with unfinished.open("w", encoding="utf-8", newline="") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        os.replace(unfinished, target)
    except OSError as error:
        raise unwritable(target, error) from None
    finally:
        with suppress(OSError):
            unfinished.unlink()


def unwritable(target: Path, error: OSError) -> JournalError:
    """The error for a place that cannot be written to."""
    reason = (error.strerror or "cannot be written").lower()
    return JournalError(target, reason, "name another place")
