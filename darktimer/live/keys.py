"""Keys, one a press, from the bytes that a terminal sends for them.

A key that sends several bytes is one key. Space, Enter, Page Down and Right, which is what foot
switches and presenter remotes send, are those for "go on"; every other key is one for "where am I".
Knows no plan.
"""

import sys
from collections.abc import Iterator
from typing import Any, Final, Protocol

from darktimer.live.gestures import Key

ESCAPE: Final = 0x1B
_GOES_ON: Final = {
    b" ": "space",
    b"\r": "enter",
    b"\n": "enter",
    b"\x1b[6~": "page down",
    b"\x1b[C": "right",
    b"\x1bOC": "right",
    b"\x1bOM": "enter",
}
#: No more than this is read at a time, of bytes or codes, however much there is.
AT_ONCE: Final = 256


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
    if sent[0] == ESCAPE and sent[1:2] not in (b"", b"\x1b"):
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


def keyboard() -> Keyboard:
    """The keyboard of this terminal."""
    if sys.platform == "win32":
        from darktimer.live.windows_keys import WindowsKeyboard as Here
    else:
        from darktimer.live.terminal_keys import TerminalKeyboard as Here
    return Here()
