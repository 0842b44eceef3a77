"""The characteristic curve of a strip, density against lg H, and what is measured along it.

Between two steps the curve is taken as straight; with steps of 0.15 that is 0.003 off where a toe
bends most, far less than any reading. Where readings fall by their noise, they are pooled.
"""

from collections.abc import Sequence
from math import asin, cos, sin, tan
from typing import Final, NamedTuple

from darktimer.sensitometry.line import interpolated
from darktimer.sensitometry.refusal import SensitometryError

#: ISO 6:1993 as quoted: the speed point, and the point further on that tells of development.
SPEED_POINT: Final = 0.10
FURTHER: Final = 1.30
#: The radii of the arcs about a point on the line of base + fog (from memory).
ARCS: Final = (0.2, 2.0)
_FLATTEST: Final = 0.05
_HAIR: Final = 1e-9


class Curve(NamedTuple):
    """Points of a curve that never falls, and the density of base + fog under it."""

    lg_h: tuple[float, ...]
    densities: tuple[float, ...]
    base_fog: float

    def density_at(self, lg_h: float) -> float:
        """The density at an exposure; raises `SensitometryError` beyond the strip."""
        return _between(self.lg_h, self.densities, lg_h, "lg H")

    def lg_h_at(self, density: float) -> float:
        """The exposure that gives a density; raises `SensitometryError` beyond the strip."""
        return _between(self.densities, self.lg_h, density, "density")


def _between(xs: Sequence[float], ys: Sequence[float], x: float, what: str) -> float:
    if x > xs[-1]:
        found = f"the strip ends at {what} {xs[-1]:.2f}, and {x:.2f} is needed"
        raise SensitometryError(found, "give the next strip more exposure")
    if x < xs[0]:
        found = f"the strip begins at {what} {xs[0]:.2f}, and {x:.2f} is needed"
        raise SensitometryError(found, "give the next strip less exposure")
    return interpolated(xs, ys, x)


def speed_point(curve: Curve) -> float:
    """lg H at 0.10 over base + fog."""
    return curve.lg_h_at(curve.base_fog + SPEED_POINT)


def average_gradient(curve: Curve) -> float:
    """The slope from the speed point to the point 1.30 further in lg H."""
    start = speed_point(curve)
    return (curve.density_at(start + FURTHER) - curve.density_at(start)) / FURTHER


def contrast_index(curve: Curve) -> float:
    """The slope of the line from a point on base + fog that meets the curve on both arcs.

    At the angle of that line, the curve takes as far in lg H from one arc to the other as the
    line does; a steeper line needs more of the curve and takes less itself.
    """
    near, far = ARCS
    base, thinnest, densest = curve.base_fog, curve.densities[0], curve.densities[-1]

    def beyond(angle: float) -> float:
        first, last = (curve.lg_h_at(base + radius * sin(angle)) for radius in ARCS)
        return last - first - (far - near) * cos(angle)

    low = asin(min(1.0, max(_FLATTEST, (thinnest - base) / near + _HAIR)))
    high = asin(max(0.0, min(1.0, (densest - base) / far - _HAIR)))
    if high <= low or beyond(low) > 0 or beyond(high) < 0:
        found = f"the strip does not reach both arcs of the contrast index ({near:g} and {far:g})"
        raise SensitometryError(found, "expose the next strip over more steps")
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if beyond(middle) < 0 else (low, middle)
    return tan(low)
