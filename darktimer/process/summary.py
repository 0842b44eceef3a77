"""What each step of a timeline, and each piece, comes to: its time in the bath and its moving."""

from typing import NamedTuple

from darktimer.process.timeline import Span, Step, Timeline


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


def summarize(timeline: Timeline) -> list[StepSummary]:
    """A summary of each step, in order."""
    inside: list[list[Span]] = [[] for _ in timeline.steps]
    for span in timeline.spans:
        if span.kind not in timeline.outside:
            inside[span.step].append(span)
    return [_summary(step, spans) for step, spans in zip(timeline.steps, inside, strict=True)]


def _summary(step: Step, inside: list[Span]) -> StepSummary:
    return StepSummary(
        name=step.name,
        kind=step.kind,
        start_ms=step.start_ms,
        end_ms=step.end_ms,
        dark=step.dark,
        source=step.source,
        time_ms=sum(span.end_ms - span.start_ms for span in inside),
        agitated_ms=sum(span.end_ms - span.start_ms for span in inside if span.kind == "agitate"),
        clock_ms=min((span.start_ms for span in inside), default=step.start_ms),
    )


class PieceSummary(NamedTuple):
    """One piece in figures, as a step has them; ``step`` is the index of its step."""

    number: int
    step: int
    start_ms: int
    end_ms: int
    time_ms: int
    agitated_ms: int


def summarize_pieces(timeline: Timeline) -> list[PieceSummary]:
    """A summary of each piece, by number."""
    return [
        PieceSummary(
            piece.number,
            piece.step,
            piece.start_ms,
            piece.end_ms,
            piece.time_ms,
            sum(s.end_ms - s.start_ms for s in timeline.spans_of(piece) if s.kind == "agitate"),
        )
        for piece in timeline.pieces
    ]
