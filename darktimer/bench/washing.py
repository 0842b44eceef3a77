"""Fixer left in the film after so many changes of water.

Knows ideal mixing: every change is stirred until it is the same throughout, in the film too. It
knows nothing of how long that takes, so its answer is a least number of changes.
"""

from math import ceil, log, log2
from typing import Final, NamedTuple

from darktimer.bench.refusal import BenchError, above_zero

#: Thiosulphate left after washing, g/m2; the figure quoted for ISO 18901.
LIMIT_G_PER_M2: Final = 0.014
#: Changes of water in practice, whatever mixing says: Navy training manual 14209.
USUAL_CHANGES: Final = (10, 12)


#: Thiosulphate in the film halves in this many minutes of running water: Navy manual 14209.
HALVES_IN_MIN: Final = 1.0


class Wash(NamedTuple):
    """What is left after ``changes``, and the fewest changes that reach the published limit."""

    changes: int
    left: float
    left_g_per_m2: float
    least_changes: int

    @property
    def enough(self) -> bool:
        """Whether ideal mixing reaches the published limit."""
        return self.left_g_per_m2 <= LIMIT_G_PER_M2


def carry_over(carried_ml: float, fill_ml: float) -> float:
    """Share of the old bath in the new one: what clings to the film over all that is mixed."""
    above_zero("what clings to the film", carried_ml, "ml")
    return carried_ml / (carried_ml + above_zero("fill of water", fill_ml, "ml"))


def wash(
    changes: int, fill_ml: float, carried_ml: float, fixer_g_per_l: float, area_m2: float
) -> Wash:
    """``changes`` of ``fill_ml`` water, with ``carried_ml`` clinging to ``area_m2`` each time.

    ``fixer_g_per_l`` is thiosulphate in the working fixer. Raises `BenchError` below 0 changes.
    """
    if changes < 0:
        raise BenchError("changes of water", f"{changes}", "give 0 or more")
    kept = carry_over(carried_ml, fill_ml)
    above_zero("thiosulphate in the fixer", fixer_g_per_l, "g/l")
    first = fixer_g_per_l * carried_ml / 1000 / above_zero("area of film", area_m2, "m2")
    least = max(0, ceil(log(LIMIT_G_PER_M2 / first) / log(kept)))
    return Wash(changes, kept**changes, first * kept**changes, least)


class Running(NamedTuple):
    """What is left after a wash in running water, and the fewest minutes to the limit."""

    left_g_per_m2: float
    least_min: int

    @property
    def enough(self) -> bool:
        """Whether the rule of halving reaches the published limit."""
        return self.left_g_per_m2 <= LIMIT_G_PER_M2


def running(minutes: float, carried_ml: float, fixer_g_per_l: float, area_m2: float) -> Running:
    """``minutes`` of running water, by the rule that it halves what is left each minute."""
    first = fixer_g_per_l * carried_ml / 1000 / above_zero("area of film", area_m2, "m2")
    least = max(0, ceil(HALVES_IN_MIN * log2(first / LIMIT_G_PER_M2)))
    return Running(first * 2 ** (-minutes / HALVES_IN_MIN), least)
