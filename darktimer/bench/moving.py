"""How much of a develop the film moves, and what the usual rule says of that.

Knows the ways of agitation a plan can ask for. The exact spans are the compiler's business; what
is found here is the share that a person would work out by hand.
"""

from typing import Final

from darktimer.bench.custom import CONTINUOUS_SHORTENS, INTERMITTENT, agitated_time
from darktimer.plan.agitation import Continuous, Inversions, Rotation, ShareOfTime, Shuffle, Still
from darktimer.plan.model import Plan
from darktimer.plan.steps import Develop
from darktimer.units import clock

_ALIKE: Final = 0.005


def moving_share(plan: Plan, step: Develop) -> float:
    """The share of ``step`` in which the film moves, 0 to 1: the opening, then every bout."""
    scheme, opening_ms = plan.agitation(step), plan.habit(step, "opening")
    if isinstance(scheme, Continuous | Rotation | Shuffle):
        return 1.0
    if isinstance(scheme, ShareOfTime):
        return float(scheme.share)
    if scheme is None or isinstance(scheme, Still):
        return 0.0
    bouts_ms = _bouts(scheme, step.develop) * scheme.within if isinstance(scheme, Inversions) else 0
    return float(min(1.0, (opening_ms + bouts_ms) / step.develop))


def _bouts(scheme: Inversions, time_ms: int) -> int:
    """Bouts after the opening: one each interval, none at the very end; or those at moments."""
    return (time_ms - 1) // scheme.every if scheme.every else len(scheme.at)


def agitation_rule(time_ms: int, moving: float, meant: float | None) -> str:
    """What ``time_ms`` becomes for film that moves ``moving`` of the time, as one sentence.

    ``meant`` is the share the recipe's times are for; None is taken for the usual one. Empty where
    the shares are alike.
    """
    if abs(moving - (INTERMITTENT if meant is None else meant)) < _ALIKE:
        return ""
    here, usual = _percent(moving), f"{_percent(INTERMITTENT)} (30 s, then 5 s each minute)"
    if not (moving >= INTERMITTENT and (meant is None or meant >= INTERMITTENT)):
        return f"the film moves {here} of the time: for film that stands no rule is known"
    found_for = f"the recipe is for {_percent(meant)}" if meant else f"if yours is for {usual}"
    new_ms = round(agitated_time(time_ms, moving, meant or INTERMITTENT) / 1000) * 1000
    return (
        f"the film moves {here} of the time; {found_for}, {clock(time_ms)} would become "
        f"{clock(new_ms)}: a rule of thumb, by which continuous agitation shortens by "
        f"{100 * CONTINUOUS_SHORTENS:.0f} %; make a test"
    )


def _percent(share: float) -> str:
    return f"{100 * share:.1f} %"
