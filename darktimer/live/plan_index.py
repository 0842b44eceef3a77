"""An index of one timeline: what is where in the plan, and how long sounds are."""

from bisect import bisect_right
from collections.abc import Callable, Iterator
from typing import NamedTuple

from darktimer.process.timeline import Timeline


class Position(NamedTuple):
    """Where the run is: ``plan_ms`` on the timeline, its step and span, and what it waits for.

    ``waits`` is "", "loading", "film is in" or "hold". ``left_ms`` is what is left of the bath, or
    until ``piece`` goes in or out by itself; ``sign`` is what tells the step by sound.
    """

    plan_ms: int
    step: int
    kind: str
    span: str
    left_ms: int
    waits: str
    sign: str = ""
    piece: int = 0


class PieceDue(NamedTuple):
    """An act with a piece of the film alone; it is right until all leave, at ``until_ms``."""

    at_ms: int
    piece: int
    until_ms: int


class PlanIndex:
    """``length_ms`` gives the length of a meaning's sound."""

    def __init__(self, timeline: Timeline, length_ms: Callable[[str], int]) -> None:
        self.timeline = timeline
        self.length_ms = length_ms
        self._step_starts = [step.start_ms for step in timeline.steps]
        self._span_starts = [span.start_ms for span in timeline.spans]
        self._due = tuple(_due(timeline))

    def position(self, plan_ms: int, waits: str = "") -> Position:
        """A moment before the timeline is its first, one after it its last."""
        steps, spans = self.timeline.steps, self.timeline.spans
        index = max(0, bisect_right(self._step_starts, plan_ms) - 1)
        span = spans[max(0, bisect_right(self._span_starts, plan_ms) - 1)].kind if spans else ""
        left_ms = max(0, self._bath_end_ms(index) - plan_ms)
        step, piece = steps[index], 0
        due = next((due for due in self._due if due.at_ms > plan_ms), None)
        if due and due.at_ms < step.end_ms:
            left_ms, piece = due.at_ms - plan_ms, due.piece
        return Position(plan_ms, index, step.kind, span, left_ms, waits, step.sign, piece)

    def piece_due(self, plan_ms: int) -> PieceDue | None:
        """What is done with a single piece at a moment of the plan; None where nothing is."""
        return next((due for due in self._due if due.at_ms == plan_ms), None)

    def _bath_end_ms(self, step: int) -> int:
        """Also where the light divides a bath into two steps."""
        steps = self.timeline.steps
        last = steps[step]
        for each in steps[step + 1 :]:
            if each.kind != last.kind or each.dark == last.dark:
                break
            last = each
        return last.end_ms


def _due(timeline: Timeline) -> Iterator[PieceDue]:
    for span in timeline.spans:
        if piece := timeline.handled(span):
            drains = (
                s.start_ms for s in timeline.spans if (s.step, s.kind) == (span.step, "drain")
            )
            until_ms = next(drains, timeline.steps[span.step].end_ms)
            laid_ms = piece.end_ms if piece.end_ms < span.end_ms else span.start_ms
            for at_ms in sorted({span.start_ms, laid_ms}):
                yield PieceDue(at_ms, piece.number, until_ms)
