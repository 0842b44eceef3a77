"""Which keyboard this system has."""

import sys
from typing import TYPE_CHECKING

from darktimer.live.keyboard import Keyboard

if TYPE_CHECKING:
    from darktimer.live.knocks import Knocks


def keyboard(knocks: "Knocks | None" = None) -> Keyboard:
    """The keyboard of this terminal, and ``knocks`` beside it."""
    if sys.platform == "win32":
        from darktimer.live.windows_keys import WindowsKeyboard as Here
    else:
        from darktimer.live.terminal_keys import TerminalKeyboard as Here
    here = Here()
    here.knocks = knocks
    return here
