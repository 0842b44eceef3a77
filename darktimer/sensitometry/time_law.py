"""How a measure of contrast grows with the time of development.

    value = G (1 - exp(-k (t - lag)))

The law is that of Hardy & Perrin, The Principles of Optics, as cited publicly, with a lag of 0.
Three different times or more tell the lag too, which is below 0 where film begins faster than by
the law. For each k the law is a straight line in exp(-k t), so that only k is searched for.
"""

from collections.abc import Callable, Sequence
from functools import lru_cache
from math import exp, log, sqrt
from typing import Final, NamedTuple

from darktimer.sensitometry.estimate import Estimate
from darktimer.sensitometry.line import Line, fitted_line

#: k times the longest time: from next to a straight line to next to a step.
_LEAST_BEND: Final = 0.02
_MOST_BEND: Final = 12.0
_TRIALS: Final = 30
_SECTIONS: Final = 22
_GOLDEN: Final = 0.381966


class Piece(NamedTuple):
    """How long a piece was developed, and the gamma, or what else, that was measured of it."""

    time_ms: int
    value: Estimate


class TimeLaw(NamedTuple):
    """``value_at(t)`` = greatest - lacking * exp(-k t).

    ``bent`` is False where the pieces rise in a straight line, and no greatest value can be told.
    ``misfit`` is how far they lie from the law: the root of chi squared for each piece that is
    more than the law needs.
    """

    greatest: float
    lacking: float
    k_per_ms: float
    bent: bool
    misfit: float

    @property
    def lag_ms(self) -> float:
        """When the law begins to rise from 0."""
        return log(self.lacking / self.greatest) / self.k_per_ms

    def value_at(self, time_ms: float) -> float:
        """The measure after ``time_ms``."""
        return self.greatest - self.lacking * exp(-self.k_per_ms * time_ms)

    def time_at(self, value: float) -> float:
        """After how many ms the law reaches a value below the greatest."""
        return log(self.lacking / (self.greatest - value)) / self.k_per_ms


@lru_cache  # along a curve the same pieces are asked at each of its points
def fitted_law(pieces: tuple[Piece, ...]) -> TimeLaw:
    """The law with the least sum of squares, in uncertainties, of pieces at two times or more."""
    times = [piece.time_ms for piece in pieces]
    longest, lag = max(times), len(set(times)) > 2

    def misfit(log_bend: float) -> float:
        return _chi_squared(pieces, exp(log_bend) / longest, lag)

    k = exp(_least(misfit, log(_LEAST_BEND), log(_MOST_BEND))) / longest
    line = _line(pieces, k, lag)
    more = max(1, len(pieces) - (3 if lag else 2))
    return TimeLaw(
        greatest=line.level,
        lacking=-line.slope,
        k_per_ms=k,
        bent=k * longest > 1.01 * _LEAST_BEND,
        misfit=sqrt(_chi_squared(pieces, k, lag) / more),
    )


def _line(pieces: Sequence[Piece], k: float, lag: bool) -> Line:
    """Value against exp(-k t); without a lag it is 0 at the start, where that is 1."""
    xs = [exp(-k * piece.time_ms) for piece in pieces]
    ys = [piece.value.value for piece in pieces]
    weights = [piece.value.uncertainty**-2 for piece in pieces]
    if lag:
        return fitted_line(xs, ys, weights)
    points = list(zip(weights, xs, ys, strict=True))
    greatest = sum(w * (1 - x) * y for w, x, y in points) / sum(
        w * (1 - x) ** 2 for w, x, _ in points
    )
    return Line(greatest, -greatest)


def _chi_squared(pieces: Sequence[Piece], k: float, lag: bool) -> float:
    line = _line(pieces, k, lag)
    return sum(
        ((line.at(exp(-k * piece.time_ms)) - piece.value.value) / piece.value.uncertainty) ** 2
        for piece in pieces
    )


def _least(height: Callable[[float], float], low: float, high: float) -> float:
    """Where ``height`` is least: the best of many, then the golden section about it."""
    step = (high - low) / _TRIALS
    best = min((low + step * trial for trial in range(_TRIALS)), key=height)
    low, high = max(low, best - step), min(high, best + step)
    for _ in range(_SECTIONS):
        part = _GOLDEN * (high - low)
        if height(low + part) < height(high - part):
            high -= part
        else:
            low += part
    return (low + high) / 2
