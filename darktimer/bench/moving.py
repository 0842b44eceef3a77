"""How much of a develop the film moves, and what the usual rule says of that.

Knows the rule. When the film moves is the layout's business, and counted there.
"""

from typing import Final

from darktimer.bench.custom import CONTINUOUS_SHORTENS, INTERMITTENT, agitated_time
from darktimer.plan.model import Plan
from darktimer.plan.steps import Develop
from darktimer.process.layout import lay_bath
from darktimer.units import clock, whole_second

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
        return f"the film {here}: for film that stands no rule is known"
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
