"""What may shine: streams, terminal and display, dark from a run's start until there is a reason.

Light is given by one act, which takes one of three reasons. Every other way out, an exception as
much as the end of the program, leaves all dark. Knows no plan.
"""

from enum import StrEnum
from pathlib import Path
from typing import Any

from darktimer.live.blackout import Blackout
from darktimer.live.display import Display, tools


class Reason(StrEnum):
    """Why light may be given; there is no other."""

    SAFE = "light-safe was heard"
    ASKED_FOR = "the person asked for it"
    NOTHING_DARK = "nothing is dark"


class Lights:
    """The screen of a run; a context, no way out of which lights anything but `on`.

    What is written in the dark goes to ``log``; None is a run in the light.
    """

    def __init__(self, log: Path | None) -> None:
        self.dark = False
        self._blackout = Blackout(log) if log else None
        self._display = Display(tools())

    def __enter__(self) -> "Lights":
        return self

    def __exit__(self, *_: Any) -> None:
        self._end(lit=False)

    def out(self) -> None:
        """Everything dark; the terminal first, as writing to it may wake a display."""
        if self._blackout and not self.dark:
            self.dark = True
            self._blackout.begin()
            self._display.off()

    def woken(self) -> None:
        """A key was pressed, which may have woken the display."""
        self._display.woken()

    def on(self, reason: Reason) -> None:
        """As it was before; whoever calls this has to say why that may be."""
        self._end(lit=True)

    def _end(self, lit: bool) -> None:
        if self._blackout and self.dark:
            self.dark = False
            self._display.end(wakes=lit)
            self._blackout.end(lit)
