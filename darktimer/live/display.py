"""Keeps the display off, and wakes it again, with the tool that the system has, if any.

A key wakes a display when it is pressed and when it is let go, and other things do: so the display
is switched off again and again.
"""

import os
import shutil
import subprocess
import sys
import threading
import time
from collections.abc import Mapping
from typing import Any, Final, NamedTuple

_PATIENCE_S: Final = 3
#: Told so often, and so long after the last key.
EVERY_S: Final = 5.0
AFTER_KEY_S: Final = 1.0
_MUTTER: Final = "org.gnome.Mutter.DisplayConfig"
_GNOME: Final = (
    "busctl", "--user", "set-property", _MUTTER, "/org/gnome/Mutter/DisplayConfig", _MUTTER,
    "PowerSaveMode", "i",
)  # fmt: skip


class Tool(NamedTuple):
    """A command that puts the display to sleep, and the one that wakes it."""

    off: tuple[str, ...]
    on: tuple[str, ...]


_WAYLAND: Final = (
    Tool(("wlopm", "--off", "*"), ("wlopm", "--on", "*")),
    Tool(("swaymsg", "output * power off"), ("swaymsg", "output * power on")),
    Tool(("kscreen-doctor", "--dpms", "off"), ("kscreen-doctor", "--dpms", "on")),
    Tool((*_GNOME, "1"), (*_GNOME, "0")),
)
_X11: Final = Tool(("xset", "dpms", "force", "off"), ("xset", "dpms", "force", "on"))
_MAC: Final = Tool(("pmset", "displaysleepnow"), ("caffeinate", "-u", "-t", "1"))
_CONSOLE: Final = Tool(("setterm", "--blank", "force"), ("setterm", "--blank", "poke"))
_WINDOWS: Final = Tool(("Windows", "off"), ("Windows", "on"))


def tools(environment: Mapping[str, str] = os.environ, system: str = sys.platform) -> list[Tool]:
    """What may switch this display off, the likeliest first; empty where nothing is known to."""
    if system == "win32":
        return [_WINDOWS]
    likely: tuple[Tool, ...] = (_CONSOLE,) if environment.get("TERM") == "linux" else ()
    if system == "darwin":
        likely = (_MAC,)
    elif environment.get("WAYLAND_DISPLAY"):
        likely = _WAYLAND
    elif environment.get("DISPLAY"):
        likely = (_X11,)
    return [tool for tool in likely if shutil.which(tool.off[0])]


def display_words() -> str:
    """What a person must know beforehand of this display."""
    found = tools()
    if found:
        return f"the display is switched off by {found[0].off[0]}"
    return "nothing here switches the display off: use its own switch, or cover it"


class Display:
    """The display as one of ``candidates`` can switch it, in a thread of its own."""

    def __init__(self, candidates: list[Tool]) -> None:
        self._candidates = candidates
        self._tool: Tool | None = None
        self._key_s = -AFTER_KEY_S
        self._news = threading.Event()
        self._wakes = self._ended = False
        self._keeper = threading.Thread(target=self._keep_off, name="display", daemon=True)

    def off(self) -> None:
        """Switches it off and keeps it so; does not wait for it to happen."""
        if self._candidates:
            self._keeper.start()

    def woken(self) -> None:
        """A key was pressed, which may have woken it."""
        self._key_s = time.monotonic()
        self._news.set()

    def end(self, wakes: bool) -> None:
        """It is kept off no longer, and woken if this program put it to sleep; or left as it is."""
        self._wakes, self._ended = wakes, True
        self._news.set()
        if self._keeper.is_alive():
            self._keeper.join(_PATIENCE_S)

    def _keep_off(self) -> None:
        while not self._ended:
            self._switch_off()
            sent_s = time.monotonic()
            while not self._ended and (left_s := due_s(sent_s, self._key_s) - time.monotonic()) > 0:
                self._news.wait(left_s)
                self._news.clear()
        if self._wakes and self._tool:
            _switch(self._tool, self._tool.on)

    def _switch_off(self) -> None:
        likely = [self._tool] if self._tool else self._candidates
        self._tool = next((tool for tool in likely if _switch(tool, tool.off)), self._tool)


def due_s(sent_s: float, key_s: float) -> float:
    """When a display that was told to be off is told again, if the last key was at ``key_s``."""
    if key_s > sent_s:
        return max(key_s, sent_s + AFTER_KEY_S)  # a key that is held is many
    return key_s + AFTER_KEY_S if key_s > sent_s - AFTER_KEY_S else sent_s + EVERY_S


def _switch(tool: Tool, command: tuple[str, ...]) -> bool:
    if tool is _WINDOWS:
        return _switch_windows(off=command is tool.off)
    # The console's tool speaks to the console it is started on; all others to nobody.
    device = "/dev/tty" if tool is _CONSOLE else os.devnull
    try:
        with open(device, "r+b", buffering=0) as there:
            done = subprocess.run(
                command,
                stdin=there,
                stdout=there,
                stderr=subprocess.DEVNULL,
                timeout=_PATIENCE_S,
                start_new_session=tool is not _CONSOLE,  # so it has no terminal to talk to
            )
    except (OSError, subprocess.SubprocessError):
        return False
    return done.returncode == 0


def _switch_windows(off: bool) -> bool:
    """Tells every window that the display is to sleep (2) or wake (-1)."""
    import ctypes

    library: Any = getattr(ctypes, "windll", None)
    everyone, system_command, monitor_power, patience_ms = 0xFFFF, 0x0112, 0xF170, 1000
    return library is not None and bool(
        library.user32.SendMessageTimeoutW(
            everyone, system_command, monitor_power, 2 if off else -1, 2, patience_ms, None
        )
    )
