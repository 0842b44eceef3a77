"""A plan whose develop times fit their baths, where it asks for that.

Knows a plan in and a plan out, with a reason for every time that is not as written. A plan that
does not ask comes back as it is.
"""

from collections.abc import Mapping
from typing import Final, NamedTuple

from darktimer.bench.develop_time import DevelopTime, develop_times
from darktimer.bench.plan_inputs import known_vessel
from darktimer.bench.recipe import Recipe
from darktimer.bench.unit_system import METRIC, figures
from darktimer.errors import Finding, FindingsError
from darktimer.plan.checks import faults
from darktimer.plan.model import Plan
from darktimer.units import clock, whole_second

_ASKING: Final = ("adjust", "time_is_for")
_ALIKE_MS: Final = 1000  # no hand is quicker than this


class Adjusted(NamedTuple):
    """The plan to carry out; ``notes`` say what was adjusted, ``remarks`` what was not."""

    plan: Plan
    notes: tuple[str, ...]
    remarks: tuple[str, ...]


def adjusted(plan: Plan, recipes: Mapping[str, Recipe]) -> Adjusted:
    """``plan`` with its develop times adjusted where it asks for it.

    ``recipes`` are by the key of their bath, for activation energies. Raises
    `FindingsError` where what is asked cannot be told, or where the plan no longer agrees.
    """
    steps, notes, remarks = list(plan.steps), [], []
    for time in develop_times(plan, recipes, known_vessel(plan)):
        if time.adjust:
            settled = {"develop": time.time_ms, **dict.fromkeys(_ASKING)}
            steps[time.source] = steps[time.source].changed(**settled)
            notes.append(_adjustment(time))
        elif abs(time.alike_ms - time.planned_ms) >= _ALIKE_MS:
            remarks.append(_remark(time))
    changed = plan.changed(steps=tuple(steps))
    _refuse_disagreement(changed)
    return Adjusted(changed, tuple(notes), tuple(remarks))


def _adjustment(time: DevelopTime) -> str:
    """What a time that was asked for replaces, and why, as one sentence."""
    return (
        f"{time.step} lasts {clock(time.time_ms)} in place of the {clock(time.planned_ms)} "
        f"written for {METRIC.temperature(time.for_celsius)}, as the plan asks: {_reason(time)}."
    )


def _remark(time: DevelopTime) -> str:
    """What would do the same as the time written, which stays as it is."""
    would_ms = whole_second(time.alike_ms)
    ask = "for drift" if time.drifting else "for temperature"
    return (
        f"{time.step} lasts {clock(time.planned_ms)} as written for "
        f"{METRIC.temperature(time.for_celsius)}; {clock(would_ms)} would do the same: "
        f"{_reason(time)}. Write adjust: {ask} if you want that."
    )


def _reason(time: DevelopTime) -> str:
    drift = time.drifting if time.adjust != "for temperature" else None
    known = f"its activation energy is {time.kj_per_mol:.0f} kJ/mol"
    energy = time.warning or f"{known}, which says how much a warmer bath speeds it up"
    if drift is None:
        return f"the bath has {METRIC.temperature(time.celsius)}; {energy}"
    amiss = f"{abs(100 * drift.ignored):.1f} % too {'little' if drift.ignored < 0 else 'much'}"
    return (
        f"the bath goes from {METRIC.temperature(time.celsius)} to "
        f"{METRIC.temperature(drift.end_celsius)} in a room of "
        f"{METRIC.temperature(time.room_celsius or 0.0)}, with a time constant of "
        f"{figures(time.constant_ms / 60_000, 2)} min, {time.constant_from}; {energy}; "
        f"ignoring the drift would develop {amiss}"
    )


def _refuse_disagreement(plan: Plan) -> None:
    """A shorter develop may no longer hold the moments of its agitation."""
    found = [
        Finding(each.path, f"once the time is adjusted, {each.found}", each.remedy)
        for each in faults(plan)
    ]
    if found:
        raise FindingsError(found)
