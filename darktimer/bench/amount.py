"""How much of a bath to mix: enough to cover the film, and enough to work on all of it.

Knows the two limits, which of them rules, what would help when a vessel is too small, and how the
volume is put up: in full containers, diluted from stock. Knows neither what the bath is made of
nor how the vessel is shaped.
"""

from math import ceil
from typing import Final, NamedTuple

from darktimer.bench.bench_error import BenchError, above_zero
from darktimer.bench.film import FilmLoad
from darktimer.bench.unit_system import METRIC, UnitSystem
from darktimer.bench.vessel import VesselGeometry

_NOT_A_WHOLE_ML: Final = 1e-9  # so that a volume that is met exactly is not rounded up

_ALIKE_ML: Final = 0.5


class Need(NamedTuple):
    """The volume to mix and why: ``rules`` is "cover" or "capacity", ahead by ``by_ml``.

    ``capacity_ml`` is 0 where no capacity is known.
    """

    volume_ml: float
    cover_ml: float
    capacity_ml: float
    rules: str

    @property
    def by_ml(self) -> float:
        """How far the limit that rules lies above the other."""
        return abs(self.cover_ml - self.capacity_ml)

    def text(self, say: UnitSystem = METRIC) -> str:
        """One sentence: the volume, which limit rules, and by how much."""
        if not self.capacity_ml:
            return f"{say.volume(self.volume_ml)} to cover the film"
        if self.by_ml < _ALIKE_ML:
            return f"{say.volume(self.volume_ml)} to cover the film, as much as its area asks for"
        volume, more = say.volume(self.volume_ml), say.volume(self.by_ml)
        if self.rules == "cover":
            return f"{volume} to cover the film, {more} more than its area asks for"
        return f"{volume} for the area of the film, {more} more than covers it"


class Shortfall(NamedTuple):
    """A vessel too small for the bath: what is missing, and what would help.

    ``loads`` is the number of loads it would take, 0 where splitting the film does not help;
    ``vessel_ml`` is the least a vessel must hold to take it all.
    """

    missing_ml: float
    loads: int
    vessel_ml: float
    pieces: int

    def found(self, say: UnitSystem = METRIC) -> str:
        """What is missing."""
        return f"the vessel is {say.volume(self.missing_ml)} too small"

    def remedy(self, say: UnitSystem = METRIC) -> str:
        """What helps, plain enough to act on."""
        larger = f"take a vessel that holds {say.volume(self.vessel_ml)}"
        if not self.loads:
            return larger
        split = "split" if self.pieces >= self.loads else "cut"
        return f"{split} the film into {self.loads} loads with fresh bath each, or {larger}"


def need(vessel: VesselGeometry, film: FilmLoad, capacity_m2_per_l: float | None = None) -> Need:
    """The larger of the volume to cover and the volume by capacity, ml.

    ``capacity_m2_per_l`` is the area one litre can work on, None where nothing is known.
    """
    capacity_ml = 0.0
    if capacity_m2_per_l is not None:
        capacity_ml = 1000 * film.area_m2 / above_zero("capacity", capacity_m2_per_l, "m2/l")
    rules = "capacity" if capacity_ml > vessel.cover_ml else "cover"
    return Need(max(vessel.cover_ml, capacity_ml), vessel.cover_ml, capacity_ml, rules)


def shortfall(
    wanted: Need, vessel: VesselGeometry, film: FilmLoad, holds_ml: float
) -> Shortfall | None:
    """What is missing in a vessel that holds ``holds_ml`` to the brim, or None if all goes in.

    The film takes its own displaced volume of the vessel.
    """
    vessel_ml = wanted.volume_ml + film.displaced_ml
    missing_ml = vessel_ml - above_zero("what the vessel holds", holds_ml, "ml")
    if missing_ml <= _NOT_A_WHOLE_ML:
        return None
    loads = ceil(vessel_ml / holds_ml) if _splitting_helps(wanted, vessel, holds_ml) else 0
    return Shortfall(missing_ml, loads, vessel_ml, film.pieces)


def _splitting_helps(wanted: Need, vessel: VesselGeometry, holds_ml: float) -> bool:
    return vessel.grows or wanted.cover_ml < holds_ml


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
