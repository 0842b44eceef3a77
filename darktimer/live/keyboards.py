"""Which keyboard this system has."""

import sys

from darktimer.live.keyboard import Keyboard


def keyboard() -> Keyboard:
    """The keyboard of this terminal."""
    if sys.platform == "win32":
        from darktimer.live.windows_keys import WindowsKeyboard as Here
    else:
        from darktimer.live.terminal_keys import TerminalKeyboard as Here
    return Here()
