"""The sizes film is sold in: the name of each, what counts it, how large and how thick it is.

A sheet's name is its two sides, so that any sheet has one. Knows no vessel and no bath.
"""

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final, NamedTuple

from darktimer.document.section import one_of
from darktimer.errors import UnreadableError
from darktimer.units import NUMBER, length_m, number, shown

MM_PER_INCH: Final = 25.4
#: The trade's "one roll": 80 square inches, said of one 135-36, one 120, four 4x5, one 8x10.
ROLL_M2: Final = 80 * (MM_PER_INCH / 1000) ** 2

_WIDTH_135: Final = 34.98  # ISO 1007, as quoted
_WIDTH_16: Final = 15.95  # SMPTE 101 and 109, as quoted
_WIDTH_8_S: Final = 7.976  # SMPTE 149, as quoted
_FRAME_135: Final = 38.0  # eight perforations of 4.75 mm
#: Leader and trailer, about 107.5 mm: as much as makes 135-36 the trade's roll, no more or less.
_ENDS_135: Final = ROLL_M2 * 1e6 / _WIDTH_135 - 36 * _FRAME_135
_SHEET_MM: Final = 0.18

_SIDES: Final = rf"\s*({NUMBER})\s*(?:x|×|by)\s*({NUMBER})\s*(cm|in|mm)\s*"
_LEAST_SIDE_MM, _MOST_SIDE_MM = 20, 1100


class Format(NamedTuple):
    """``measure`` is the plan's key for how much there is: ``count``, ``length`` or ``sheets``.

    ``length_mm`` is None where film is measured off.
    """

    measure: str
    width_mm: float
    thickness_mm: float
    length_mm: float | None = None


def _cassette(exposures: int) -> Format:
    return Format("count", _WIDTH_135, 0.13, exposures * _FRAME_135 + _ENDS_135)


def _cine(width_mm: float) -> Format:
    return Format("length", width_mm, 0.13)


#: Thicknesses are common practice, with no source; they only serve the displaced volume.
_BY_NAME: Final = {
    "135-36": _cassette(36),
    "135-24": _cassette(24),
    "135-12": _cassette(12),
    "120": Format("count", 61, 0.11, 820),
    "220": Format("count", 61, 0.11, 1640),  # twice a 120, with no paper behind it: common practice
    "620": Format("count", 61, 0.11, 820),  # a 120 on a thinner spool: common practice
    "127": Format("count", 46, 0.11, 780),  # from memory
    "16 mm": _cine(_WIDTH_16),
    "double-8": _cine(_WIDTH_16),
    "8 mm type R": _cine(_WIDTH_16 / 2),  # also double-8 once it is slit
    "8 mm type S": _cine(_WIDTH_8_S),
    "9.5 mm": _cine(9.5),  # as it is called: common practice
    "35 mm": _cine(_WIDTH_135),
    "65 mm": _cine(64.97),  # from memory
    "70 mm": _cine(69.95),  # from memory
}
#: Formats that most people know by another name, or have to ask about.
ALSO_CALLED: Final = {
    "double-8": "16 mm wide until it is slit",
    "8 mm type R": "regular 8",
    "8 mm type S": "super 8",
}
#: Sheets as they are sold in inches and centimetres; the odd ones are cut, or for X-rays.
_USUAL_SHEETS: Final = (
    *("4x5 in", "5x7 in", "8x10 in", "11x14 in", "6x9 cm", "6.5x9 cm", "9x12 cm"),
    *("10x15 cm", "13x18 cm", "18x24 cm"),
)


def sheet_name(written: str) -> str:
    """``18x24 cm`` of a sheet as people write it, ``18 by 24 cm``; empty where it is none.

    ``2.25x3.25 in`` of ``2¼ x 3¼ in``, so that each has one name.
    """
    match = re.fullmatch(_SIDES, written.lower())
    return _named(*match.groups()) if match else ""


def _named(width: str, length: str, unit: str) -> str:
    return f"{float(number(width)):g}x{float(number(length)):g} {unit}"


def _sheet(name: str) -> Format:
    match = re.fullmatch(_SIDES, name)
    assert match
    width_mm, length_mm = (1000 * length_m(f"{side} {match[3]}") for side in match.groups()[:2])
    if not all(_LEAST_SIDE_MM <= side <= _MOST_SIDE_MM for side in (width_mm, length_mm)):
        found = f"{shown(name)} is not a size of sheet that is developed by hand"
        raise UnreadableError(found, "write sides from 2 cm to 110 cm, such as 18x24 cm")
    return Format("sheets", width_mm, _SHEET_MM, length_mm)


#: What is offered; any other sheet is a format too.
FORMATS: Final[Mapping[str, Format]] = MappingProxyType(
    _BY_NAME | {name: _sheet(name) for name in _USUAL_SHEETS}
)
#: What editors are told: unquoted, the 120 of a roll is a number to them.
WRITTEN: Final = {
    "anyOf": [
        {"enum": [*FORMATS, *(int(name) for name in FORMATS if name.isdigit())]},
        {"type": "string", "pattern": f"^{_SIDES}$", "examples": ["18x24 cm", "7x17 in"]},
    ]
}


def format_called(name: str) -> Format:
    """The format of that name; raises `UnreadableError`."""
    return FORMATS.get(name) or _sheet(name)


def format_name(written: str) -> str:
    """The name of a format as it is ``written`` in a plan; raises `UnreadableError`."""
    if written in FORMATS:
        return written
    name = sheet_name(written)
    if not name:
        remedy = f"{one_of(written, FORMATS)}, or any other sheet by its sides, such as 7x17 in"
        raise UnreadableError(f"found {shown(written)}", remedy)
    _sheet(name)
    return name


def measure_of(name: str) -> str:
    """The key that says how much film of a format there is; ``count`` for an unknown one."""
    return format_called(name).measure if name in FORMATS or sheet_name(name) else "count"
