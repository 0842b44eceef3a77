"""Keys from a terminal in raw mode: no echo, no line, no signal, one key a press.

A key that sends several bytes is one key. Space, Enter, Page Down and Right, which is what foot
switches and presenter remotes send, are those for "go on"; every other key is one for "where am I".
Knows no plan.
"""

import os
import select
import sys
import time
from collections.abc import Iterator
from contextlib import suppress
from types import TracebackType
from typing import Any, Final, Protocol

from darktimer.live.gestures import Key

_ESCAPE: Final = 0x1B
_GOES_ON: Final = {
    b" ": "space",
    b"\r": "enter",
    b"\n": "enter",
    b"\x1b[6~": "page down",
    b"\x1b[C": "right",
    b"\x1bOC": "right",
    b"\x1bOM": "enter",
}
#: The bytes of one key come within this of each other.
_TOGETHER_S: Final = 0.02


def interrupt(name: str) -> Key:
    """The key that a signal to end the program counts as."""
    return Key(name, goes_on=False)


def keys(sent: bytes) -> Iterator[Key]:
    """The keys in what a terminal sent; an escape sequence or a letter of any alphabet is one."""
    while sent:
        length = _length(sent)
        yield _named(sent[:length])
        sent = sent[length:]


def _named(sent: bytes) -> Key:
    if sent in _GOES_ON:
        return Key(_GOES_ON[sent], goes_on=True)
    text = sent.decode("utf-8", "replace")
    return Key(text if text.isprintable() else sent.hex(" "), goes_on=False)


def _length(sent: bytes) -> int:
    """How many bytes the first key sent."""
    if sent[0] == _ESCAPE and sent[1:2] not in (b"", b"\x1b"):
        return _sequence_length(sent)
    if sent[0] >= 0xC0:
        follow = next((i for i, b in enumerate(sent[1:4], 1) if not 0x80 <= b < 0xC0), 4)
        return min(follow, len(sent))
    return 1


def _sequence_length(sent: bytes) -> int:
    """ESC [ up to a final byte, ESC O and one byte, or ESC and the key it was pressed with."""
    if sent[1:2] == b"[":
        final = (i for i, byte in enumerate(sent[2:], 3) if 0x40 <= byte <= 0x7E)
        return next(final, len(sent))
    return min(3 if sent[1:2] == b"O" else 2, len(sent))


class Keyboard(Protocol):
    """Where presses come from. ``gone`` is True once none can come any more."""

    gone: bool

    def read(self, wait_s: float) -> list[Key]:
        """The keys pressed since the last call; waits up to ``wait_s`` for the first."""
        ...

    def __enter__(self) -> "Keyboard": ...

    def __exit__(self, *_: Any) -> None: ...


class TerminalKeyboard:
    """The keys of the terminal at ``descriptor``; in a ``with`` block the terminal is raw."""

    def __init__(self, descriptor: int = 0) -> None:
        self._descriptor = descriptor
        self._as_it_was: list[Any] | None = None
        self.gone = not os.isatty(descriptor)

    def __enter__(self) -> "TerminalKeyboard":
        import termios

        if not self.gone:
            self._as_it_was = termios.tcgetattr(self._descriptor)
            raw = termios.tcgetattr(self._descriptor)
            raw[0] &= ~(termios.IXON | termios.ICRNL | termios.BRKINT | termios.ISTRIP)
            raw[3] &= ~(termios.ECHO | termios.ICANON | termios.ISIG | termios.IEXTEN)
            raw[6][termios.VMIN], raw[6][termios.VTIME] = 1, 0
            termios.tcsetattr(self._descriptor, termios.TCSAFLUSH, raw)
        return self

    def __exit__(
        self, _: type[BaseException] | None, __: BaseException | None, ___: TracebackType | None
    ) -> None:
        import termios

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
        while sent and _cut_short(sent) and (more := self._sent(_TOGETHER_S)):
            sent += more
        return list(keys(sent))

    def _sent(self, wait_s: float) -> bytes:
        try:
            ready, _, _ = select.select([self._descriptor], [], [], wait_s)
            sent = os.read(self._descriptor, 256) if ready else b""
        except OSError:
            ready, sent = [self._descriptor], b""
        self.gone = self.gone or bool(ready and not sent)
        return sent


def _cut_short(sent: bytes) -> bool:
    """Whether more bytes may belong to the last key."""
    start = sent.rfind(_ESCAPE)
    begun = start >= 0 and sent[start:] in (b"\x1b", b"\x1b[", b"\x1bO")
    return begun or (start >= 0 and sent[start : start + 2] == b"\x1b[" and sent[-1] < 0x40)


class WindowsKeyboard:
    """The keys of a Windows console, which sends two codes for keys that are no letters."""

    _GOES_ON: Final = {" ": "space", "\r": "enter", "\xe0M": "right", "\xe0Q": "page down"}

    def __init__(self) -> None:
        self.gone = not sys.stdin.isatty()

    def __enter__(self) -> "WindowsKeyboard":
        return self

    def __exit__(self, *_: Any) -> None:
        """A Windows console is asked key by key; there is nothing to put back."""

    def read(self, wait_s: float) -> list[Key]:
        """The keys pressed since the last call; waits up to ``wait_s`` for the first."""
        import msvcrt  # only there is it found

        console: Any = msvcrt
        until = time.monotonic() + wait_s
        while not self.gone and not console.kbhit() and time.monotonic() < until:
            time.sleep(0.01)
        pressed: list[Key] = []
        while not self.gone and console.kbhit():
            code = console.getwch()
            code += console.getwch() if code in "\x00\xe0" else ""
            code = code.replace("\x00", "\xe0")
            pressed.append(Key(self._GOES_ON.get(code, repr(code)), code in self._GOES_ON))
        if self.gone:
            time.sleep(wait_s)
        return pressed


def keyboard() -> Keyboard:
    """The keyboard of this terminal."""
    return WindowsKeyboard() if sys.platform == "win32" else TerminalKeyboard()
