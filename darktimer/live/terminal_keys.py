"""The keys of a terminal in raw mode: no echo, no line, no signal; not for Windows.

A read is bounded, by time and by bytes, whatever comes and however long a key is held.
"""

import os
import select
import sys
import termios
import time
from contextlib import suppress
from typing import Any, Final

from darktimer.live.gestures import Key
from darktimer.live.keys import AT_ONCE, cut_short, keys

assert sys.platform != "win32", "which the type checker must know"

#: The bytes of one key come within this, and what comes later is another.
_TOGETHER_S: Final = 0.02


class TerminalKeyboard:
    """The keys of the terminal at ``descriptor``; in a ``with`` block the terminal is raw."""

    def __init__(self, descriptor: int = 0) -> None:
        self._descriptor = descriptor
        self._as_it_was: list[Any] | None = None
        self.gone = not os.isatty(descriptor)

    def __enter__(self) -> "TerminalKeyboard":
        if not self.gone:
            self._as_it_was = termios.tcgetattr(self._descriptor)
            raw = termios.tcgetattr(self._descriptor)
            raw[0] &= ~(termios.IXON | termios.ICRNL | termios.BRKINT | termios.ISTRIP)
            raw[3] &= ~(termios.ECHO | termios.ICANON | termios.ISIG | termios.IEXTEN)
            raw[6][termios.VMIN], raw[6][termios.VTIME] = 1, 0
            termios.tcsetattr(self._descriptor, termios.TCSAFLUSH, raw)
        return self

    def __exit__(self, *_: Any) -> None:
        if self._as_it_was is not None:
            with suppress(termios.error, OSError):  # the terminal may be gone by now
                termios.tcflush(self._descriptor, termios.TCIFLUSH)
                termios.tcsetattr(self._descriptor, termios.TCSANOW, self._as_it_was)

    def read(self, wait_s: float) -> list[Key]:
        """The keys pressed since the last call; waits up to ``wait_s`` for the first."""
        if self.gone:
            time.sleep(wait_s)
            return []
        sent = self._sent(wait_s)
        until = time.monotonic() + _TOGETHER_S
        while sent and cut_short(sent) and (left_s := until - time.monotonic()) > 0:
            sent += self._sent(left_s)
        return list(keys(sent))

    def _sent(self, wait_s: float) -> bytes:
        try:
            ready, _, _ = select.select([self._descriptor], [], [], wait_s)
            sent = os.read(self._descriptor, AT_ONCE) if ready else b""
        except OSError:
            ready, sent = [self._descriptor], b""
        self.gone = self.gone or bool(ready and not sent)
        return sent
