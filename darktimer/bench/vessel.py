"""How much bath it takes to cover the film in a vessel, and what faces of it lose heat.

Knows shapes, not brands: what is printed under a tank, or measured with water, beats every figure
here. Knows nothing of what the bath can do; that is the capacity's business.
"""

from collections.abc import Mapping, Sequence
from math import fsum, pi, sqrt
from types import MappingProxyType
from typing import Final, NamedTuple

from darktimer.bench.film import FilmLoad

#: One reel of a small spiral tank, ml. From memory; tanks differ, and say so underneath.
REEL_ML: Final[Mapping[str, float]] = MappingProxyType(
    {"135": 300.0} | dict.fromkeys(("120", "220", "620"), 500.0)
)

#: Loosely coiled film: common practice has about 4 litres for 100 feet of 16 mm (0.4862 m2).
HEAP_ML_PER_M2: Final = 4000 / 0.4862
HEAP_OVER_MM: Final = 10.0  # bath over the upper edge of a coil that stands on the floor of a tub
TRAY_DEPTH_MM: Final = 20.0  # about 1 litre in a tray for 8x10 in

_TUB = "tub with coiled film"
_LOOSE = (
    "loose coils may still stand out of the bath: try a scrap of the same length in water, and "
    "write the volume that covered it into the plan"
)
_MEASURE = "measure it: fill with water over the empty reels or a scrap, pour out, read"


class Floor(NamedTuple):
    """The floor of an upright vessel, inside: its area, cm2, and its edge, cm."""

    cm2: float
    around_cm: float


def rectangle(width_mm: float, length_mm: float) -> Floor:
    """The floor of a tray or a square tub."""
    return Floor(width_mm * length_mm / 100, (width_mm + length_mm) / 5)


def circle(diameter_mm: float) -> Floor:
    """The floor of a cylinder or a bucket."""
    return Floor(pi * diameter_mm**2 / 400, pi * diameter_mm / 10)


class VesselGeometry(NamedTuple):
    """What a vessel asks for.

    ``cover_ml`` covers the film. ``open_cm2`` and ``wall_cm2`` are the wetted faces to air and
    through the wall, 0 where they are not known. ``grows`` says whether a smaller load needs less.
    ``warning`` is empty where there is none.
    """

    cover_ml: float
    basis: str
    grows: bool
    warning: str = ""
    open_cm2: float = 0.0
    wall_cm2: float = 0.0

    def times(self, number: int) -> "VesselGeometry":
        """So many of it side by side."""
        if number == 1:
            return self
        return self._replace(
            cover_ml=number * self.cover_ml,
            basis=f"{number} vessels, {self.basis}",
            open_cm2=number * self.open_cm2,
            wall_cm2=number * self.wall_cm2,
        )


def spiral_tank(films: Sequence[str], reels: int | None = None) -> VesselGeometry:
    """A tank with a reel for each film, such as "135" or "120", and empty ones up to ``reels``.

    An empty one is taken to be as high as the highest.
    """
    heights_ml = [REEL_ML[each] for each in films]
    empty = max(0, (reels or 0) - len(films))
    cover_ml = fsum(heights_ml) + empty * max(heights_ml)
    return VesselGeometry(cover_ml, "spiral tank", True, _MEASURE)


def standing(floor: Floor, depth_mm: float, basis: str) -> VesselGeometry:
    """Any upright vessel with bath standing ``depth_mm`` deep, open at the top."""
    wall_cm2 = floor.cm2 + floor.around_cm * depth_mm / 10
    return VesselGeometry(floor.cm2 * depth_mm / 10, basis, False, "", floor.cm2, wall_cm2)


def tub(film: FilmLoad, floor_cm2: float | None = None) -> VesselGeometry:
    """A tub or bucket, ``floor_cm2`` at the bottom, with ``film`` coiled loosely in it.

    The larger of a heap by area and a coil that stands on its edge with bath over it; the heap
    alone where the floor is not known. The heap is fitted to one figure of the trade, so
    ``warning`` is never empty. The wall is taken as round and upright.
    """
    heap_ml = film.area_m2 * HEAP_ML_PER_M2
    if floor_cm2 is None:
        return VesselGeometry(heap_ml, _TUB, True, _LOOSE)
    standing_mm = film.width_mm + HEAP_OVER_MM
    cover_ml = max(heap_ml, floor_cm2 * standing_mm / 10)
    around_cm = 2 * sqrt(pi * floor_cm2)
    wall_cm2 = floor_cm2 + around_cm * cover_ml / floor_cm2
    return VesselGeometry(cover_ml, _TUB, True, _LOOSE, floor_cm2, wall_cm2)


def measured(volume_ml: float, floor: Floor | None = None) -> VesselGeometry:
    """The best of all: the volume that covered the empty reels or a scrap, read off in water.

    With the ``floor`` of an open, upright vessel its faces are known too.
    """
    basis = "measured with water"
    if floor is None:
        return VesselGeometry(volume_ml, basis, False)
    return standing(floor, 10 * volume_ml / floor.cm2, basis)
