"""What a plan may say of a developer that is warmer or colder than its time was found for.

Knows how a thermometer reading and an activation energy are written. What follows from them for the
time is the business of the bench.
"""

import re
from typing import Annotated, Final, Literal, NamedTuple

from darktimer import units
from darktimer.document.fields import ReadBy
from darktimer.document.quantities import described
from darktimer.errors import UnreadableError
from darktimer.units import shown

#: How a develop's time may be made to fit its bath: to the temperature it goes in with, or also to
#: its cooling or warming while it works.
Adjusting = Literal["for temperature", "for drift"]

#: Below or above it, development tables no longer hold (common practice, no source).
USUAL_RANGE_CELSIUS: Final = (15.0, 30.0)
#: Ordinary developers lie at 45-75, from memory; outside the second pair no reaction in a bath.
DOUBTFUL_OUTSIDE_KJ_PER_MOL: Final = (35.0, 90.0)
POSSIBLE_KJ_PER_MOL: Final = (10.0, 200.0)

_READING_REMEDY: Final = "write a temperature and a time, such as 22 C after 10 min"


def is_usual(celsius: float) -> bool:
    """Whether a bath has a temperature for which there are tables."""
    low, high = USUAL_RANGE_CELSIUS
    return low <= celsius <= high


class ThermometerReading(NamedTuple):
    """A thermometer read again, ``after_ms`` after the bath had its first temperature."""

    celsius: float
    after_ms: int


def reading(text: str) -> ThermometerReading:
    """A reading from ``22 C after 10 min``; raises `UnreadableError`."""
    temperature, after, time = text.partition(" after ")
    if not after:
        raise UnreadableError(f"{shown(text)} is not a reading", _READING_REMEDY)
    return ThermometerReading(units.temperature_celsius(temperature), units.duration_ms(time))


def energy_kj_per_mol(text: str) -> float:
    """An activation energy from ``60 kJ/mol``; raises `UnreadableError`."""
    low, high = POSSIBLE_KJ_PER_MOL
    match = re.fullmatch(r"\s*(\d{1,4}(?:\.\d+)?)\s*kJ\s*/\s*mol\s*", text)
    if match and low <= float(match[1]) <= high:
        return float(match[1])
    found = f"{shown(text)} is not an activation energy of a developer"
    remedy = f"write a figure from {low:g} to {high:g} and its unit, such as 60 kJ/mol"
    raise UnreadableError(found, remedy)


ReadingAgain = Annotated[
    ThermometerReading,
    ReadBy(reading),
    described("a later reading of the thermometer", "22 C after 10 min", pattern=r" after "),
]
Energy = Annotated[
    float,
    ReadBy(energy_kj_per_mol),
    described("an activation energy", "60 kJ/mol", pattern=r"kJ\s*/\s*mol\s*$"),
]
