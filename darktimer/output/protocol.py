"""What an output needs of a sound. Knows no cues."""

from collections.abc import Callable, Iterable, Iterator
from itertools import pairwise
from typing import Final, Protocol

from darktimer.cues.tone import BED_PEAK, Samples

#: Called now and then with the frames done and the frames in all.
Progress = Callable[[int, int], None]


#: How much is written at a time: it stays in a processor's cache, and the lossy encoders, which
#: are known to fail on very long ones, can bear it.
_BLOCK_FRAMES: Final = 131_072


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


def blocks(sound: Sound, progress: Progress | None) -> Iterator[Samples]:
    """The whole sound, cut where quiet begins and ends, so that quiet costs next to nothing."""
    for cut, following in pairwise(sound.cuts()):
        for start in range(cut, following, _BLOCK_FRAMES):
            yield sound.fill(start, min(_BLOCK_FRAMES, following - start))
        if progress:
            progress(following, sound.frames)


def is_quiet(sound: Sound, start: int, count: int) -> bool:
    """Whether nothing but background is in these frames."""
    samples = sound.fill(start, count)
    return bool(samples.min() >= -BED_PEAK and samples.max() <= BED_PEAK)
