"""The keys of a Windows console, which sends two codes for those that are no letters."""

import os
import time
from typing import Any, Final

from darktimer.live.gestures import Key
from darktimer.live.keyboard import AT_ONCE, Keyboard


class WindowsKeyboard(Keyboard):
    """Is asked code by code, and never for more than are there."""

    _GOES_ON: Final = {" ": "space", "\r": "enter", "\xe0M": "right", "\xe0Q": "page down"}

    def __init__(self) -> None:
        super().__init__()
        self.gone = not os.isatty(0)

    def _pressed(self, wait_s: float) -> list[Key]:
        import msvcrt  # only there is it found

        console: Any = msvcrt
        until = time.monotonic() + wait_s
        while not console.kbhit() and time.monotonic() < until:
            time.sleep(0.01)
        pressed: list[Key] = []
        while len(pressed) < AT_ONCE and console.kbhit():
            pressed.append(self._next(console))
        return pressed

    def _next(self, console: Any) -> Key:
        """One key; the second code of two is there already, while nothing follows a plain à."""
        code = console.getwch()
        code += console.getwch() if code in "\x00\xe0" and console.kbhit() else ""
        code = code.replace("\x00", "\xe0")
        return Key(self._GOES_ON.get(code, repr(code)), code in self._GOES_ON)
