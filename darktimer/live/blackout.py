"""A terminal made black, and kept so: once dark, not one byte goes to it until it is lit again.

Everything that anybody would write to the output or the error stream, the sound libraries and a
dying interpreter included, goes to a log instead. Knows no plan and no display.
"""

import os
import sys
from contextlib import suppress
from pathlib import Path
from typing import Final

_STREAMS: Final = (1, 2)
#: The other screen, filled with black, its cursor hidden and at the top; and back.
_BLACK: Final = b"\x1b[?1049h\x1b[0;30;40m\x1b[2J\x1b[H\x1b[?25l"
_LIT: Final = b"\x1b[0m\x1b[?25h\x1b[?1049l"
#: The window's own background, which shows at its edges; and back. Some consoles would print it.
_BLACK_EDGE: Final = b"\x1b]11;#000000\x1b\\"
_LIT_EDGE: Final = b"\x1b]111\x1b\\"
_WITHOUT_EDGE: Final = ("linux", "dumb", "")


class Blackout:
    """Takes the output and error streams away from the terminal, into the file ``log``."""

    def __init__(self, log: Path) -> None:
        self._log = log
        self._kept: dict[int, int] = {}

    @property
    def dark(self) -> bool:
        """Whether the terminal is black."""
        return bool(self._kept)

    def begin(self) -> None:
        """Blackens the terminal and turns both streams away; a second call does nothing.

        The last bytes are on their way to the terminal when this returns.
        """
        if self._kept:
            return
        descriptor = _opened(self._log)
        _flush()
        for stream in _STREAMS:
            if os.isatty(stream):
                _write(stream, _BLACK_EDGE * _has_edge() + _BLACK)
                break
        for stream in _STREAMS:
            self._kept[stream] = os.dup(stream)
            os.dup2(descriptor, stream)
        os.close(descriptor)

    def end(self) -> None:
        """Gives the streams back and the terminal its picture; never fails, also without one."""
        if not self._kept:
            return
        _flush()
        for stream, kept in self._kept.items():
            os.dup2(kept, stream)
            os.close(kept)
        self._kept = {}
        for stream in _STREAMS:
            if os.isatty(stream):
                _write(stream, _LIT_EDGE * _has_edge() + _LIT)
                break


def _opened(log: Path) -> int:
    """The log, or nowhere at all: darkness does not depend on a disk with room."""
    try:
        log.parent.mkdir(parents=True, exist_ok=True)
        return os.open(log, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
    except OSError:
        return os.open(os.devnull, os.O_WRONLY)


def _has_edge() -> bool:
    return os.environ.get("TERM", "") not in _WITHOUT_EDGE


def _write(stream: int, sequence: bytes) -> None:
    with suppress(OSError):  # a terminal that is gone shows no light
        os.write(stream, sequence)


def _flush() -> None:
    for stream in (sys.stdout, sys.stderr):
        with suppress(OSError, ValueError):
            stream.flush()
