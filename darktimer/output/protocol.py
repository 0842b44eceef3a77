"""What an output needs of a sound, and what every output does with it.

A file, a speaker and a recording all take the same line of samples; only who asks for the next
block differs. Knows no cues.
"""

from collections.abc import Callable, Iterable
from typing import Protocol

from darktimer.cues.tone import Samples

#: Called now and then with the frames done and the frames in all.
Progress = Callable[[int, int], None]


class Sound(Protocol):
    """A line of 16-bit mono samples that can be read from any frame in any number."""

    rate: int
    frames: int

    def fill(self, start: int, count: int) -> Samples:
        """``count`` samples from frame ``start``; not to be written to."""
        ...

    def cuts(self) -> Iterable[int]:
        """Frames, in order, between which a sound is either all quiet or not; first to last."""
        ...


class Output(Protocol):
    """Somewhere a whole sound can go."""

    def play(self, sound: Sound, progress: Progress | None = None) -> tuple[str, ...]:
        """Takes the sound to its end; returns notes for the user. Raises `OutputError`."""
        ...
