"""How much of a bath to mix: enough to cover the film, and enough to work on all of it.

Knows the two limits, which of them rules, what would help when a vessel is too small, and how many
containers it fills. Knows neither what the bath is made of nor how the vessel is shaped.
"""

from math import ceil
from typing import Final, NamedTuple

from darktimer.bench.bench_error import BenchError
from darktimer.bench.film import FilmLoad
from darktimer.bench.unit_system import METRIC, UnitSystem
from darktimer.bench.vessel import VesselGeometry
from darktimer.errors import Finding

_NOT_A_WHOLE_ML: Final = 1e-9  # so that a volume that is met exactly is not rounded up
_ALIKE_ML: Final = 0.5
_MET_EXACTLY: Final = 1e-9  # three containers of 0.1 l hold 0.3 l, whatever the last bit says
_MOST_CONTAINERS: Final = 99


class Need(NamedTuple):
    """The volume that covers the film, and that its area asks for, 0 where that is not known."""

    cover_ml: float
    capacity_ml: float

    @property
    def volume_ml(self) -> float:
        """What to mix: the larger of the two."""
        return max(self)

    def text(self, say: UnitSystem = METRIC) -> str:
        """One sentence: the volume, which limit rules, and by how much."""
        volume, ahead_ml = say.volume(self.volume_ml), self.cover_ml - self.capacity_ml
        if not self.capacity_ml:
            return f"{volume} to cover the film"
        if abs(ahead_ml) < _ALIKE_ML:
            return f"{volume} to cover the film, as much as its area asks for"
        more = say.volume(abs(ahead_ml))
        if ahead_ml > 0:
            return f"{volume} to cover the film, {more} more than its area asks for"
        return f"{volume} for the area of the film, {more} more than covers it"


def need(vessel: VesselGeometry, film: FilmLoad, capacity_m2_per_l: float | None = None) -> Need:
    """The volumes to cover and by capacity, m2 that one litre can work on, None if not known."""
    return Need(
        vessel.cover_ml, 1000 * film.area_m2 / capacity_m2_per_l if capacity_m2_per_l else 0.0
    )


def shortfall(
    wanted: Need, vessel: VesselGeometry, film: FilmLoad, holds_ml: float, say: UnitSystem = METRIC
) -> Finding | None:
    """What is missing in a vessel that holds ``holds_ml`` to the brim, and what would help.

    None where all goes in. The film takes its own displaced volume of the vessel. To split it helps
    where a smaller load needs less to cover it, or where its area asks for more than covers it.
    """
    vessel_ml = wanted.volume_ml + film.displaced_ml
    missing_ml = vessel_ml - holds_ml
    if missing_ml <= _NOT_A_WHOLE_ML:
        return None
    remedy = f"take a vessel that holds {say.volume(vessel_ml)}"
    if vessel.grows or wanted.cover_ml < holds_ml:
        loads = ceil(vessel_ml / holds_ml)
        split = "split" if film.pieces >= loads else "cut"
        remedy = f"{split} the film into {loads} loads with fresh bath each, or {remedy}"
    return Finding((), f"the vessel is {say.volume(missing_ml)} too small", remedy)


def full_containers(volume_ml: float, size_ml: float) -> int:
    """The fewest full containers of ``size_ml`` that hold ``volume_ml``; `BenchError` past 99."""
    number = ceil(volume_ml / size_ml - _MET_EXACTLY)
    if number > _MOST_CONTAINERS:
        found = f"one of {METRIC.volume(size_ml)}, for {METRIC.volume(volume_ml)}"
        remedy = f"take one of which {_MOST_CONTAINERS} or fewer will do"
        raise BenchError("container", found, remedy)
    return number
