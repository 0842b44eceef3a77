"""What will happen and when: steps, the spans that tile them, and the cues that tell of them.

All times are whole milliseconds from the start of the timeline. Nothing here knows how a timeline
came about or what a cue sounds like.
"""

from typing import Any, NamedTuple


class Step(NamedTuple):
    """One bath or one piece of handwork, from the moment the hands turn to it to its end.

    ``source`` is the index of the plan's step that it carries out, None for what is added. Repeats
    of a step, and the two parts of one in which light becomes safe, share theirs. ``sign`` is what
    tells it by sound: its place from the left, or its kind; empty where nothing does.
    """

    name: str
    kind: str
    start_ms: int
    end_ms: int
    dark: bool
    source: int | None = None
    sign: str = ""


class Span(NamedTuple):
    """A stretch of a step in which the hands do one thing; the spans of a step tile it."""

    step: int
    kind: str
    start_ms: int
    end_ms: int


class Cue(NamedTuple):
    """A sound that begins at ``at_ms``; ``step`` is the index of the step it is heard in."""

    at_ms: int
    length_ms: int
    meaning: str
    step: int

    @property
    def end_ms(self) -> int:
        """The moment at which it is over."""
        return self.at_ms + self.length_ms


class FilmPiece(NamedTuple):
    """One of the pieces that a film is cut into for a step: ``start_ms`` to ``end_ms`` is its part.

    From the hands' turning to it until it has drained; ``time_ms`` is its own time, by the plan's
    convention of time. From ``stands_ms`` on it is left alone; None where it moves with the others.
    """

    number: int
    step: int
    start_ms: int
    end_ms: int
    time_ms: int
    stands_ms: int | None = None


class Timeline(NamedTuple):
    """A whole process in time. Steps, spans and cues are in order of time, pieces by number.

    A step's own time, by the plan's convention of time, is that of its spans but for the kinds
    ``outside`` it: a transfer before the clock starts, a drain after it.
    """

    title: str
    duration_ms: int
    steps: tuple[Step, ...]
    spans: tuple[Span, ...]
    cues: tuple[Cue, ...]
    notes: tuple[str, ...]
    outside: tuple[str, ...] = ()
    pieces: tuple[FilmPiece, ...] = ()

    def outside_ms(self, step: int) -> int:
        """How much of the step of this index lies outside its own time."""
        spans = (span for span in self.spans if span.step == step and span.kind in self.outside)
        return sum(span.end_ms - span.start_ms for span in spans)

    def handled(self, span: Span) -> FilmPiece | None:
        """The piece that goes in or out by itself in this span; None where none does."""
        if span.kind != "piece":
            return None
        return next(
            each
            for each in self.pieces
            if each.start_ms == span.start_ms or span.start_ms <= each.end_ms < span.end_ms
        )

    def spans_of(self, piece: FilmPiece) -> list[Span]:
        """The spans of a piece, which tile its part of the step; it stands while others change."""
        return [
            span._replace(
                kind=self._lived_by(piece, span),
                start_ms=max(span.start_ms, piece.start_ms),
                end_ms=min(span.end_ms, piece.end_ms),
            )
            for span in self.spans
            if span.start_ms < piece.end_ms and span.end_ms > piece.start_ms
        ]

    def _lived_by(self, piece: FilmPiece, span: Span) -> str:
        """What the hands' ``span`` is for a piece that is in."""
        if span.kind == "piece":
            if piece != self.handled(span):
                return "stand"
            return "transfer" if span.start_ms == piece.start_ms else "drain"
        left_alone = piece.stands_ms is not None and span.start_ms >= piece.stands_ms
        return "stand" if span.kind == "agitate" and left_alone else span.kind

    @property
    def dark_ms(self) -> int:
        """How long it is dark, all dark steps together."""
        return sum(step.end_ms - step.start_ms for step in self.steps if step.dark)

    def as_json(self) -> dict[str, Any]:
        """What ``darktimer timeline --json`` prints, a contract; ``pieces`` only where some are."""
        whole: dict[str, Any] = {
            "title": self.title,
            "duration_ms": self.duration_ms,
            "steps": [step._asdict() for step in self.steps],
            "spans": [span._asdict() for span in self.spans],
            "cues": [cue._asdict() for cue in self.cues],
            "notes": list(self.notes),
        }
        pieces = [piece._asdict() for piece in self.pieces]
        return whole | ({"pieces": pieces} if pieces else {})
