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


class Playing(Protocol):
    """A device that plays one sound, as its supervisor needs it; ``tend`` and below are its own."""

    name: str
    buffer_ms: int
    #: The first frame of the sound that was handed over; None until then.
    first_frame: int | None
    #: The boot clock at the last request that was answered with sound in its place: until then all
    #: that was handed over was heard, and what was not has been reported.
    heard_ns: int | None

    @property
    def finished(self) -> bool:
        """Whether it has ended, asked or unasked."""
        ...

    @property
    def next_frame(self) -> int | None:
        """The first frame not yet handed over; None while that is not known."""
        ...

    def tend(self, now_ns: int) -> str:
        """Looks how it does, now and then; why it is of no use any more, "" while it is."""
        ...

    def proven(self, now_ns: int) -> bool:
        """Whether it has taken sound as fast as that is heard for long enough to rely on."""
        ...

    def excuse(self, now_ns: int) -> None:
        """The machine slept: it cannot be blamed for what it took until now."""
        ...

    def retire(self, limit_s: float = 0.0) -> None:
        """Ends the sound at once, waiting no longer than the limit for the device to close."""
        ...
