"""Places labels above an axis, each beside its leader line, so that none crosses another.

Knows widths and places only, in points.
"""

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

_TRIES: Final = 30


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

    A label stands to the right of its leader where it can, else to the left. What finds no room is
    chosen first the next time, and of all tries the one is taken that leaves least out.
    """
    order = sorted(range(len(labels)), key=lambda index: -labels[index].at)
    tried = list[list[PlacedLabel]]()
    for _ in range(_TRIES):
        tried.append(_placed(labels, order, right, levels))
        there = {each.label for each in tried[-1]}
        if len(there) == len(order):
            break
        order.sort(key=lambda index: index in there)
    return max(tried, key=lambda placed: sum(labels[each.label].weight for each in placed))


def _placed(
    labels: Sequence[Label], order: Sequence[int], right: float, levels: int
) -> list[PlacedLabel]:
    placed: list[PlacedLabel] = []
    for index in order:
        tries = _places(labels, index, right, levels)
        free = next((one for one in tries if not any(_clash(one, each) for each in placed)), None)
        if free:
            placed.append(free)
    return placed


def _places(
    labels: Sequence[Label], index: int, right: float, levels: int
) -> Iterator[PlacedLabel]:
    """Where a label may stand, the best place first."""
    at, width, _ = labels[index]
    left = min(label.at for label in labels)
    if at + width <= right:
        yield from (PlacedLabel(index, at, at, at + width, level) for level in range(levels))
    if at + width > right or at - width >= left:
        yield from (PlacedLabel(index, at, at - width, at, level) for level in range(levels))


def _clash(one: PlacedLabel, other: PlacedLabel) -> bool:
    if one.level == other.level:
        return one.start < other.end and other.start < one.end
    higher, lower = (one, other) if one.level > other.level else (other, one)
    return lower.start <= higher.at <= lower.end
