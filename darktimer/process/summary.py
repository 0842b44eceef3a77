"""What each step of a timeline comes to: its time in the bath and how much of it is moving."""

from typing import NamedTuple

from darktimer.plan.model import Plan
from darktimer.process.timeline import Step, Timeline


class StepSummary(NamedTuple):
    """One step in figures. ``time_ms`` is its own time, by the plan's convention of time, and
    ``clock_ms`` the moment that this runs from.

    ``source`` is its index in the plan, None for what is added.
    """

    name: str
    kind: str
    start_ms: int
    end_ms: int
    time_ms: int
    agitated_ms: int
    dark: bool
    source: int | None
    clock_ms: int


def summarize(plan: Plan, timeline: Timeline) -> list[StepSummary]:
    """A summary of each step, in order."""
    totals = [dict.fromkeys(("agitate", "transfer", "drain"), 0) for _ in timeline.steps]
    for span in timeline.spans:
        total = totals[span.step]
        total[span.kind] = total.get(span.kind, 0) + span.end_ms - span.start_ms
    return [_summary(plan, step, total) for step, total in zip(timeline.steps, totals, strict=True)]


def _summary(plan: Plan, step: Step, total: dict[str, int]) -> StepSummary:
    """The transfer may come before the step's own time, the drain after it."""
    before_ms = total["transfer"] if plan.clock_starts == "full" and not plan.sheets else 0
    after_ms = total["drain"] if plan.drain_is == "after" and not plan.sheets else 0
    return StepSummary(
        step.name,
        step.kind,
        step.start_ms,
        step.end_ms,
        step.end_ms - step.start_ms - before_ms - after_ms,
        total["agitate"],
        step.dark,
        step.source,
        step.start_ms + before_ms,
    )
