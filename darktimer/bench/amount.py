"""How much of a bath to mix: enough to cover the film, and enough to work on all of it.

Knows the two limits, which of them rules, and what would help when a vessel is too small. Knows
neither what the bath is made of nor how the vessel is shaped.
"""

from math import ceil
from typing import Final, NamedTuple

from darktimer.bench.film import Load
from darktimer.bench.measures import METRIC, Measures
from darktimer.bench.refusal import above_zero
from darktimer.bench.vessel import Vessel

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

    def text(self, say: Measures = METRIC) -> str:
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

    def found(self, say: Measures = METRIC) -> str:
        """What is missing."""
        return f"the vessel is {say.volume(self.missing_ml)} too small"

    def remedy(self, say: Measures = METRIC) -> str:
        """What helps, plain enough to act on."""
        larger = f"take a vessel that holds {say.volume(self.vessel_ml)}"
        if not self.loads:
            return larger
        split = "split" if self.pieces >= self.loads else "cut"
        return f"{split} the film into {self.loads} loads with fresh bath each, or {larger}"


def need(vessel: Vessel, film: Load, capacity_m2_per_l: float | None = None) -> Need:
    """The larger of the volume to cover and the volume by capacity, ml.

    ``capacity_m2_per_l`` is the area one litre can work on, None where nothing is known.
    """
    capacity_ml = 0.0
    if capacity_m2_per_l is not None:
        capacity_ml = 1000 * film.area_m2 / above_zero("capacity", capacity_m2_per_l, "m2/l")
    rules = "capacity" if capacity_ml > vessel.cover_ml else "cover"
    return Need(max(vessel.cover_ml, capacity_ml), vessel.cover_ml, capacity_ml, rules)


def shortfall(wanted: Need, vessel: Vessel, film: Load, holds_ml: float) -> Shortfall | None:
    """What is missing in a vessel that holds ``holds_ml`` to the brim, or None if all goes in.

    The film takes its own displaced volume of the vessel.
    """
    vessel_ml = wanted.volume_ml + film.displaced_ml
    missing_ml = vessel_ml - above_zero("what the vessel holds", holds_ml, "ml")
    if missing_ml <= _NOT_A_WHOLE_ML:
        return None
    loads = ceil(vessel_ml / holds_ml) if _splitting_helps(wanted, vessel, holds_ml) else 0
    return Shortfall(missing_ml, loads, vessel_ml, film.pieces)


def _splitting_helps(wanted: Need, vessel: Vessel, holds_ml: float) -> bool:
    return vessel.grows or wanted.cover_ml < holds_ml
