"""What may shine: streams, terminal and display, dark from a run's start until there is a reason.

Light is given by one act, which takes one of three reasons. Every other way out, an exception as
much as the end of the program, leaves all dark. Knows no plan.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path

from darktimer.live.blackout import Blackout
from darktimer.live.display import Display, tools


class Reason(StrEnum):
    """Why light may be given; there is no other."""

    SAFE = "light-safe was heard"
    ASKED_FOR = "the person asked for it"
    NOTHING_DARK = "nothing is dark"


class Lights:
    """The screen of a run in the dark."""

    def __init__(self, log: Path) -> None:
        self.dark = False
        self._blackout = Blackout(log)
        self._display = Display(tools())

    def out(self) -> None:
        """Everything dark; the terminal first, as writing to it may wake a display."""
        if not self.dark:
            self.dark = True
            self._blackout.begin()
            self._display.off()

    def woken(self) -> None:
        """A key was pressed, which may have woken the display."""
        self._display.woken()

    def on(self, reason: Reason) -> None:
        """As it was before; whoever calls this has to say why that may be."""
        self._end(lit=True)

    def leave(self) -> None:
        """Nobody keeps it dark any more, and nobody has lit it; the streams are given back."""
        self._end(lit=False)

    def _end(self, lit: bool) -> None:
        if self.dark:
            self.dark = False
            self._display.end(wakes=lit)
            self._blackout.end(lit)


class Daylight:
    """The screen of a run in the light: a rehearsal, or a plan without darkness."""

    dark = False

    def out(self) -> None:
        """It stays light."""

    def woken(self) -> None:
        """It may be awake."""

    def on(self, reason: Reason) -> None:
        """It is."""


@contextmanager
def screen(dark: bool, log: Path) -> Iterator[Lights | Daylight]:
    """The screen of a run that needs the dark, or needs none; no way out but `on` lights it."""
    if not dark:
        yield Daylight()
        return
    lights = Lights(log)
    try:
        yield lights
    finally:
        lights.leave()
