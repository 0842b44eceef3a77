"""How a bath is put up: in full containers, and diluted from stock.

Knows proportions only, not what is in the bath.
"""

from math import ceil
from typing import Final, NamedTuple

from darktimer.bench.measures import METRIC
from darktimer.bench.refusal import BenchError, above_zero

_MET_EXACTLY: Final = 1e-9  # three containers of 0.1 l hold 0.3 l, whatever the last bit says

_MOST: Final = 99


class Containers(NamedTuple):
    """So many full containers; ``spare_ml`` is what is mixed beyond what was asked."""

    number: int
    size_ml: float
    total_ml: float
    spare_ml: float


def containers(volume_ml: float, size_ml: float) -> Containers:
    """The fewest full containers of ``size_ml`` that hold ``volume_ml``; `BenchError` past 99."""
    above_zero("volume wanted", volume_ml, "ml")
    number = ceil(volume_ml / above_zero("container", size_ml, "ml") - _MET_EXACTLY)
    if number > _MOST:
        found = f"one of {METRIC.volume(size_ml)}, for {METRIC.volume(volume_ml)}"
        raise BenchError("container", found, f"take one of which {_MOST} or fewer will do")
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
    water_ml = volume_ml * water_parts / (stock_parts + water_parts)
    return Dilution(volume_ml - water_ml, water_ml)
