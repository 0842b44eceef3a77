"""How a batch fills up: which water goes in first, so that all of it stays within the batch.

Knows volumes, not chemistry.
"""

from collections.abc import Sequence
from typing import Final, NamedTuple

FIRST_WATER: Final = 0.75  # of the batch, so that there is room to fill up
_ROOM_TO_STIR: Final = 0.25  # of the batch; in less water than this nothing dissolves with ease
_A_DROP: Final = 1e-6  # of the batch; what arithmetic leaves of nothing
#: What a dissolved gram takes up; crystals have 1.4 to 1.8 g/ml (from memory).
ML_PER_GRAM: Final = 0.6
#: What a gram of dried leaf keeps of the water, at most: two or three times its weight (common
#: practice), so that it is steeped in more.
KEPT_ML_PER_GRAM: Final = 3.0
LEAST_ML_PER_GRAM_STEEPED: Final = 4.0


class Waters(NamedTuple):
    """Water to measure, ml: for each plant in turn, and plain, to begin with.

    ``first_ml`` is 0 where what is steeped, or poured for powders, does to begin with.
    """

    steeped_ml: tuple[float, ...]
    first_ml: float

    @property
    def all_ml(self) -> float:
        """All of it together."""
        return sum(self.steeped_ml) + self.first_ml

    def times(self, factor: float) -> "Waters":
        """The same for ``factor`` batches."""
        return Waters(tuple(each * factor for each in self.steeped_ml), self.first_ml * factor)


def waters(
    batch_ml: float,
    added_to: bool,
    steeping_ml: Sequence[float | None],
    poured_ml: float,
    solids_ml: float,
) -> Waters:
    """The water of a batch in which liquids and solids take up ``poured_ml`` and ``solids_ml``.

    ``steeping_ml`` is the water written for each plant; those that have none share what is left,
    which is 0 or less where nothing is. With ``added_to`` all water is measured first, and what is
    dissolved in it comes on top.
    """
    most_ml = batch_ml - poured_ml
    if not added_to:
        most_ml = min(FIRST_WATER * batch_ml, most_ml - solids_ml)
    left_ml = most_ml - sum(each or 0.0 for each in steeping_ml)
    if None in steeping_ml:
        share_ml = left_ml / steeping_ml.count(None)
        return Waters(tuple(share_ml if each is None else each for each in steeping_ml), 0.0)
    others = bool(steeping_ml or (poured_ml and solids_ml)) and not added_to
    least_ml = batch_ml * (_ROOM_TO_STIR if others else _A_DROP)
    return Waters(tuple(filter(None, steeping_ml)), left_ml if left_ml > least_ml else 0.0)
