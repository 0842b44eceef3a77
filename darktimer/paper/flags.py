"""Gives labels their places above a line, as flags on staffs that cross no other flag.

Knows widths and places only.
"""

from collections.abc import Sequence
from typing import NamedTuple


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


def hoisted(wishes: Sequence[tuple[float, float, float]], right: float, levels: int) -> list[Flag]:
    """A flag for each wish that finds room, in the order of the wishes.

    A wish is (place of the staff, width, weight); the heavier choose first. Level 0 is the lowest.
    A flag flies to the right of its staff, to the left where it would pass ``right``.
    """
    flags: list[Flag] = []
    order = sorted(range(len(wishes)), key=lambda index: (-wishes[index][2], index))
    for index in order:
        at, width, _ = wishes[index]
        start = at if at + width <= right else at - width
        tries = (Flag(index, at, start, start + width, level) for level in range(levels))
        free = next((flag for flag in tries if not any(_clash(flag, f) for f in flags)), None)
        if free:
            flags.append(free)
    return sorted(flags)


def _clash(one: Flag, other: Flag) -> bool:
    if one.level == other.level:
        return one.start < other.end and other.start < one.end
    higher, lower = (one, other) if one.level > other.level else (other, one)
    return lower.start <= higher.at <= lower.end
