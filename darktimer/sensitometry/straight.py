"""Gamma: the slope of the straight part of the curve.

What the straight part is, is found as with a ruler on paper. The ruler is laid along the steepest
stretch of 0.75 in lg H (two and a half stops, four readings or more); the straight part goes on, to
either side, as long as the next reading lies within two standard uncertainties of the ruler.
"""

from collections.abc import Iterator, Sequence
from math import sqrt
from typing import Final, NamedTuple

from darktimer.sensitometry.estimate import Estimate
from darktimer.sensitometry.line import Line, fitted_line, slope_uncertainty
from darktimer.sensitometry.refusal import SensitometryError

_STRETCH: Final = 0.75
_FEWEST: Final = 4


class Straight(NamedTuple):
    """The straight part, from one lg H to another, and its slope."""

    from_lg_h: float
    to_lg_h: float
    gamma: Estimate


def straight_part(lg_h: Sequence[float], densities: Sequence[float], reading: float) -> Straight:
    """The straight part of a curve read with the standard uncertainty ``reading``.

    The uncertainty is that of the steepest stretch alone, since how far the part goes on depends
    on the readings too. Raises `SensitometryError` for a strip that is too short, or blank.
    """
    stretches = list(_stretches(lg_h))
    if not stretches:
        found = f"the strip is shorter than {_STRETCH:g} in lg H, or has too few steps there"
        raise SensitometryError(found, f"expose {_FEWEST} steps or more over {_STRETCH:g} or more")
    steepest = max(stretches, key=lambda part: _ruler(lg_h, densities, part).slope)
    part = _gone_on(lg_h, densities, steepest, 2 * reading)
    ruler = _ruler(lg_h, densities, part)
    noise = max(reading, _scatter(lg_h, densities, part, ruler))
    uncertainty = slope_uncertainty(lg_h[steepest], noise)
    if ruler.slope <= 2 * uncertainty:
        found = "the densities hardly rise with exposure"
        raise SensitometryError(found, "expose the next strip more, or develop it longer")
    return Straight(lg_h[part][0], lg_h[part][-1], Estimate(ruler.slope, uncertainty))


def _stretches(lg_h: Sequence[float]) -> Iterator[slice]:
    """From each step on, the fewest steps that are long enough."""
    for first, start in enumerate(lg_h):
        for end in range(first + _FEWEST, len(lg_h) + 1):
            if lg_h[end - 1] - start >= _STRETCH - 1e-9:
                yield slice(first, end)
                break


def _ruler(lg_h: Sequence[float], densities: Sequence[float], part: slice) -> Line:
    xs = lg_h[part]
    return fitted_line(xs, densities[part], [1.0] * len(xs))


def _gone_on(
    lg_h: Sequence[float], densities: Sequence[float], steepest: slice, within: float
) -> slice:
    ruler = _ruler(lg_h, densities, steepest)
    near = [abs(d - ruler.at(x)) <= within for x, d in zip(lg_h, densities, strict=True)]
    first, end = steepest.start, steepest.stop
    while first > 0 and near[first - 1]:
        first -= 1
    while end < len(near) and near[end]:
        end += 1
    return slice(first, end)


def _scatter(lg_h: Sequence[float], densities: Sequence[float], part: slice, ruler: Line) -> float:
    """The standard deviation of the readings about the ruler."""
    pairs = zip(lg_h[part], densities[part], strict=True)
    squares = [(d - ruler.at(x)) ** 2 for x, d in pairs]
    return sqrt(sum(squares) / (len(squares) - 2))
