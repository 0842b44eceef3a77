"""What a run was meant to be against what it was: time in each bath, share moved, late changes.

A cue counts as heard where the journal has it; moving that was never asked for by sound is not
counted as given. A run that was entered afterwards was heard by nobody here: its film moved as
planned, as long as its steps lasted, and no change of it came late.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Final, NamedTuple

from darktimer.journal import events as kinds
from darktimer.journal.developments import plan_of
from darktimer.journal.events import Event
from darktimer.journal.journal import Journal
from darktimer.journal.results import WHOLE, Result, RunPart, results_of
from darktimer.journal.runs import Basis, Run
from darktimer.journal.worth import Worth, worth
from darktimer.plan.kinds import HAND_KINDS
from darktimer.process import meanings
from darktimer.process.timeline import Span, Timeline

if TYPE_CHECKING:
    from darktimer.plan.model import Plan

_MOVING: Final = frozenset(
    {meanings.MOVE, meanings.TURN, meanings.REVERSE, meanings.SHEET, meanings.ROUND}
)


class StepReview(NamedTuple):
    """One step of the timeline. What is None was never reached, or is not known.

    ``late_ms`` is how much later the change into this step came than the step before left room
    for; None after loading, which takes as long as it takes. ``source`` is the step's index in the
    plan, None for steps that were added. Times are a step's own, by the plan's convention of time:
    from change to change, but for what of that was planned outside it.
    """

    name: str
    kind: str
    bath: str
    source: int | None
    celsius: float | None
    planned_ms: int
    real_ms: int | None
    planned_moving_ms: int
    real_moving_ms: int | None
    late_ms: int | None


class Review(NamedTuple):
    """A run in full. ``faults`` holds what failed and what worked again, ``marks`` noted keys.

    ``bases`` holds what the time of each develop rests on, by the index of its step in the plan.
    ``results`` are those of the run and of its parts, where there are any.
    """

    run: Run
    steps: tuple[StepReview, ...]
    faults: tuple[Event, ...]
    marks: tuple[Event, ...]
    real_ms: int | None
    results: Mapping[RunPart, Result]
    bases: Mapping[int, Basis]

    @property
    def result(self) -> Result:
        """That of the whole run."""
        return self.results.get(WHOLE, Result())

    def developed(self, source: int) -> bool:
        """Whether a develop of the plan was gone through, as far as is known."""
        return any(s.source == source and s.real_ms is not None for s in self.steps)

    def developed_ms(self, source: int) -> int:
        """How long a develop of the plan really lasted, by its own clock; as planned if unknown."""
        longer = (s.real_ms - s.planned_ms for s in self.steps
                  if s.source == source and s.real_ms is not None)  # fmt: skip
        return self.bases[source].carried_ms + next(longer, 0)

    def worth(self, source: int, celsius: float | None = None) -> Worth:
        """What that develop was worth at ``celsius``, or at the temperature it is written for.

        A temperature measured counts for every develop.
        """
        basis = self.bases[source]
        if celsius is not None:
            basis = basis._replace(for_celsius=celsius)
        return worth(basis, self.developed_ms(source), self.result.celsius)

    def development_ms(self, celsius: float) -> tuple[int, int | None]:
        """All develops as planned and as done, as a time at ``celsius``; None if one is missing."""
        done = [self.worth(source, celsius) for source in self.bases]
        planned_ms = round(sum(each.planned_ms for each in done))
        if self.bases.keys() - {step.source for step in self.steps if step.real_ms is not None}:
            return planned_ms, None
        return planned_ms, round(sum(each.done_ms for each in done))


def review(journal: Journal, number: int) -> Review:
    """Planned against real for one run; raises `JournalError` where there is none."""
    run, happened = journal.run(number), journal.events(number)
    timeline, plan = journal.timeline(number), plan_of(journal.plan_text(number))
    return Review(
        run=run,
        steps=tuple(_steps(run, timeline, happened, plan)),
        faults=tuple(e for e in happened if e.kind == kinds.FAULT),
        marks=tuple(e for e in happened if e.kind == kinds.KEY and e.meaning == meanings.MARKED),
        real_ms=happened[-1].at_ms if happened else None,
        results=results_of(journal, number, number).get(number, {}),
        bases=_bases(plan, run.bases),
    )


def _bases(plan: "Plan | None", kept: Sequence[Basis]) -> dict[int, Basis]:
    """What was written down of the develops, and of others their time alone."""
    from darktimer.plan.steps import Develop

    steps = enumerate(plan.steps if plan else ())
    plain = {i: Basis(i, s.develop, s.develop) for i, s in steps if isinstance(s, Develop)}
    return plain | {basis.source: basis for basis in kept}


def _steps(
    run: Run, timeline: Timeline, happened: Sequence[Event], plan: "Plan | None"
) -> Iterator[StepReview]:
    # A step begins when it first did, and ends with the change into the next or its last word.
    begun = {e.step: e.at_ms for e in reversed(happened) if e.kind == kinds.STEP_BEGUN}
    ended = {e.step: e.at_ms for e in happened if e.kind == kinds.STEP_ENDED}
    for index, step in enumerate(timeline.steps):
        start, end = begun.get(index), begun.get(index + 1, ended.get(index))
        spans = [s for s in timeline.spans if s.step == index and s.kind == "agitate"]
        outside_ms = timeline.outside_ms(index)
        real_ms = moving_ms = celsius = None
        if start is not None and end is not None:
            real_ms = max(0, end - start - outside_ms)
            moving_ms = sum(_moving(spans, index, happened, end))
            if run.entered_utc_ms is not None:
                moving_ms = sum(_as_planned(spans, step.start_ms + end - start))
        if plan and step.source is not None:
            celsius = plan.celsius(plan.steps[step.source])
        yield StepReview(
            name=step.name,
            kind=step.kind,
            bath=run.baths[index],
            source=step.source,
            celsius=celsius,
            planned_ms=step.end_ms - step.start_ms - outside_ms,
            real_ms=real_ms,
            planned_moving_ms=sum(span.end_ms - span.start_ms for span in spans),
            real_moving_ms=moving_ms,
            late_ms=_late_ms(index, timeline, begun) if run.entered_utc_ms is None else None,
        )


def _moving(
    spans: Sequence[Span], index: int, happened: Sequence[Event], end_ms: int
) -> Iterator[int]:
    """For each span of moving, how long it was moved: from its first cue that was heard."""
    heard = [
        (event.planned_ms, event.at_ms)
        for event in happened
        if event.kind == kinds.CUE and event.meaning in _MOVING
        and event.step == index and event.planned_ms is not None
    ]  # fmt: skip
    for span in spans:
        within = [pair for pair in heard if span.start_ms <= pair[0] < span.end_ms]
        if within:
            planned_ms, at_ms = min(within)
            yield max(0, min(span.end_ms - planned_ms, end_ms - at_ms))


def _as_planned(spans: Sequence[Span], end_ms: int) -> Iterator[int]:
    """For each span of moving, how long it is in a step that ends so on the plan's own line."""
    return (max(0, min(span.end_ms, end_ms) - span.start_ms) for span in spans)


def _late_ms(index: int, timeline: Timeline, begun: Mapping[int | None, int]) -> int | None:
    if index not in begun or index - 1 not in begun or timeline.steps[index - 1].kind in HAND_KINDS:
        return None
    planned = timeline.steps[index].start_ms - timeline.steps[index - 1].start_ms
    return begun[index] - begun[index - 1] - planned
