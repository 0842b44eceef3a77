"""What a scale can show of a mass, how wrong that makes the bath, and what helps.

Knows rounding, not chemistry.
"""

from typing import Final, NamedTuple

from darktimer.bench.unit_system import METRIC, UnitSystem

#: Beyond this the rounding is worth a caution; common practice, with no source.
NOTEWORTHY: Final = 0.02
_STEPS: Final = 25  # of the scale: as many are within that, by half a step in 25
_FLASKS_ML: Final = (100.0, 250.0, 500.0, 1000.0)
_LEAST_USED_ML: Final = 10.0  # less than this few kitchens measure
_MOST_G_PER_L: Final = 100.0  # dissolves with ease, where no limit is known


class Weighed(NamedTuple):
    """A mass as the scale shows it. ``error`` is (shown - wanted) / wanted, a plain fraction."""

    shown_g: float
    wanted_g: float
    step_g: float

    @property
    def error(self) -> float:
        """Relative error that rounding to the scale brings: -1 where nothing is left."""
        return self.shown_g / self.wanted_g - 1

    @property
    def lost(self) -> bool:
        """Whether it is below half a step, so that the scale may show nothing at all."""
        return self.wanted_g < self.step_g / 2 or self.shown_g == 0

    def caution(self, say: UnitSystem = METRIC) -> str:
        """How far off the scale is, where that is worth saying; empty where it is fine."""
        step, wanted = say.mass(self.step_g), say.mass(self.wanted_g)
        if self.lost:
            return f"{wanted} is below half a step of the scale, {step}"
        if abs(self.error) <= NOTEWORTHY:
            return ""
        return f"a scale that steps by {step} is {abs(self.error):.0%} off here"


class Stock(NamedTuple):
    """A solution of known strength: ``weighed_g`` in water to ``makes_ml``; ``use_ml`` of it."""

    weighed_g: float
    makes_ml: float
    use_ml: float

    def text(self, say: UnitSystem = METRIC) -> str:
        """How to make it, and how much of it to use."""
        weighed, makes = say.mass(self.weighed_g), say.volume(self.makes_ml)
        used = f"use {say.volume(self.use_ml)} of it in place of as much water"
        return f"dissolve {weighed} in water to make {makes}, and {used}"


def weigh(mass_g: float, step_g: float) -> Weighed:
    """``mass_g`` on a scale that steps by ``step_g``, to the nearest step."""
    steps = round(mass_g / step_g)
    return Weighed(round(steps * step_g, 9), mass_g, step_g)


def stock(
    mass_g: float, step_g: float, limit_g_per_l: float | None, room_ml: float
) -> Stock | None:
    """The smallest stock solution that brings ``mass_g`` within 2 %, for a scale of ``step_g``.

    It holds no more than half of what dissolves, ``limit_g_per_l``. None where less of it would be
    used than can be measured, or more than there is room for: only a finer scale helps then.
    """
    weighed_g = _STEPS * step_g
    most_g_per_l = min(_MOST_G_PER_L, (limit_g_per_l or 2 * _MOST_G_PER_L) / 2)
    for makes_ml in _FLASKS_ML:
        use_ml = mass_g / weighed_g * makes_ml
        if 1000 * weighed_g / makes_ml <= most_g_per_l and _LEAST_USED_ML <= use_ml <= room_ml:
            return Stock(weighed_g, makes_ml, use_ml)
    return None
