"""A figure with its standard uncertainty, and how the uncertainty of readings enters it.

Each reading is moved by its own uncertainty, up and down, and what that does to the result is
added in quadrature: the law of propagation in numbers (JCGM 100:2008, 5.1.2 and 5.1.3, as known
from memory). One such rule serves every result of this room.
"""

from collections.abc import Callable, Iterator, Sequence
from math import hypot
from typing import NamedTuple


class Estimate(NamedTuple):
    """A value and its standard uncertainty, in the unit of the value."""

    value: float
    uncertainty: float

    def __str__(self) -> str:
        """As people write it: ``0.58 ± 0.02``."""
        return f"{self.value:.2f} ± {self.uncertainty:.2f}".replace("-", "−")


def propagated(
    measure: Callable[[Sequence[float]], float],
    readings: Sequence[float],
    uncertainties: Sequence[float],
) -> Estimate:
    """What ``measure`` makes of independent readings; raises whatever ``measure`` raises."""
    return Estimate(measure(readings), hypot(*_moves(measure, readings, uncertainties)))


def _moves(
    measure: Callable[[Sequence[float]], float],
    readings: Sequence[float],
    uncertainties: Sequence[float],
) -> Iterator[float]:
    for at, uncertainty in enumerate(uncertainties):
        up, down = list(readings), list(readings)
        up[at] += uncertainty
        down[at] -= uncertainty
        yield (measure(up) - measure(down)) / 2


class TimeEstimate(NamedTuple):
    """A development time, and between which times it lies; milliseconds."""

    time_ms: int
    low_ms: int
    high_ms: int
