"""Corrections the trade makes by rule of thumb: other agitation, a cold wash.

Knows what is customary, with what stands behind it. None of it is computed from first principles.
"""

from typing import Final

from darktimer.bench.bench_error import BenchError
from darktimer.bench.rate import kelvin
from darktimer.plan.fixing import USUAL_CELSIUS
from darktimer.plan.model import Plan
from darktimer.plan.steps import Develop
from darktimer.process.layout import lay_bath
from darktimer.units import clock, whole_second

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


_ALIKE: Final = 0.005


def moving_share(plan: Plan, step: Develop) -> float:
    """The share of its time in which the film moves in ``step``, 1 where it never stands.

    So continuous agitation is whole, though film that drains does not move.
    """
    spans = lay_bath(plan, 0, step, 0).spans
    if all(kind != "stand" for kind, _, _ in spans):
        return 1.0
    return sum(end - start for kind, start, end in spans if kind == "agitate") / step.develop


def agitation_rule(time_ms: int, moving: float, meant: float | None) -> str:
    """What ``time_ms`` becomes for film that moves ``moving`` of the time, as one sentence.

    ``meant`` is the share the recipe's times are for; None is taken for the usual one. Empty where
    the shares are alike.
    """
    if abs(moving - (INTERMITTENT if meant is None else meant)) < _ALIKE:
        return ""
    here, usual = _moves(moving), f"{100 * INTERMITTENT:.1f} % (30 s, then 5 s each minute)"
    if not (moving >= INTERMITTENT and (meant is None or meant >= INTERMITTENT)):
        return f"the film {here}: no rule is known for standing film"
    found_for = f"if your time is for {usual}"
    if meant:
        found_for = f"the recipe is for film that {_moves(meant)}"
    new_ms = whole_second(agitated_time(time_ms, moving, meant or INTERMITTENT))
    return (
        f"the film {here}; {found_for}, {clock(time_ms)} would become "
        f"{clock(new_ms)}: a rule of thumb, by which continuous agitation shortens by "
        f"{100 * CONTINUOUS_SHORTENS:.0f} %; make a test"
    )


def _moves(share: float) -> str:
    return "moves all the time" if share == 1 else f"moves {100 * share:.1f} % of the time"
