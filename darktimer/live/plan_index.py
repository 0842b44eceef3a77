"""An index of one timeline: what is where in the plan, and how long sounds are."""

from bisect import bisect_right
from collections.abc import Callable
from typing import NamedTuple

from darktimer.process.timeline import Timeline


class Position(NamedTuple):
    """Where the run is: ``plan_ms`` on the timeline, its step and span, and what it waits for.

    ``waits`` is "", "loading", "film is in" or "hold". ``left_ms`` is what is left of the bath,
    ``sign`` what tells the step by sound.
    """

    plan_ms: int
    step: int
    kind: str
    span: str
    left_ms: int
    waits: str
    sign: str = ""


class PlanIndex:
    """``length_ms`` gives the length of a meaning's sound."""

    def __init__(self, timeline: Timeline, length_ms: Callable[[str], int]) -> None:
        self.timeline = timeline
        self.length_ms = length_ms
        self._step_starts = [step.start_ms for step in timeline.steps]
        self._span_starts = [span.start_ms for span in timeline.spans]

    def position(self, plan_ms: int, waits: str = "") -> Position:
        """A moment before the timeline is its first, one after it its last."""
        steps, spans = self.timeline.steps, self.timeline.spans
        index = max(0, bisect_right(self._step_starts, plan_ms) - 1)
        span = spans[max(0, bisect_right(self._span_starts, plan_ms) - 1)].kind if spans else ""
        left_ms = max(0, self._bath_end_ms(index) - plan_ms)
        step = steps[index]
        return Position(plan_ms, index, step.kind, span, left_ms, waits, step.sign)

    def _bath_end_ms(self, step: int) -> int:
        """Also where the light divides a bath into two steps."""
        steps = self.timeline.steps
        last = steps[step]
        for each in steps[step + 1 :]:
            if each.kind != last.kind or each.dark == last.dark:
                break
            last = each
        return last.end_ms
