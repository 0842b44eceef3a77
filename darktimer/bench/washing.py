"""Fixer left in the film by washing: in changes of standing water, or under running water.

Knows ideal mixing: every change is stirred until it is the same throughout, in the film too. It
knows nothing of how long that takes, so its answer is a least number of changes. Of running water
it knows a rule of the trade. All amounts are thiosulphate, g/m2 of film.
"""

from math import ceil, log, log2
from typing import Final, NamedTuple

#: Thiosulphate left after washing, g/m2; the figure quoted for ISO 18901.
LIMIT_G_PER_M2: Final = 0.014
#: Changes of water in practice, whatever mixing says: Navy training manual 14209.
USUAL_CHANGES: Final = (10, 12)
#: Thiosulphate in the film halves in this many minutes of running water: Navy manual 14209.
HALVES_IN_MIN: Final = 1.0


class Washed(NamedTuple):
    """What a wash leaves, and the fewest changes, or minutes, that reach the published limit."""

    left_g_per_m2: float
    least: int

    @property
    def enough(self) -> bool:
        """Whether the published limit is reached."""
        return self.left_g_per_m2 <= LIMIT_G_PER_M2


def clinging_g_per_m2(fixer_g_per_l: float, carried_ml: float, area_m2: float) -> float:
    """What ``carried_ml`` of fixer, clinging to ``area_m2`` of film, take into the first water."""
    return fixer_g_per_l * carried_ml / 1000 / area_m2


def carry_over(carried_ml: float, fill_ml: float) -> float:
    """Share of the old bath in the new one: what clings to the film over all that is mixed."""
    return carried_ml / (carried_ml + fill_ml)


def in_changes(before_g_per_m2: float, changes: int, fill_ml: float, carried_ml: float) -> Washed:
    """``changes`` of ``fill_ml`` water by ideal mixing, with ``carried_ml`` clinging each time."""
    kept = carry_over(carried_ml, fill_ml)
    least = max(0, ceil(log(LIMIT_G_PER_M2 / before_g_per_m2) / log(kept)))
    return Washed(before_g_per_m2 * kept**changes, least)


def in_running_water(before_g_per_m2: float, minutes: float, slower: float = 1.0) -> Washed:
    """``minutes`` of running water, by the rule that it halves what is left each minute.

    In water so cold that all takes ``slower`` times as long, each minute counts for less.
    """
    half_min = HALVES_IN_MIN * slower
    least = max(0, ceil(half_min * log2(before_g_per_m2 / LIMIT_G_PER_M2)))
    return Washed(before_g_per_m2 * 2 ** (-minutes / half_min), least)
