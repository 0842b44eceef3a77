"""Lines through points that are off by noise: straight, never falling, or from each to the next."""

from bisect import bisect_left
from collections.abc import Sequence
from math import sqrt
from typing import NamedTuple


class Line(NamedTuple):
    """``at(x)`` = level + slope * x."""

    level: float
    slope: float

    def at(self, x: float) -> float:
        """The line's height at ``x``."""
        return self.level + self.slope * x


def fitted_line(xs: Sequence[float], ys: Sequence[float], weights: Sequence[float]) -> Line:
    """The line with the least weighted sum of squares; of two or more different ``xs``."""
    total = sum(weights)
    middle = sum(w * x for w, x in zip(weights, xs, strict=True)) / total
    mean = sum(w * y for w, y in zip(weights, ys, strict=True)) / total
    points = zip(weights, xs, ys, strict=True)
    slope = sum(w * (x - middle) * y for w, x, y in points) / spread(xs, weights)
    return Line(mean - slope * middle, slope)


def spread(xs: Sequence[float], weights: Sequence[float]) -> float:
    """The weighted sum of squares of ``xs`` about their middle."""
    middle = sum(w * x for w, x in zip(weights, xs, strict=True)) / sum(weights)
    return sum(w * (x - middle) ** 2 for w, x in zip(weights, xs, strict=True))


def slope_uncertainty(xs: Sequence[float], uncertainty: float) -> float:
    """What equally uncertain heights at ``xs`` leave open of the slope, 1 standard uncertainty."""
    return uncertainty / sqrt(spread(xs, [1.0] * len(xs)))


def interpolated(xs: Sequence[float], ys: Sequence[float], x: float) -> float:
    """The height at ``x`` of the lines between points, whose ``xs`` never fall; level beyond."""
    at = bisect_left(xs, x)
    if at in (0, len(xs)):
        return ys[0] if at == 0 else ys[-1]
    return ys[at - 1] + (ys[at] - ys[at - 1]) * (x - xs[at - 1]) / (xs[at] - xs[at - 1])


def rising(values: Sequence[float]) -> tuple[float, ...]:
    """The nearest values, by least squares, that never fall: neighbours that do are averaged."""
    pools: list[tuple[float, int]] = []
    for value in values:
        pool = (value, 1)
        while pools and pools[-1][0] >= pool[0]:
            (before, count), (after, more) = pools.pop(), pool
            pool = ((before * count + after * more) / (count + more), count + more)
        pools.append(pool)
    return tuple(value for value, count in pools for _ in range(count))
