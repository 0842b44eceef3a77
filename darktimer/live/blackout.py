"""A terminal made black, and kept so: once dark, not one byte goes to it until it is lit again.

Everything that anybody would write to the output or the error stream, the sound libraries and a
dying interpreter included, goes to a log instead. Knows no plan and no display.
"""

import os
import sys
import time
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from stat import S_ISREG
from typing import Final

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


class Blackout:
    """Takes the output and error streams away from the terminal, into the file ``log``."""

    def __init__(self, log: Path) -> None:
        self._log = log
        self._kept: dict[int, int] = {}
        self._terminal: int | None = None

    def begin(self) -> None:
        """Turns both streams away and blackens the terminal; its last byte when this returns."""
        log = _opened(self._log)
        _flush()
        for stream in _STREAMS:
            self._kept[stream] = os.dup(stream)
            os.dup2(log, stream)
        os.close(log)
        self._terminal = _terminal(self._kept.values())
        self._write(_BLACK_EDGE, _BLACK)

    def end(self, lit: bool) -> None:
        """Gives the streams back, and the terminal its picture if that is to be ``lit``.

        Where that stays dark a stream is given back only to a file: what is at the other end of a
        pipe may show it.
        """
        _flush()
        for stream, kept in self._kept.items():
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
    """The terminal that a person sits at, wherever the streams lead; None where there is none.

    It is opened anew, since writing to it must never wait, and others may rely on waiting there.
    """
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
