"""What a timeline has at a moment of the plan: the step, what the hands do, the end of the bath."""

from bisect import bisect_right

from darktimer.process.timeline import Step, Timeline


class Places:
    """Looks moments up in one timeline; a moment before it is its first, one after it its last."""

    def __init__(self, timeline: Timeline) -> None:
        self._timeline = timeline
        self._step_starts = [step.start_ms for step in timeline.steps]
        self._span_starts = [span.start_ms for span in timeline.spans]

    def step(self, plan_ms: int) -> int:
        """The index of the step."""
        return max(0, bisect_right(self._step_starts, plan_ms) - 1)

    def span(self, plan_ms: int) -> str:
        """The kind of span: what the hands do."""
        spans = self._timeline.spans
        return spans[max(0, bisect_right(self._span_starts, plan_ms) - 1)].kind if spans else ""

    def kind(self, plan_ms: int) -> str:
        """The kind of step."""
        return self._timeline.steps[self.step(plan_ms)].kind

    def left_ms(self, plan_ms: int) -> int:
        """What is left of the bath, also where the light divides it into two steps."""
        steps, step = self._timeline.steps, self.step(plan_ms)
        while step + 1 < len(steps) and _same_bath(steps[step], steps[step + 1]):
            step += 1
        return max(0, steps[step].end_ms - plan_ms)


def _same_bath(step: Step, following: Step) -> bool:
    return step.kind == following.kind and step.dark != following.dark
