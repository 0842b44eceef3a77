"""Corrections the trade makes by rule of thumb: other agitation, a cold wash.

Knows what is customary, with what stands behind it. None of it is computed from first principles.
"""

from typing import Final

from darktimer.bench.rate import kelvin
from darktimer.bench.refusal import BenchError
from darktimer.plan.fixing import USUAL_CELSIUS

#: 30 s at first, then 5 s a minute, in a 10 min development: Navy training manual 14209.
INTERMITTENT: Final = 0.125
#: Continuous agitation shortens by 10 to 20 % against that; from memory, so the middle is taken.
CONTINUOUS_SHORTENS: Final = 0.15

#: Wash time by temperature, as powers of 2: 50 F twice, 35 F four times; TM 11-2323, for prints.
_COLD_WASH: Final = ((USUAL_CELSIUS, 0.0), (10.0, 1.0), (5 / 3, 2.0))


def agitated_time(time_ms: int, moving: float, for_moving: float = INTERMITTENT) -> int:
    """The time for another share of agitation, ms; a rule of thumb, to be tested on film.

    ``moving`` is the share of the time in which the film moves, ``for_moving`` the share that
    ``time_ms`` was found for. Straight between intermittent (12.5 %) and continuous (100 %).
    Raises `BenchError` below that: for film left standing there is no rule.
    """
    return round(time_ms * _agitation_factor(moving) / _agitation_factor(for_moving))


def _agitation_factor(moving: float) -> float:
    if not INTERMITTENT <= moving <= 1:
        found = f"film that moves {moving:.0%} of the time"
        raise BenchError("agitation", found, "the rule holds for 12.5 % to 100 %: make a test")
    return 1 - CONTINUOUS_SHORTENS * (moving - INTERMITTENT) / (1 - INTERMITTENT)


def cold_wash_factor(celsius: float) -> float:
    """How many times longer to wash in water at ``celsius``; 1 from 20 C upwards.

    1 at 20 C, 2 at 50 F and 4 at 35 F, evenly in the logarithm between; colder goes on alike.
    """
    if kelvin(celsius) >= kelvin(_COLD_WASH[0][0]):
        return 1.0
    (warm, less), (cold, more) = _COLD_WASH[:2] if celsius >= _COLD_WASH[1][0] else _COLD_WASH[1:]
    return float(2 ** (less + (warm - celsius) / (warm - cold) * (more - less)))
