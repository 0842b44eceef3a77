"""What may shine: streams, terminal and display, dark from a run's start until there is a reason.

Until then not one byte goes to the terminal: whatever anybody writes to the output or the error
stream, sound libraries and a dying interpreter included, goes to a log. Light is given by one act,
for one of three reasons; every other way out, an exception too, leaves all dark.
"""

import os
import sys
import time
from collections.abc import Iterable
from contextlib import suppress
from enum import StrEnum
from pathlib import Path
from stat import S_ISREG
from typing import Any, Final

from darktimer.live.display import Display, tools

_STREAMS: Final = (1, 2)
_CONTROLLING: Final = "CONOUT$" if sys.platform == "win32" else "/dev/tty"
_ESCAPES: Final = 4
#: The other screen, filled with black, its cursor hidden and at the top; and back.
_BLACK: Final = b"\x1b[?1049h\x1b[0;30;40m\x1b[2J\x1b[H\x1b[?25l"
_LIT: Final = b"\x1b[0m\x1b[?25h\x1b[?1049l"
#: The window's own background, which shows at its edges; and back. Some consoles would print it.
_BLACK_EDGE: Final = b"\x1b]11;#000000\x1b\\"
_LIT_EDGE: Final = b"\x1b]111\x1b\\"
_WITHOUT_EDGE: Final = ("linux", "")
#: A terminal that takes nothing, as one that was frozen, holds up no run for longer.
_PATIENCE_S: Final = 1.0


class Reason(StrEnum):
    """Why light may be given; there is no other."""

    SAFE = "light-safe was heard"
    ASKED_FOR = "the person asked for it"
    NOTHING_DARK = "nothing is dark"


class Lights:
    """The screen of a run, a context; ``log`` takes what is written in the dark, None stays lit."""

    def __init__(self, log: Path | None) -> None:
        self.dark = False
        self._log = log
        self._display = Display(tools())
        self._kept: dict[int, int] = {}
        self._terminal: int | None = None

    def __enter__(self) -> "Lights":
        return self

    def __exit__(self, *_: Any) -> None:
        self._end(lit=False)

    def out(self) -> None:
        """Everything dark; the display last, which writing to a terminal may wake."""
        if self._log is None or self.dark:
            return
        self.dark = True
        there = _opened(self._log)
        _flush()
        for stream in _STREAMS:
            self._kept[stream] = os.dup(stream)
            os.dup2(there, stream)
        os.close(there)
        self._terminal = _terminal(self._kept.values())
        self._write(_BLACK_EDGE, _BLACK)
        self._display.off()

    def woken(self) -> None:
        """A key was pressed, which may have woken the display."""
        self._display.woken()

    def on(self, reason: Reason) -> None:
        """As it was before; whoever calls this has to say why that may be."""
        self._end(lit=True)

    def _end(self, lit: bool) -> None:
        if not self.dark:
            return
        self.dark = False
        self._display.end(wakes=lit)
        _flush()
        for stream, kept in self._kept.items():
            # In the dark only to a file: what is at the other end of a pipe may show it.
            if lit or S_ISREG(os.fstat(kept).st_mode):
                os.dup2(kept, stream)
            os.close(kept)
        if lit:
            self._write(_LIT_EDGE, _LIT)
        if self._terminal is not None:
            os.close(self._terminal)

    def _write(self, edge: bytes, screen: bytes) -> None:
        kind = os.environ.get("TERM", "")
        if self._terminal is None or kind == "dumb" or not _obeys(self._terminal):
            return
        left = screen if kind in _WITHOUT_EDGE else edge + screen
        until = time.monotonic() + _PATIENCE_S
        with suppress(OSError):  # a terminal that is gone shows no light
            while left and time.monotonic() < until:
                try:
                    left = left[os.write(self._terminal, left) :]
                except BlockingIOError:
                    time.sleep(0.01)


def _opened(log: Path) -> int:
    """The log, or nowhere at all: darkness does not depend on a disk with room."""
    try:
        log.parent.mkdir(parents=True, exist_ok=True)
        return os.open(log, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
    except OSError:
        return os.open(os.devnull, os.O_WRONLY)


def _terminal(streams: Iterable[int]) -> int | None:
    """The terminal that a person sits at, if any; opened anew, as writing must never wait."""
    with suppress(OSError):
        return os.open(_CONTROLLING, os.O_RDWR | getattr(os, "O_NONBLOCK", 0))
    return next((os.dup(stream) for stream in (*streams, 0) if os.isatty(stream)), None)


def _obeys(terminal: int) -> bool:
    """Whether a terminal obeys escape sequences: a Windows console only does when asked to."""
    if sys.platform != "win32":
        return True
    import ctypes
    import msvcrt

    kernel, mode = ctypes.windll.kernel32, ctypes.c_ulong()
    handle = ctypes.c_void_p(msvcrt.get_osfhandle(terminal))
    asked = kernel.GetConsoleMode(handle, ctypes.byref(mode))
    return bool(asked and kernel.SetConsoleMode(handle, mode.value | _ESCAPES))


def _flush() -> None:
    for stream in (sys.stdout, sys.stderr):
        with suppress(AttributeError, OSError, ValueError):  # it may be closed, or none at all
            stream.flush()
