"""The lines of the list of steps: every step in its order, repeats told once, the two moments
of the light, and when each piece of a cut film goes in, goes out or is left alone.

Knows plan and timeline; not where anything is drawn.
"""

from collections.abc import Iterator
from itertools import groupby
from typing import NamedTuple

from darktimer.paper.step_details import details
from darktimer.plan.model import Plan
from darktimer.process import meanings
from darktimer.process.darkness import opened_ms
from darktimer.process.summary import StepSummary, summarize
from darktimer.process.timeline import Timeline
from darktimer.units import clock, counted


class StepRow(NamedTuple):
    """A line of the list: ``number`` equal steps, or a moment, which has no ``time_ms``.

    ``time_ms`` is one step's own time, by the plan's convention of time; ``source`` is the index of
    that step in the plan, None for what the plan does not hold.
    """

    name: str
    kind: str
    start_ms: int
    end_ms: int
    time_ms: int | None
    number: int
    dark: bool
    details: tuple[str, ...]
    source: int | None = None

    @property
    def times(self) -> str:
        """What is put after the name of a repeated step."""
        return f" × {self.number}" if self.number > 1 else ""

    @property
    def is_bath(self) -> bool:
        """Whether it is a step of the plan, and no moment, no getting ready and no end."""
        return self.kind not in ("moment", "piece", "ready", "done")


def rows(plan: Plan, timeline: Timeline) -> list[StepRow]:
    """The lines for a timeline that was compiled from ``plan``."""
    folded = [
        _folded(plan, list(same)) for _, same in groupby(_steps(plan, timeline), key=_sameness)
    ]
    moments = [*_moments(timeline), *_opened(plan, timeline), *_pieces(timeline)]
    return sorted([*folded, *moments], key=lambda row: (row.start_ms, row.time_ms is not None))


def _steps(plan: Plan, timeline: Timeline) -> Iterator[StepRow]:
    for step in summarize(timeline):
        yield _done(step, timeline) if step.kind == "done" else _row(plan, step)


def _row(plan: Plan, step: StepSummary) -> StepRow:
    name, kind, start_ms, end_ms, time_ms, agitated_ms, dark, source, _ = step
    said = () if source is None else tuple(details(plan, plan.steps[source], agitated_ms))
    return StepRow(name, kind, start_ms, end_ms, time_ms, 1, dark, said, source)


def _done(step: StepSummary, timeline: Timeline) -> StepRow:
    """The end, from when nothing moves any more: where sheets leave in turn, after the last."""
    at_ms = next((s.start_ms for s in timeline.spans if s.kind == "done"), step.start_ms)
    said = (f"the first sheet leaves at {clock(step.start_ms)}",) if at_ms > step.start_ms else ()
    return StepRow(step.name, step.kind, at_ms, step.end_ms, None, 1, step.dark, said)


def _sameness(row: StepRow) -> tuple[object, ...]:
    """Turns of one step that are alike are told once; what is added is always told by itself."""
    added = row.name if row.source is None else ""
    return row.source, added, row.end_ms - row.start_ms, row.time_ms, row.dark, row.details


def _folded(plan: Plan, same: list[StepRow]) -> StepRow:
    first = same[0]
    if len(same) == 1 or first.source is None:
        return first
    said = (f"{clock(first.time_ms or 0)} each", *first.details)
    name = plan.steps[first.source].called
    return first._replace(name=name, end_ms=same[-1].end_ms, number=len(same), details=said)


def _moments(timeline: Timeline) -> Iterator[StepRow]:
    """When the lights go out, and when light is safe; its cue may have to wait for another."""
    dark = [step for step in timeline.steps if step.dark]
    if not dark:
        return
    yield _moment("Lights out", dark[0].start_ms, dark=True)
    safe_ms = dark[-1].end_ms
    for cue in timeline.cues:
        if cue.meaning == meanings.LIGHT_SAFE:
            said = (f"its cue comes at {clock(cue.at_ms)}",) if cue.at_ms > safe_ms else ()
            yield _moment("Light is safe", safe_ms, dark=False)._replace(details=said)


def _opened(plan: Plan, timeline: Timeline) -> Iterator[StepRow]:
    """When a closed vessel may be opened, where a step asks for that."""
    if (at_ms := opened_ms(plan, timeline.steps)) is not None:
        yield _moment("May be opened", at_ms, dark=False)


def _moment(name: str, at_ms: int, *, dark: bool) -> StepRow:
    return StepRow(name, "moment", at_ms, at_ms, None, 1, dark, ())


def _pieces(timeline: Timeline) -> Iterator[StepRow]:
    """A line for each piece at its own moment, with its time and the notches it is known by."""
    for piece in timeline.pieces:
        step = timeline.steps[piece.step]
        one_by_one = [each for each in timeline.spans if timeline.handled(each)]
        goes_in = any(each.start_ms > step.start_ms for each in timeline.pieces)
        drains = [each.start_ms for each in timeline.spans_of(piece) if each.kind == "drain"]
        at_ms = piece.start_ms if goes_in else (*drains, piece.end_ms)[0]
        does, time_ms = "in" if goes_in else "out", piece.time_ms if one_by_one else None
        if not one_by_one:
            at_ms, does = piece.stands_ms or step.start_ms, "stands" if piece.stands_ms else "moves"
        notches = counted(piece.number, "notch", "notches")
        row = _moment(f"Piece {piece.number} {does}", at_ms, dark=step.dark)
        yield row._replace(kind="piece", time_ms=time_ms, details=(notches,))
