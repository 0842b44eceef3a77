"""A strip of film that was exposed in steps: exposures, and the densities read of it.

Exposures are in lg H, relative to the least one of a tablet or, where they were given in lux
seconds, absolute. Densities rise with exposure, as those of a negative do.
"""

import re
from collections.abc import Callable, Sequence
from itertools import pairwise
from math import inf, log10
from typing import Final, NamedTuple

from darktimer.sensitometry.refusal import SensitometryError, above_zero
from darktimer.units import shown

#: What a densitometer, or a calibrated scanner, may be off by from reading to reading: 0.01 to
#: 0.02 (common practice, no source). One standard uncertainty.
READING: Final = 0.02
_UNCERTAINTIES: Final = (0.001, 0.5)
#: Readings differ so much, in their uncertainties, once in ten thousand strips.
_SEEN_TO_FALL: Final = 6
_FEWEST: Final = 5
_MOST: Final = 99
_DENSEST: Final = 6.0
_LONGEST: Final = 12
_NUMBER: Final = r"[0-9]+(?:\.[0-9]+)?"
_DENSITIES: Final = (
    f"write a density from 0 to {_DENSEST:g}, such as 0.18, or as light let through, 66 %"
)


class Exposures(NamedTuple):
    """lg H of each step, rising; absolute (of lux seconds), or relative to the first."""

    lg_h: tuple[float, ...]
    absolute: bool


class Strip(NamedTuple):
    """What was read of one piece.

    ``base_fog`` is the density of the film beside the strip, where nothing exposed it, if it was
    read; ``reading`` the standard uncertainty of each reading.
    """

    exposures: Exposures
    densities: tuple[float, ...]
    base_fog: float | None = None
    reading: float = READING


def tablet(text: str) -> Exposures:
    """The exposures under a step tablet such as ``21 x 0.15``: steps and density increment.

    Raises `SensitometryError`.
    """
    remedy = "write steps and density increment, such as 21 x 0.15"
    match = re.fullmatch(rf"\s*([0-9]{{1,3}})\s*[x×]\s*({_NUMBER})\s*", text)
    if not match:
        raise SensitometryError(f"{shown(text)} is not a step tablet", remedy)
    steps, increment = int(match[1]), float(match[2])
    if not (_FEWEST <= steps <= _MOST and 0.01 <= increment <= 1):
        allowed = f"{_FEWEST} to {_MOST} steps of 0.01 to 1.00"
        raise SensitometryError(f"a tablet of {steps} x {increment:g}", f"{allowed} can be used")
    return Exposures(tuple(step * increment for step in range(steps)), absolute=False)


def lux_seconds(exposures: Sequence[float]) -> Exposures:
    """Exposures in lux seconds, from the least on; raises `SensitometryError`."""
    lg_h = tuple(log10(above_zero("an exposure", each)) for each in exposures)
    if any(later <= earlier for earlier, later in pairwise(lg_h)):
        found = "the exposures do not rise from each to the next"
        raise SensitometryError(found, "give them, and the densities, from the least on")
    return Exposures(lg_h, absolute=True)


def densities(text: str) -> tuple[float, ...]:
    """Densities from ``0.18, 0.22, 0.31``, or from the light let through: ``66 %, 60 %, 49 %``.

    D = -lg T. Raises `SensitometryError`.
    """
    return _listed(text, density, "0.18, 0.22, 0.31")


def density(text: str) -> float:
    """One density, as `densities` has them; raises `SensitometryError`."""
    match = re.fullmatch(rf"({_NUMBER})\s*(%)?", text.strip())
    if not match or len(text) > _LONGEST:
        raise SensitometryError(f"{shown(text)} is not a density", _DENSITIES)
    value = float(match[1])
    if match[2]:
        value = -log10(value / 100) if value else inf
    return _possible(value, shown(text))


def uncertainty(text: str) -> float:
    """How far a reading may be off; raises `SensitometryError`."""
    if not re.fullmatch(_NUMBER, text) or len(text) > _LONGEST:
        raise SensitometryError(f"{shown(text)} is not an uncertainty", "write one such as 0.02")
    return _certain(float(text))


def _certain(reading: float) -> float:
    least, most = _UNCERTAINTIES
    if not least <= reading <= most:
        found = f"an uncertainty of {reading:g} is out of range"
        raise SensitometryError(found, f"give {least:g} to {most:g}, or leave it out")
    return reading


def exposures(text: str) -> tuple[float, ...]:
    """Exposures in lux seconds from ``0.001, 0.0014, 0.002``; raises `SensitometryError`."""
    return _listed(text, _exposure, "0.001, 0.0014, 0.002")


def _exposure(text: str) -> float:
    if not re.fullmatch(_NUMBER, text) or len(text) > _LONGEST:
        raise SensitometryError(f"{shown(text)} is not an exposure", "write lux seconds")
    return above_zero("an exposure", float(text))


def _listed(text: str, read: Callable[[str], float], such_as: str) -> tuple[float, ...]:
    """Each of the figures between commas; a fault names which of them it is."""
    found, parts = [], text.split(",")
    for place, part in enumerate(parts, start=1):
        try:
            found.append(read(part.strip()))
        except SensitometryError as error:
            which = f"figure {place} of {len(parts)}: {error.found}"
            remedy = f"write figures with points, and commas between them, such as {such_as}"
            raise SensitometryError(which, remedy) from None
    return tuple(found)


def _possible(density: float, written: str) -> float:
    if not 0 <= density <= _DENSEST:
        raise SensitometryError(f"{written} is not a density that film has", _DENSITIES)
    return density


def strip(
    exposures: Exposures,
    read: Sequence[float],
    base_fog: float | None = None,
    reading: float = READING,
) -> Strip:
    """A strip of film with its readings; raises `SensitometryError` where they do not fit.

    A tablet may be read from either end: relative exposures are taken to rise with density.
    """
    if len(read) != len(exposures.lg_h):
        said = "1 density" if len(read) == 1 else f"{len(read)} densities"
        found = f"{said} for {len(exposures.lg_h)} exposures"
        raise SensitometryError(found, "give one density for each exposure")
    if not _FEWEST <= len(read) <= _MOST:
        found = f"{len(read)} densities do not make a curve"
        raise SensitometryError(found, f"read {_FEWEST} to {_MOST} steps")
    if not exposures.absolute and read[0] > read[-1]:
        read = read[::-1]
    made = Strip(exposures, tuple(read), base_fog, _certain(reading))
    _check(made)
    return made


def _check(made: Strip) -> None:
    """No negative becomes thinner by more exposure: where it seems to, a reading is wrong."""
    for each in made.densities if made.base_fog is None else (*made.densities, made.base_fog):
        _possible(each, f"{each:g}")
    before, upper = 1, made.densities[0]
    for step, density in enumerate(made.densities, start=1):
        if density >= upper:
            before, upper = step, density
        elif upper - density > _SEEN_TO_FALL * made.reading:
            found = (
                f"with more exposure the density falls from {upper:.2f} to {density:.2f}, "
                f"at readings {before} and {step} from the thin end"
            )
            raise SensitometryError(found, "read these two again")
    if (
        made.base_fog is not None
        and made.base_fog > made.densities[0] + _SEEN_TO_FALL * made.reading
    ):
        found = f"base + fog of {made.base_fog:.2f} is denser than the thinnest step"
        raise SensitometryError(found, "read the film beside the strip, where no light came")
