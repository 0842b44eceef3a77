"""Keys, one a press, from the bytes that a terminal sends for them.

A key that sends several bytes is one key. Space, Enter, Page Down and Right, which is what foot
switches and presenter remotes send, are those for "go on"; every other key is one for "where am I".
Knows no plan.
"""

import re
import sys
from typing import Any, Final, Protocol

from darktimer.live.gestures import Key

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
#: No more than this is read at a time, of bytes or codes, however much there is.
AT_ONCE: Final = 256


def keys(sent: bytes) -> list[Key]:
    """The keys in what a terminal sent; an escape sequence or a letter of any alphabet is one."""
    return [_named(each) for each in _ONE.findall(sent)]


def cut_short(sent: bytes) -> bool:
    """Whether more bytes may belong to the last key."""
    return bool(_BEGUN.search(sent))


def _named(sent: bytes) -> Key:
    if sent in _GOES_ON:
        return Key(_GOES_ON[sent], goes_on=True)
    text = sent.decode("utf-8", "replace")
    return Key(text if text.isprintable() else sent.hex(" "), goes_on=False)


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
