"""A bath that cools or warms while it works, and the time that still delivers what was asked.

Knows Newton's law of cooling and the rate of development. The rate is averaged, never the
temperature. Knows no plan: it changes no time by itself.
"""

from math import ceil, exp, log
from typing import Final, NamedTuple

from darktimer.bench.bench_error import BenchError
from darktimer.bench.rate import rate, time_at
from darktimer.bench.vessel import VesselGeometry

#: Heat lost by an open tank of hot water, W/(m2 K): 130 and 50 Btu/(ft2 h) at 90 F in air of 60 F,
#: from memory, no source. Nearer to the room a surface loses less, so a bath drifts no faster.
SURFACE_W_PER_M2_K: Final = 24.6
WALL_W_PER_M2_K: Final = 9.5

#: Time constants of baths: 1 l of water in the open has an hour, and a vat a day (M, by shape).
_BELIEVED_MS: Final = (60_000.0, 14 * 86_400_000.0)
_WATER_J_PER_ML_K: Final = 4.18
_SETTLED: Final = 20.0  # time constants after which a bath has the room's temperature: 2e-9 left
_STEPS: Final = 32  # of Simpson's rule in a time constant: within a millionth of the integral
_CLOSE_ENOUGH_MS: Final = 0.1


class DriftingBath(NamedTuple):
    """A bath on its way to the temperature of the room."""

    start_celsius: float
    room_celsius: float
    constant_ms: float

    def celsius_at(self, time_ms: float) -> float:
        """Temperature after ``time_ms``, after Newton's law of cooling."""
        gap = self.start_celsius - self.room_celsius
        return self.room_celsius + gap * exp(-time_ms / self.constant_ms)


def constant_from_readings(
    first_celsius: float, second_celsius: float, between_ms: float, room_celsius: float
) -> float:
    """Time constant, ms, from two thermometer readings ``between_ms`` apart.

    Raises `BenchError` where the bath did not move towards the room, or as no bath does.
    """
    first, second = first_celsius - room_celsius, second_celsius - room_celsius
    if not (first * second > 0 and abs(second) < abs(first)):
        found = f"{first_celsius:g} C, then {second_celsius:g} C in a room of {room_celsius:g} C"
        remedy = "read again after longer: the bath must come nearer to the room and not reach it"
        raise BenchError("thermometer readings", found, remedy)
    constant_ms = between_ms / log(first / second)
    if not _BELIEVED_MS[0] <= constant_ms <= _BELIEVED_MS[1]:
        found = f"{first_celsius:g} C, then {second_celsius:g} C after {between_ms / 1000:g} s"
        remedy = (
            "read again: no bath reaches the room's temperature in a minute, and none takes weeks"
        )
        raise BenchError("thermometer readings", found, remedy)
    return constant_ms


def constant_from_vessel(vessel: VesselGeometry) -> float:
    """Time constant, ms, from the volume and its faces: heat held by a kelvin over heat lost.

    A covered vessel, or one whose faces are not known, is not for this.
    """
    lost = vessel.open_cm2 * SURFACE_W_PER_M2_K + vessel.wall_cm2 * WALL_W_PER_M2_K
    return 1000 * vessel.cover_ml * _WATER_J_PER_ML_K / (lost / 1e4)


def delivered_ms(bath: DriftingBath, time_ms: float, at_celsius: float, kj_per_mol: float) -> float:
    """Development done in ``time_ms``, as the time that would do it at ``at_celsius``, ms.

    The integral of the rate over time, by Simpson's rule while the bath drifts.
    """
    drifting = min(time_ms, _SETTLED * bath.constant_ms)
    steps = _STEPS * ceil(drifting / bath.constant_ms)
    step = drifting / steps
    paces = [rate(bath.celsius_at(i * step), at_celsius, kj_per_mol) for i in range(steps + 1)]
    whole = paces[0] + 4 * sum(paces[1::2]) + 2 * sum(paces[2:-1:2]) + paces[-1]
    return whole * step / 3 + (time_ms - drifting) * paces[-1]


class DriftTime(NamedTuple):
    """The time that delivers what was asked, ``time_ms``, beside ``steady_ms``, which would if
    the bath kept its first temperature.

    ``ignored`` is the error of the latter, a plain fraction: below 0 is underdeveloped.
    """

    time_ms: int
    steady_ms: int
    end_celsius: float
    ignored: float


def time_in(bath: DriftingBath, wanted_ms: int, at_celsius: float, kj_per_mol: float) -> DriftTime:
    """The time in a drifting ``bath`` that does what ``wanted_ms`` does at ``at_celsius``.

    Newton's method, with the rate as the slope: development over time bends one way only, so it
    runs to the answer from either side.
    """
    steady_ms = time_at(wanted_ms, at_celsius, bath.start_celsius, kj_per_mol)
    time_ms = float(steady_ms)
    while True:
        short_ms = wanted_ms - delivered_ms(bath, time_ms, at_celsius, kj_per_mol)
        if abs(short_ms) < _CLOSE_ENOUGH_MS:
            break
        time_ms += short_ms / rate(bath.celsius_at(time_ms), at_celsius, kj_per_mol)
    ignored = delivered_ms(bath, steady_ms, at_celsius, kj_per_mol) / wanted_ms - 1
    return DriftTime(round(time_ms), steady_ms, bath.celsius_at(time_ms), ignored)
