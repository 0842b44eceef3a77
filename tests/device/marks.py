"""A sound whose every onset tells its own number, so that a recording says what was heard when.

A mark is one loud sample and a plateau whose height is its number. The server's path is exact to
the bit, so the number comes back as it was sent.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

EVERY_MS = 250

_ONSET = 30_000
_LENGTH = 48
_LOUD = 25_000
_BASE = 1_000


class Marks:
    """A mark every quarter of a second, the first at ``EVERY_MS``; mark n is at n times that."""

    def __init__(self, seconds: int, rate: int = 48_000) -> None:
        self.rate = rate
        self.frames = seconds * rate
        self._every = EVERY_MS * rate // 1000
        self._last = (self.frames - _LENGTH) // self._every

    def fill(self, start: int, count: int) -> NDArray[np.int16]:
        block = np.zeros(count, np.int16)
        first = max(1, (start - _LENGTH) // self._every)
        for number in range(first, min(self._last, (start + count) // self._every) + 1):
            mark = np.full(_LENGTH, _BASE + number, np.int16)
            mark[0] = _ONSET
            at = number * self._every - start
            begin, end = max(at, 0), min(at + _LENGTH, count)
            if begin < end:
                block[begin:end] = mark[begin - at : end - at]
        return block


class Found(NamedTuple):
    """Marks in a recording: their numbers, and the frames at which they begin."""

    numbers: NDArray[np.int64]
    frames: NDArray[np.int64]


def find(samples: NDArray[np.int16]) -> Found:
    """Every whole mark in a recording."""
    at = np.flatnonzero(samples > _LOUD)
    at = at[at + _LENGTH <= len(samples)]
    plateaus = samples[at[:, np.newaxis] + np.arange(1, _LENGTH)]
    whole = (plateaus == plateaus[:, :1]).all(axis=1) & (plateaus[:, 0] > _BASE)
    return Found(plateaus[whole, 0].astype(np.int64) - _BASE, at[whole])
