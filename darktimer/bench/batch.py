"""From the batch of a recipe to the batch of tonight: more, less, in containers, diluted.

Knows proportions only; what the amounts are amounts of does not matter here.
"""

from collections.abc import Mapping
from math import ceil
from typing import Final, NamedTuple

from darktimer.bench.refusal import BenchError, above_zero

_MET_EXACTLY: Final = 1e-9  # three containers of 0.1 l hold 0.3 l, whatever the last bit says


def rescale(amounts: Mapping[str, float], batch_ml: float, wanted_ml: float) -> dict[str, float]:
    """``amounts`` for a batch of ``batch_ml``, in the same units, for ``wanted_ml``."""
    factor = above_zero("volume wanted", wanted_ml, "ml") / above_zero("batch", batch_ml, "ml")
    return {name: amount * factor for name, amount in amounts.items()}


class Containers(NamedTuple):
    """So many full containers; ``spare_ml`` is what is mixed beyond what was asked."""

    number: int
    size_ml: float
    total_ml: float
    spare_ml: float


def containers(volume_ml: float, size_ml: float) -> Containers:
    """The fewest full containers of ``size_ml`` that hold ``volume_ml``."""
    above_zero("volume wanted", volume_ml, "ml")
    number = ceil(volume_ml / above_zero("container", size_ml, "ml") - _MET_EXACTLY)
    total_ml = number * size_ml
    return Containers(number, size_ml, total_ml, max(0.0, total_ml - volume_ml))


class Dilution(NamedTuple):
    """What to pour together, both in ml."""

    stock_ml: float
    water_ml: float


def dilute(stock_parts: float, water_parts: float, volume_ml: float) -> Dilution:
    """``volume_ml`` of working bath at a+b: a parts of stock *plus* b parts of water.

    1+4 is one part in five; it is not the 1:4 that some read as one part in four.
    Raises `BenchError` for no stock, or for water below 0.
    """
    above_zero("parts of stock", stock_parts, "parts")
    if not water_parts >= 0:
        raise BenchError("parts of water", f"{water_parts:g}", "give 0 or more")
    above_zero("volume wanted", volume_ml, "ml")
    stock_ml = volume_ml * stock_parts / (stock_parts + water_parts)
    return Dilution(stock_ml, volume_ml - stock_ml)
