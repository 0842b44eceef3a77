"""What a strip of densities tells of its film: each figure with its uncertainty, or why not.

The noise of readings enters in three ways. Base + fog is a mean of readings. Gamma takes the
scatter about its straight line, where that is more than the uncertainty of a reading. All else is
measured anew with each reading moved by its uncertainty.
"""

from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache
from math import log, log10, sqrt
from typing import Final, NamedTuple, TypeVar

from darktimer.sensitometry.curve import (
    Curve,
    average_gradient,
    contrast_index,
    speed_point,
)
from darktimer.sensitometry.estimate import Estimate, propagated
from darktimer.sensitometry.line import fitted_line, rising, slope_uncertainty
from darktimer.sensitometry.refusal import SensitometryError
from darktimer.sensitometry.straight import Straight, straight_part
from darktimer.sensitometry.strip import Strip

#: ISO 6:1993 as quoted: the rise over 1.30 in lg H that makes 0.80/Hm a speed, as a gradient.
SPEED_GRADIENT: Final = 0.80 / 1.30
#: How near to that rise a development must come (from memory of the standard: 0.80 +- 0.05).
_NEAR_GRADIENT: Final = 0.05 / 1.30
_LG_STOP: Final = log10(2)
#: The foot of a curve, in lg H and in readings; a hair more than three steps of 0.15.
_FOOT: Final = 0.4501
_FEWEST: Final = 3
#: What every strip is measured for, and how it is called.
MEASURES: Final = {
    "base_fog": "base + fog",
    "gamma": "gamma",
    "average_gradient": "average gradient",
    "contrast_index": "contrast index",
    "speed_point": "speed point at lg H",
}
T = TypeVar("T")


class Measures(NamedTuple):
    """The figures of one strip; None where it does not bear one, and ``missing`` says of each why.

    ``speed_point`` is lg H at 0.10 over base + fog, absolute or relative as the exposures are;
    ``speed`` the arithmetic speed 0.80/Hm, which only absolute exposures have.
    """

    base_fog: Estimate | None
    straight: Straight | None
    average_gradient: Estimate | None
    contrast_index: Estimate | None
    speed_point: Estimate | None
    speed: Estimate | None
    missing: Mapping[str, str]

    @property
    def gamma(self) -> Estimate | None:
        """The slope of the straight part."""
        return self.straight and self.straight.gamma


@lru_cache  # a page asks for a table, and again for a time
def measures(strip: Strip) -> Measures:
    """Everything that a strip bears."""
    missing: dict[str, str] = {}

    def tried(name: str, measure: Callable[[Strip], T]) -> T | None:
        try:
            return measure(strip)
        except SensitometryError as error:
            missing[name] = str(error)
            return None

    return Measures(
        base_fog=tried("base + fog", base_fog),
        straight=tried("gamma", straight),
        average_gradient=tried("average gradient", along(average_gradient)),
        contrast_index=tried("contrast index", along(contrast_index)),
        speed_point=tried("speed point", along(speed_point)),
        speed=tried("speed", speed) if strip.exposures.absolute else None,
        missing=missing,
    )


def base_fog(strip: Strip) -> Estimate:
    """Base + fog as it was read, or as the foot of the curve has it."""
    readings, foot = _readings(strip), _foot(strip)
    mean = sum(readings[at] for at in foot) / len(foot)
    return Estimate(mean, strip.reading / sqrt(len(foot)))


def straight(strip: Strip) -> Straight:
    """The straight part of the curve, and gamma."""
    return straight_part(strip.exposures.lg_h, strip.densities, strip.reading)


def speed(strip: Strip) -> Estimate:
    """0.80/Hm, where exposures are absolute and the development is that of the standard."""
    if not strip.exposures.absolute:
        found = "the exposures are relative to each other"
        raise SensitometryError(found, "compare the speed points of pieces, in stops")
    gradient, point = along(average_gradient)(strip), along(speed_point)(strip)
    if abs(gradient.value - SPEED_GRADIENT) > _NEAR_GRADIENT:
        way = "shorter" if gradient.value > SPEED_GRADIENT else "longer"
        found = (
            f"1.30 past the speed point the density is {gradient.value * 1.30:.2f} more, "
            "and a speed needs 0.80"
        )
        raise SensitometryError(found, f"develop a piece {way}")
    value = 0.80 / 10**point.value
    return Estimate(value, value * point.uncertainty * log(10))


def stops_faster(speed_point: Estimate, than: Estimate) -> Estimate:
    """How much less exposure a strip needs than another under the same tablet, in stops."""
    stops = (than.value - speed_point.value) / _LG_STOP
    both = sqrt(speed_point.uncertainty**2 + than.uncertainty**2)
    return Estimate(stops, both / _LG_STOP)


def curve(strip: Strip) -> Curve:
    """The curve through a strip's readings; raises `SensitometryError` where base + fog is not."""
    return _curve(strip, _readings(strip), _foot(strip))


def along(measure: Callable[[Curve], float]) -> Callable[[Strip], Estimate]:
    """What is measured along the curve, with what each reading leaves open of it."""

    def measured(strip: Strip) -> Estimate:
        foot, readings = _foot(strip), _readings(strip)
        uncertainties = [strip.reading] * len(readings)
        return propagated(
            lambda moved: measure(_curve(strip, moved, foot)), readings, uncertainties
        )

    return measured


def _readings(strip: Strip) -> tuple[float, ...]:
    """Every density that was read, that of base + fog last, if it was."""
    own = () if strip.base_fog is None else (strip.base_fog,)
    return strip.densities + own


def _foot(strip: Strip) -> Sequence[int]:
    """Which readings are of base + fog: the film's own, or the first of the strip.

    Those are refused where they rise by more than two uncertainties: it may well be a slow toe.
    """
    if strip.base_fog is not None:
        return (len(strip.densities),)
    start, *_ = strip.exposures.lg_h
    foot = [lg_h for lg_h in strip.exposures.lg_h if lg_h <= start + _FOOT]
    if len(foot) >= _FEWEST:
        rise = fitted_line(foot, strip.densities[: len(foot)], [1.0] * len(foot)).slope
        if rise <= 2 * slope_uncertainty(foot, strip.reading):
            return range(len(foot))
    found = f"the foot of the curve, its first {_FOOT:.2f} in lg H, "
    found += "is not flat" if len(foot) >= _FEWEST else f"has fewer than {_FEWEST} readings"
    remedy = "read the film beside the strip too, where no light came, and give that density"
    raise SensitometryError(found, remedy)


def _curve(strip: Strip, readings: Sequence[float], foot: Sequence[int]) -> Curve:
    mean = sum(readings[at] for at in foot) / len(foot)
    lg_h = strip.exposures.lg_h
    return Curve(lg_h, rising(readings[: len(lg_h)]), mean)
