"""How much film goes into a bath: its area, and the bath it pushes aside.

Knows amounts of a format, and several films together. Knows no emulsions, vessels or baths.
"""

from collections.abc import Sequence
from math import fsum
from typing import NamedTuple

from darktimer.plan.formats import ROLL_M2, format_called


class FilmLoad(NamedTuple):
    """Film that goes through the baths: ``pieces`` of one format and length, or several such.

    Of several, ``width_mm`` and ``length_mm`` are those of the widest and of the longest piece.
    """

    pieces: int
    width_mm: float
    length_mm: float
    area_m2: float
    displaced_ml: float

    @property
    def rolls(self) -> float:
        """The area in the trade's rolls of 80 square inches."""
        return self.area_m2 / ROLL_M2


def load(format_name: str, pieces: int = 1, length_mm: float | None = None) -> FilmLoad:
    """``pieces`` of a format; ``length_mm`` is that of one piece and rules over the usual length.

    Area is width times length of one face, m2, perforations not taken off; displaced volume is
    area times thickness, ml. Film that is measured off must come with a length.
    """
    film = format_called(format_name)
    length = length_mm or film.length_mm
    assert length
    area_m2 = pieces * film.width_mm * length / 1e6
    displaced_ml = area_m2 * film.thickness_mm * 1000
    return FilmLoad(pieces, film.width_mm, length, area_m2, displaced_ml)


def together(loads: Sequence[FilmLoad]) -> FilmLoad:
    """Films, one at least, that share a vessel and its baths."""
    pieces, widths_mm, lengths_mm, areas_m2, displaced_ml = zip(*loads, strict=True)
    return FilmLoad(
        sum(pieces), max(widths_mm), max(lengths_mm), fsum(areas_m2), fsum(displaced_ml)
    )
