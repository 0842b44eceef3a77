"""What a scale can show of a mass, and how wrong that makes the bath.

Knows rounding, not chemistry.
"""

from typing import Final, NamedTuple

from darktimer.bench.refusal import above_zero

#: Beyond this the rounding is worth a caution; common practice, with no source.
NOTEWORTHY: Final = 0.02


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
    def caution(self) -> str:
        """What to do where the scale is too coarse; empty where it is fine."""
        if abs(self.error) <= NOTEWORTHY:
            return ""
        return (
            f"a scale that steps by {self.step_g:g} g is {abs(self.error):.0%} off here: "
            "dissolve ten times as much in a measured volume of water and use a tenth of it"
        )


def weigh(mass_g: float, step_g: float) -> Weighed:
    """``mass_g`` on a scale that steps by ``step_g``, to the nearest step."""
    steps = round(above_zero("mass", mass_g, "g") / above_zero("step of the scale", step_g, "g"))
    return Weighed(round(steps * step_g, 9), mass_g, step_g)
