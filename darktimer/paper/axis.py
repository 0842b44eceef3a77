"""An axis: where a value lies on it, and even ticks whose labels keep clear of each other."""

from collections.abc import Sequence
from typing import Final, NamedTuple

#: Seconds from tick to tick of an axis of times; rolls from tick to tick of one of film.
_TIMES_S: Final = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14_400, 28_800)
TIMES_MS: Final = tuple(1000 * seconds for seconds in _TIMES_S)
COUNTS: Final = tuple(step * 10**power for power in range(6) for step in (1, 2, 5))


class Axis(NamedTuple):
    """Values from ``lowest`` to ``highest`` laid from ``start`` to ``end``, in points."""

    lowest: float
    highest: float
    start: float
    end: float

    def at(self, value: float) -> float:
        """Where a value lies, in points."""
        share = (value - self.lowest) / (self.highest - self.lowest)
        return self.start + share * (self.end - self.start)

    def ticks(self, steps: Sequence[int], apart: float) -> range:
        """Even values, by the first of ``steps`` that leaves ``apart`` points from one to the next;
        by the last where none does."""
        scale = abs(self.end - self.start) / (self.highest - self.lowest)
        step = next((step for step in steps if step * scale >= apart), steps[-1])
        first = -(-int(self.lowest) // step) * step
        return range(first, int(self.highest) + 1, step)
