"""Places labels above an axis, each beside its leader line, so that none crosses another.

Knows widths and places only, in points.
"""

from collections.abc import Sequence
from typing import NamedTuple


class Label(NamedTuple):
    """A label to place: where its leader line stands, how wide it is, how much it matters."""

    at: float
    width: float
    weight: float


class PlacedLabel(NamedTuple):
    """A label, by its ``label``, with its leader at ``at``; it covers ``start`` to ``end``."""

    label: int
    at: float
    start: float
    end: float
    level: int


def place_labels(labels: Sequence[Label], right: float, levels: int) -> list[PlacedLabel]:
    """A place for each label that finds room, level 0 the lowest.

    A label stands to the right of its leader, to the left where it would pass ``right``. Two orders
    of choosing are tried, and the one is taken that leaves less without a place.
    """
    from_the_right = sorted(range(len(labels)), key=lambda index: -labels[index].at)
    by_weight = sorted(range(len(labels)), key=lambda index: -labels[index].weight)
    tried = [_placed(labels, order, right, levels) for order in (from_the_right, by_weight)]
    return max(tried, key=lambda placed: sum(labels[each.label].weight for each in placed))


def _placed(
    labels: Sequence[Label], order: Sequence[int], right: float, levels: int
) -> list[PlacedLabel]:
    placed: list[PlacedLabel] = []
    for index in order:
        at, width, _ = labels[index]
        start = at if at + width <= right else at - width
        tries = (PlacedLabel(index, at, start, start + width, level) for level in range(levels))
        free = next((one for one in tries if not any(_clash(one, each) for each in placed)), None)
        if free:
            placed.append(free)
    return placed


def _clash(one: PlacedLabel, other: PlacedLabel) -> bool:
    if one.level == other.level:
        return one.start < other.end and other.start < one.end
    higher, lower = (one, other) if one.level > other.level else (other, one)
    return lower.start <= higher.at <= lower.end
