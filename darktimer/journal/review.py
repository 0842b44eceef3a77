"""What a run was meant to be against what it was: time in each bath, share moved, late changes.

A cue counts as heard where the journal has it; moving that was never asked for by sound is not
counted as given.
"""

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from darktimer.errors import FileError
from darktimer.journal import events as kinds
from darktimer.journal.events import Event
from darktimer.journal.journal import Journal
from darktimer.journal.results import Result, result_of
from darktimer.journal.runs import Basis, Run
from darktimer.journal.worth import Worth, worth
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
    plan, None for steps that were added. Times run from the change into a step to the change out of
    it.
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
    """A run in full. ``faults`` holds what failed and what was mended, ``marks`` noted keys.

    ``bases`` holds what the time of each develop rests on, by the index of its step in the plan.
    """

    run: Run
    steps: tuple[StepReview, ...]
    faults: tuple[Event, ...]
    marks: tuple[Event, ...]
    real_ms: int | None
    result: Result
    bases: Mapping[int, Basis]

    def developed_ms(self, source: int) -> int:
        """How long a develop of the plan really lasted, by its own clock; as planned if unknown."""
        done = (s for s in self.steps if s.source == source and s.real_ms is not None)
        step, carried_ms = next(done, None), self.bases[source].carried_ms
        return carried_ms if step is None else carried_ms + (step.real_ms or 0) - step.planned_ms

    def worth(self, source: int) -> Worth:
        """What that develop was worth; a temperature measured counts for every develop."""
        return worth(self.bases[source], self.developed_ms(source), self.result.celsius)


def review(journal: Journal, number: int) -> Review:
    """Planned against real for one run; raises `JournalError` where there is none."""
    run, happened = journal.run(number), journal.events(number)
    timeline, plan = journal.timeline(number), _plan(journal, number)
    begun = _begun_ms(happened)
    return Review(
        run=run,
        steps=tuple(
            _step(index, run, timeline, happened, begun, plan)
            for index in range(len(timeline.steps))
        ),
        faults=tuple(e for e in happened if e.kind == kinds.FAULT),
        marks=tuple(e for e in happened if e.kind == kinds.KEY and e.meaning == meanings.MARKED),
        real_ms=happened[-1].at_ms if happened else None,
        result=result_of(journal, number),
        bases=_bases(plan, run.bases),
    )


def _plan(journal: Journal, number: int) -> "Plan | None":
    """The plan as it was written; None where it is a plan no longer."""
    from darktimer.document import parse_document, validate
    from darktimer.plan.model import Plan

    try:
        return validate(Plan, parse_document(journal.plan_text(number), Path("plan")))
    except FileError:  # written for an earlier version of this program
        return None


def _bases(plan: "Plan | None", kept: Sequence[Basis]) -> dict[int, Basis]:
    """What was written down of the develops, and of others their time alone."""
    from darktimer.plan.steps import Develop

    steps = enumerate(plan.steps if plan else ())
    plain = {i: Basis(i, s.develop, s.develop) for i, s in steps if isinstance(s, Develop)}
    return plain | {basis.source: basis for basis in kept}


def _begun_ms(happened: list[Event]) -> dict[int, int]:
    """The first moment of each step that was begun."""
    begun: dict[int, int] = {}
    for event in happened:
        if event.kind == kinds.STEP_BEGUN and event.step is not None:
            begun.setdefault(event.step, event.at_ms)
    return begun


def _step(
    index: int,
    run: Run,
    timeline: Timeline,
    happened: list[Event],
    begun: dict[int, int],
    plan: "Plan | None",
) -> StepReview:
    step = timeline.steps[index]
    start, end = begun.get(index), _ended_ms(index, happened, begun)
    real = None if start is None or end is None else end - start
    spans = [s for s in timeline.spans if s.step == index and s.kind == "agitate"]
    return StepReview(
        name=step.name,
        kind=step.kind,
        bath=run.baths[index],
        source=step.source,
        celsius=plan.celsius(plan.steps[step.source]) if plan and step.source is not None else None,
        planned_ms=step.end_ms - step.start_ms,
        real_ms=real,
        planned_moving_ms=sum(span.end_ms - span.start_ms for span in spans),
        real_moving_ms=(
            None
            if start is None or end is None
            else sum(_moving(spans, index, timeline, happened, end))
        ),
        late_ms=_late_ms(index, timeline, begun),
    )


def _ended_ms(index: int, happened: list[Event], begun: dict[int, int]) -> int | None:
    """The change into the next step, or else the last word on this one."""
    if index + 1 in begun:
        return begun[index + 1]
    ends = [e.at_ms for e in happened if e.kind == kinds.STEP_ENDED and e.step == index]
    return ends[-1] if ends else None


def _moving(
    spans: list[Span], index: int, timeline: Timeline, happened: list[Event], end_ms: int
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


def _late_ms(index: int, timeline: Timeline, begun: dict[int, int]) -> int | None:
    if index not in begun or index - 1 not in begun or timeline.steps[index - 1].kind == "load":
        return None
    planned = timeline.steps[index].start_ms - timeline.steps[index - 1].start_ms
    return begun[index] - begun[index - 1] - planned
