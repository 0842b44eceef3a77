"""What may shine: the terminal and the display, dark from the start of a run until it is safe.

Black is one act and light another; in between nothing is written anywhere. Knows no plan.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from darktimer.live.blackout import Blackout
from darktimer.live.display import Display, tools


class Lights:
    """The screen of a run in the dark."""

    def __init__(self, blackout: Blackout, display: Display) -> None:
        self._blackout = blackout
        self._display = display

    @property
    def dark(self) -> bool:
        """Whether the screen is dark now."""
        return self._blackout.dark

    def out(self) -> None:
        """Everything dark; the terminal first, as writing to it may wake a display."""
        self._blackout.begin()
        self._display.off()

    def woken(self) -> None:
        """A key was pressed, which may have woken the display."""
        if self.dark:
            self._display.off()

    def on(self) -> None:
        """As it was before."""
        self._display.on()
        self._blackout.end()


class Daylight:
    """The screen of a run in the light: a rehearsal, or a plan without darkness."""

    dark = False

    def out(self) -> None:
        """It stays light."""

    def woken(self) -> None:
        """It may be awake."""

    def on(self) -> None:
        """It is."""


@contextmanager
def screen(dark: bool, log: Path) -> Iterator[Lights | Daylight]:
    """The screen of a run that needs the dark, or needs none; lit again on every way out."""
    lights = Lights(Blackout(log), Display(tools())) if dark else Daylight()
    try:
        yield lights
    finally:
        lights.on()
