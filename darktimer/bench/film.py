"""How much film goes into a bath: its area, and the bath it pushes aside.

Knows the sizes film is sold in. Knows nothing of emulsions, vessels or baths.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final, NamedTuple

MM_PER_INCH: Final = 25.4

#: The trade's "one roll": 80 square inches, said of one 135-36, one 120, four 4x5, one 8x10.
ROLL_M2: Final = 80 * (MM_PER_INCH / 1000) ** 2

_WIDTH_135: Final = 34.98  # ISO 1007, as quoted
_WIDTH_16: Final = 15.95  # SMPTE 101 and 109, as quoted
_WIDTH_8_S: Final = 7.976  # SMPTE 149, as quoted
_FRAME_135: Final = 38.0  # eight perforations of 4.75 mm
#: Leader and trailer, about 107.5 mm: as much as makes 135-36 the trade's roll, no more or less.
_ENDS_135: Final = ROLL_M2 * 1e6 / _WIDTH_135 - 36 * _FRAME_135


class Format(NamedTuple):
    """A size of film. ``length_mm`` is None where film is measured off."""

    width_mm: float
    thickness_mm: float
    length_mm: float | None = None


def _cassette(exposures: int) -> Format:
    return Format(_WIDTH_135, 0.13, exposures * _FRAME_135 + _ENDS_135)


def _sheet(short: float, long: float, unit_mm: float) -> Format:
    return Format(short * unit_mm, 0.18, long * unit_mm)


#: Thicknesses are common practice, with no source; they only serve the displaced volume.
FORMATS: Final[Mapping[str, Format]] = MappingProxyType(
    {
        "135-12": _cassette(12),
        "135-24": _cassette(24),
        "135-36": _cassette(36),
        "120": Format(61, 0.11, 820),
        "4x5 in": _sheet(4, 5, MM_PER_INCH),
        "5x7 in": _sheet(5, 7, MM_PER_INCH),
        "8x10 in": _sheet(8, 10, MM_PER_INCH),
        "6x9 cm": _sheet(6, 9, 10),
        "9x12 cm": _sheet(9, 12, 10),
        "10x15 cm": _sheet(10, 15, 10),
        "13x18 cm": _sheet(13, 18, 10),
        "35 mm": Format(_WIDTH_135, 0.13),
        "16 mm": Format(_WIDTH_16, 0.13),
        "8 mm type R": Format(_WIDTH_16 / 2, 0.13),  # also double-8 once it is slit
        "8 mm type S": Format(_WIDTH_8_S, 0.13),
        "double-8": Format(_WIDTH_16, 0.13),
    }
)


class FilmLoad(NamedTuple):
    """The film that goes through the baths together: ``pieces`` of one format and length."""

    format: str
    pieces: int
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
    film = FORMATS[format_name]
    length = length_mm or film.length_mm
    assert length
    area_m2 = pieces * film.width_mm * length / 1e6
    return FilmLoad(format_name, pieces, length, area_m2, area_m2 * film.thickness_mm * 1000)
