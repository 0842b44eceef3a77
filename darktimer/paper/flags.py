"""Gives labels their places above a line, as flags on staffs that cross no other flag.

Knows widths and places only.
"""

from collections.abc import Sequence
from typing import NamedTuple


class Wish(NamedTuple):
    """A label that wants a flag: where its staff stands, how wide it is, how much it matters."""

    at: float
    width: float
    weight: float


class Flag(NamedTuple):
    """A label, by its number, with its staff at ``at``; it covers ``start`` to ``end``."""

    label: int
    at: float
    start: float
    end: float
    level: int

    @property
    def flies_left(self) -> bool:
        return self.start < self.at


def hoisted(wishes: Sequence[Wish], right: float, levels: int) -> list[Flag]:
    """A flag for each wish that finds room, level 0 the lowest.

    A flag flies to the right of its staff, to the left where it would pass ``right``. Two orders
    of choosing are tried, and the one is taken that leaves less without a flag.
    """
    from_the_right = sorted(range(len(wishes)), key=lambda index: -wishes[index].at)
    by_weight = sorted(range(len(wishes)), key=lambda index: -wishes[index].weight)
    tried = [_chosen(wishes, order, right, levels) for order in (from_the_right, by_weight)]
    return max(tried, key=lambda flags: sum(wishes[flag.label].weight for flag in flags))


def _chosen(wishes: Sequence[Wish], order: Sequence[int], right: float, levels: int) -> list[Flag]:
    flags: list[Flag] = []
    for index in order:
        at, width, _ = wishes[index]
        start = at if at + width <= right else at - width
        tries = (Flag(index, at, start, start + width, level) for level in range(levels))
        free = next((flag for flag in tries if not any(_clash(flag, f) for f in flags)), None)
        if free:
            flags.append(free)
    return flags


def _clash(one: Flag, other: Flag) -> bool:
    if one.level == other.level:
        return one.start < other.end and other.start < one.end
    higher, lower = (one, other) if one.level > other.level else (other, one)
    return lower.start <= higher.at <= lower.end
