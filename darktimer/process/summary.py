"""What each step of a timeline comes to: its time in the bath and how much of it is moving."""

from typing import NamedTuple

from darktimer.plan.model import Plan
from darktimer.process.timeline import Timeline


class StepSummary(NamedTuple):
    """One step in figures. ``time_ms`` is its own time, by the plan's convention of time.

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


def summarize(plan: Plan, timeline: Timeline) -> list[StepSummary]:
    """A summary of each step, in order."""
    totals = [dict.fromkeys(("agitate", "transfer", "drain"), 0) for _ in timeline.steps]
    for span in timeline.spans:
        total = totals[span.step]
        total[span.kind] = total.get(span.kind, 0) + span.end_ms - span.start_ms
    return [
        StepSummary(
            step.name,
            step.kind,
            step.start_ms,
            step.end_ms,
            step.end_ms - step.start_ms - _outside_clock_ms(plan, total),
            total["agitate"],
            step.dark,
            step.source,
        )
        for step, total in zip(timeline.steps, totals, strict=True)
    ]


def _outside_clock_ms(plan: Plan, total: dict[str, int]) -> int:
    """What of a step lies outside its own time: a transfer before it, a drain after it."""
    if plan.sheets:
        return 0
    before = total["transfer"] if plan.clock_starts == "full" else 0
    after = total["drain"] if plan.drain_is == "after" else 0
    return before + after
