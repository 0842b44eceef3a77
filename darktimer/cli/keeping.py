"""What every command on the journal begins with: the journal opened, its notices told."""

from collections.abc import Iterator
from contextlib import contextmanager

from darktimer.cli.page import complain
from darktimer.journal.journal import Journal


@contextmanager
def journal() -> Iterator[Journal]:
    """The user's journal; what became of its file is said on the error stream."""
    opened = Journal.open()
    try:
        yield opened
    finally:
        opened.close()
        for notice in opened.notices:
            complain(notice)
