"""How fast a bath works at a temperature, and the time that makes up for it.

Knows one number of a developer, its activation energy. Knows nothing of what a developer is made
of; a bath that changes temperature while it works is the business of `drift`.
"""

from collections.abc import Sequence
from math import exp, log
from statistics import linear_regression
from typing import Final, NamedTuple

from darktimer.bench.bench_error import BenchError
from darktimer.plan.temperature import DOUBTFUL_OUTSIDE_KJ_PER_MOL, POSSIBLE_KJ_PER_MOL

GAS_CONSTANT_KJ: Final = 8.314463e-3  # kJ/(mol K)
ZERO_CELSIUS_K: Final = 273.15

#: None is published for plant-based developers.
GUESS_KJ_PER_MOL: Final = 60.0
#: Nearer to each other, two temperatures tell of the thermometer rather than of the developer.
_LEAST_APART_K: Final = 1.0


class Activation(NamedTuple):
    """An activation energy and where it is from: "given", "fitted" or "guess"."""

    kj_per_mol: float
    origin: str

    @property
    def warning(self) -> str:
        """Why the figure deserves a warning; empty where it does not."""
        low, high = DOUBTFUL_OUTSIDE_KJ_PER_MOL
        if not low <= self.kj_per_mol <= high:
            return (
                f"an activation energy of {self.kj_per_mol:.0f} kJ/mol, which says how much a "
                f"warmer bath speeds it up, is unlike any developer ({low:.0f} to {high:.0f}): "
                "look at the times and temperatures again"
            )
        if self.origin == "guess":
            known = f"an activation energy of {self.kj_per_mol:.0f} kJ/mol"
            return (
                f"how much a warmer bath speeds this developer up is a guess ({known}): make a test"
            )
        return ""


GUESS: Final = Activation(GUESS_KJ_PER_MOL, "guess")


def fitted(points: Sequence[tuple[float, int]]) -> Activation:
    """The activation energy behind two or more (celsius, time_ms) that give the same result.

    Least squares of the logarithm of time on 1/T. Raises `BenchError` for temperatures less than
    1 C apart, or where no developer has such an energy: where a warmer bath takes longer, too.
    """
    temperatures = [celsius for celsius, _ in points]
    if not temperatures or max(temperatures) - min(temperatures) < _LEAST_APART_K:
        found = f"no two temperatures {_LEAST_APART_K:g} C apart or more"
        raise BenchError("activation energy", found, "give times at two or more")
    inverse = [1 / kelvin(celsius) for celsius, _ in points]
    logs = [log(time_ms) for _, time_ms in points]
    kj_per_mol = linear_regression(inverse, logs).slope * GAS_CONSTANT_KJ
    low, high = POSSIBLE_KJ_PER_MOL
    if not low <= kj_per_mol <= high:
        found = f"{kj_per_mol:.0f} kJ/mol by its times, and developers have {low:g} to {high:g}"
        if kj_per_mol <= 0:
            found = "the warmer bath takes as long or longer"
        raise BenchError("activation energy", found, "look at the times and temperatures again")
    return Activation(kj_per_mol, "fitted")


def rate(celsius: float, at_celsius: float, kj_per_mol: float) -> float:
    """How many times faster than at ``at_celsius``: exp(Ea/R (1/T0 - 1/T)), after Arrhenius."""
    difference = 1 / kelvin(at_celsius) - 1 / kelvin(celsius)
    return exp(kj_per_mol / GAS_CONSTANT_KJ * difference)


def time_at(time_ms: int, from_celsius: float, to_celsius: float, kj_per_mol: float) -> int:
    """The time at ``to_celsius`` that does what ``time_ms`` does at ``from_celsius``, ms."""
    return round(time_ms / rate(to_celsius, from_celsius, kj_per_mol))


def kelvin(celsius: float) -> float:
    """Kelvin of a bath. Raises `BenchError` where it would be ice or steam."""
    if 0 <= celsius <= 100:
        return celsius + ZERO_CELSIUS_K
    raise BenchError("temperature", f"{celsius:g} C", "a bath is water: give 0 to 100 C")
