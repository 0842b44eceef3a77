"""A clock that is turned by hand, and a stream without a device that keeps what falls due by it."""

import numpy as np

from darktimer.cues.tone import Samples
from darktimer.output.protocol import Sound


class ManualClock:
    """Clocks that stand until they are turned; starts at any moment."""

    def __init__(self, boot_ns: int = 0, wall_ns: int = 0) -> None:
        self._boot_ns = self._monotonic_ns = boot_ns
        self._wall_ns = wall_ns

    def boot_ns(self) -> int:
        return self._boot_ns

    def monotonic_ns(self) -> int:
        return self._monotonic_ns

    def wall_ns(self) -> int:
        return self._wall_ns

    def advance(self, ms: float) -> None:
        """Lets time pass, on all three clocks."""
        self.sleep(ms)
        self._monotonic_ns += round(ms * 1_000_000)

    def sleep(self, ms: float) -> None:
        """The machine sleeps: the monotonic clock stands still."""
        self._boot_ns += round(ms * 1_000_000)
        self.set_wall(ms)

    def set_wall(self, ms: float) -> None:
        """Somebody sets the wall clock forward, or back, by so much."""
        self._wall_ns += round(ms * 1_000_000)


class RecordingStream:
    """Takes a sound's frames as they fall due; frame 0 is due at ``begin_ns`` of the boot clock."""

    def __init__(self, sound: Sound, *, clock: ManualClock, begin_ns: int) -> None:
        self.frames = 0
        self._blocks: list[Samples] = []
        self._sound = sound
        self._clock = clock
        self._begin_ns = begin_ns

    def samples(self) -> Samples:
        """All that was taken, in one piece."""
        return np.concatenate([np.zeros(0, np.int16), *self._blocks])

    def keep_up(self) -> None:
        """Takes what has fallen due since the last time."""
        due = (self._clock.boot_ns() - self._begin_ns) * self._sound.rate // 1_000_000_000
        if due > self.frames:
            self._blocks.append(self._sound.fill(self.frames, due - self.frames).copy())
            self.frames = due
