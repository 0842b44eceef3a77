"""How long to develop tonight: at the temperatures a bath may really have, and in one that drifts.

Knows what the plan asks for and changes none of it.
"""

from dataclasses import dataclass
from typing import Final, NamedTuple

from darktimer.bench.drift import Bath, Drifting, constant_from_readings, time_in
from darktimer.bench.rate import Activation, time_at

OFFSETS_CELSIUS: Final = (-4.0, -2.0, 2.0, 4.0)


class Reading(NamedTuple):
    """A thermometer read again, ``after_ms`` after the bath had the plan's temperature."""

    celsius: float
    after_ms: int


@dataclass(frozen=True, slots=True)
class DevelopTime:
    """The plan's time at the plan's temperature, and times that do the same elsewhere.

    ``elsewhere`` holds pairs of degrees Celsius and ms. ``drifting`` is None where the plan or the
    thermometer does not tell how the bath drifts.
    """

    step: str
    planned_ms: int
    celsius: float
    elsewhere: tuple[tuple[float, int], ...]
    kj_per_mol: float
    warning: str
    drifting: Drifting | None


def develop_time(
    step: str,
    planned_ms: int,
    celsius: float,
    activation: Activation,
    room_celsius: float | None = None,
    reading: Reading | None = None,
) -> DevelopTime:
    """Times for a develop of ``planned_ms`` at ``celsius``.

    With the temperature of the room and a second reading, also the time in the bath that drifts.
    Raises `BenchError` for readings that do not go towards the room.
    """
    energy = activation.kj_per_mol
    warmths = [celsius + offset for offset in OFFSETS_CELSIUS if celsius + offset >= 0]
    elsewhere = tuple((warm, time_at(planned_ms, celsius, warm, energy)) for warm in warmths)
    drifting = None
    if room_celsius is not None and reading is not None:
        constant = constant_from_readings(celsius, reading.celsius, reading.after_ms, room_celsius)
        drifting = time_in(Bath(celsius, room_celsius, constant), planned_ms, celsius, energy)
    return DevelopTime(step, planned_ms, celsius, elsewhere, energy, activation.warning, drifting)
