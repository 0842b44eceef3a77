"""The keys of a terminal in raw mode: no echo, no line, no signal; not for Windows.

Space, Enter, Page Down and Right, which is what foot switches and presenter remotes send, are keys
for "go on"; every other is one for "where am I". A read is bounded in time and in bytes.
"""

import os
import re
import select
import sys
import termios
import time
from contextlib import suppress
from typing import Any, Final, Self

from darktimer.live.gestures import Key
from darktimer.live.keyboard import AT_ONCE, Keyboard

assert sys.platform != "win32", "which the type checker must know"

#: ESC [ up to a final byte, ESC O and one byte, ESC and the key it was pressed with; a letter of
#: several bytes; a byte. And what any of the first may begin with.
_ONE: Final = re.compile(
    rb"\x1b\[[^@-~]*[@-~]?|\x1bO.?|\x1b[^\x1b]?|[\xc0-\xff][\x80-\xbf]{0,3}|.", re.DOTALL
)
_BEGUN: Final = re.compile(rb"\x1b(\[[^@-~]*|O)?\Z")
_GOES_ON: Final = {
    b" ": "space",
    b"\r": "enter",
    b"\n": "enter",
    b"\x1b[6~": "page down",
    b"\x1b[C": "right",
    b"\x1bOC": "right",
    b"\x1bOM": "enter",
}
#: The bytes of one key come within this, and what comes later is another.
_TOGETHER_S: Final = 0.02


class TerminalKeyboard(Keyboard):
    """The keys of the terminal at ``descriptor``; in a ``with`` block the terminal is raw."""

    def __init__(self, descriptor: int = 0) -> None:
        super().__init__()
        self._descriptor = descriptor
        self._as_it_was: list[Any] | None = None
        self.gone = not os.isatty(descriptor)

    def __enter__(self) -> Self:
        if not self.gone:
            self._as_it_was = termios.tcgetattr(self._descriptor)
            raw = termios.tcgetattr(self._descriptor)
            raw[0] &= ~(termios.IXON | termios.ICRNL | termios.BRKINT | termios.ISTRIP)
            raw[3] &= ~(termios.ECHO | termios.ICANON | termios.ISIG | termios.IEXTEN)
            raw[6][termios.VMIN], raw[6][termios.VTIME] = 1, 0
            termios.tcsetattr(self._descriptor, termios.TCSAFLUSH, raw)
        return super().__enter__()

    def __exit__(self, *_: Any) -> None:
        super().__exit__()
        if self._as_it_was is not None:
            with suppress(termios.error, OSError):  # the terminal may be gone by now
                termios.tcflush(self._descriptor, termios.TCIFLUSH)
                termios.tcsetattr(self._descriptor, termios.TCSANOW, self._as_it_was)

    def _pressed(self, wait_s: float) -> list[Key]:
        sent = self._sent(wait_s)
        until = time.monotonic() + _TOGETHER_S
        while sent and _BEGUN.search(sent) and (left_s := until - time.monotonic()) > 0:
            sent += self._sent(left_s)
        return keys(sent)

    def _sent(self, wait_s: float) -> bytes:
        try:
            ready, _, _ = select.select([self._descriptor], [], [], wait_s)
            sent = os.read(self._descriptor, AT_ONCE) if ready else b""
        except OSError:
            ready, sent = [self._descriptor], b""
        self.gone = bool(ready and not sent)
        return sent


def keys(sent: bytes) -> list[Key]:
    """The keys in what a terminal sent; an escape sequence or a letter of any alphabet is one."""
    return [_named(each) for each in _ONE.findall(sent)]


def _named(sent: bytes) -> Key:
    if sent in _GOES_ON:
        return Key(_GOES_ON[sent], goes_on=True)
    text = sent.decode("utf-8", "replace")
    return Key(text if text.isprintable() else sent.hex(" "), goes_on=False)
