"""What an output needs of a sound. Knows no cues."""

from collections.abc import Callable, Iterable
from typing import Protocol

from darktimer.cues.tone import BED_PEAK, Samples

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


def is_quiet(sound: Sound, start: int, count: int) -> bool:
    """Whether nothing but background is in these frames."""
    samples = sound.fill(start, count)
    return bool(samples.min() >= -BED_PEAK and samples.max() <= BED_PEAK)
