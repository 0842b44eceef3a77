"""Switches the display off and on again, where the system has a tool for it.

Uses what is installed and nothing else. A key press may wake a display at any time; that is said
beforehand, and the display is told again after each press. Knows no terminal.
"""

import os
import shutil
import subprocess
import sys
import threading
from collections.abc import Mapping
from typing import Any, Final, NamedTuple

_PATIENCE_S: Final = 3
_MUTTER: Final = "org.gnome.Mutter.DisplayConfig"
_GNOME: Final = (
    "busctl", "--user", "set-property", _MUTTER, "/org/gnome/Mutter/DisplayConfig", _MUTTER,
    "PowerSaveMode", "i",
)  # fmt: skip


class Tool(NamedTuple):
    """A command that puts the display to sleep, and the one that wakes it."""

    system: str
    off: tuple[str, ...]
    on: tuple[str, ...]


_WAYLAND: Final = (
    Tool("Wayland", ("wlopm", "--off", "*"), ("wlopm", "--on", "*")),
    Tool("Wayland", ("swaymsg", "output * power off"), ("swaymsg", "output * power on")),
    Tool("Wayland", ("kscreen-doctor", "--dpms", "off"), ("kscreen-doctor", "--dpms", "on")),
    Tool("Wayland", (*_GNOME, "1"), (*_GNOME, "0")),
)
_X11: Final = Tool("X11", ("xset", "dpms", "force", "off"), ("xset", "dpms", "force", "on"))
_MAC: Final = Tool("macOS", ("pmset", "displaysleepnow"), ("caffeinate", "-u", "-t", "1"))
_CONSOLE: Final = Tool(
    "Linux console", ("setterm", "--blank", "force"), ("setterm", "--blank", "poke")
)
_WINDOWS: Final = Tool("Windows", (), ())


def tools(environment: Mapping[str, str] = os.environ, system: str = sys.platform) -> list[Tool]:
    """What may switch this display off, the likeliest first; empty where nothing is known to."""
    if system == "win32":
        return [_WINDOWS]
    candidates = []
    if system == "darwin":
        candidates.append(_MAC)
    elif environment.get("WAYLAND_DISPLAY"):
        candidates += _WAYLAND
    elif environment.get("DISPLAY"):
        candidates.append(_X11)
    elif environment.get("TERM") == "linux":
        candidates.append(_CONSOLE)
    return [tool for tool in candidates if shutil.which(tool.off[0])]


def display_words() -> str:
    """What a person must know beforehand of this display."""
    found = tools()
    if found:
        return f"the display is switched off by {found[0].off[0] if found[0].off else 'Windows'}"
    return "nothing here can switch the display off: do it at its own switch, or cover it"


class Display:
    """The display as one of ``candidates`` can switch it, one command after another."""

    def __init__(self, candidates: list[Tool]) -> None:
        self._candidates = candidates
        self._tool: Tool | None = None
        self._at_work: threading.Thread | None = None

    def off(self) -> None:
        """Switches it off, once or once more; does not wait for it to happen."""
        if self._candidates and not (self._at_work and self._at_work.is_alive()):
            self._at_work = threading.Thread(target=self._off, name="display", daemon=True)
            self._at_work.start()

    def on(self) -> None:
        """Wakes it, if this program put it to sleep."""
        if self._at_work:
            self._at_work.join(_PATIENCE_S)
        if self._tool:
            _switch(self._tool, self._tool.on)
        self._tool = self._at_work = None

    def _off(self) -> None:
        likely = [self._tool] if self._tool else self._candidates
        self._tool = next((tool for tool in likely if _switch(tool, tool.off)), self._tool)


def _switch(tool: Tool, command: tuple[str, ...]) -> bool:
    if tool is _WINDOWS:
        return _switch_windows(off=command is tool.off)
    # The console's tool speaks to the console it is started on; all others to nobody.
    device = "/dev/tty" if tool is _CONSOLE else os.devnull
    try:
        with open(device, "r+b", buffering=0) as there:
            done = subprocess.run(
                command, stdin=there, stdout=there, stderr=subprocess.DEVNULL, timeout=_PATIENCE_S
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
