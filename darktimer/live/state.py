"""What is known of a run at one moment: one value, never changed, only followed by another.

Every thread but the one that follows events reads it and nothing else. Knows no table of what is
done; times are milliseconds of the session, but where ``plan_ms`` says that they are the plan's.
"""

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType
from typing import Any, Final, NamedTuple

from darktimer.live.course import Course, Piece
from darktimer.live.gates import Gate
from darktimer.live.row import NEVER, Row
from darktimer.live.script import Place, Script
from darktimer.process import meanings
from darktimer.process.timeline import Cue

#: Events beside the gestures of the hands: time went by, a silence is over, no more keys can come.
TIME: Final = "time"
SILENCE: Final = "silence"
NO_KEYS: Final = "no more keys"


class Phase(StrEnum):
    """What a run is doing, as far as it matters for what an event does."""

    GOING = "going"  # as the plan says; nothing is waited for, or soon will be
    LOADING = "loading"  # the film is being loaded, for as long as that takes
    FILM_COMING = "film coming"  # a transfer whose end a key may tell in time
    FILM_AWAITED = "film awaited"  # a transfer whose end a key must tell
    HELD = "held"
    OVER = "over"
    ABORTED = "aborted"


class Now(NamedTuple):
    """The moment, until when everything was heard or is known not to have been, and until when
    the speaker has been given its samples."""

    at_ms: int
    heard_ms: int
    filled_ms: int


class Event(NamedTuple):
    """A gesture of ``key`` that began at ``from_ms``; or a word of those above."""

    what: str
    from_ms: int = 0
    to_ms: int = 0
    key: str = ""


class Happening(NamedTuple):
    """One thing that happened, in the journal's words; ``detail`` is plain JSON."""

    at_ms: int
    kind: str
    meaning: str
    step: int
    detail: dict[str, Any]


class Question(NamedTuple):
    """What was asked whether it was meant, and when that sounds."""

    what: str
    at_ms: int


class State(NamedTuple):
    """Where the plan's moments fall, where it will wait, what sounds, and what just happened.

    ``doubt_ms`` is time that may not have gone by (see `darktimer.live.resume`). ``moved`` gives,
    for acts that sound at another moment than the plan's, that moment of the plan; ``owed`` are
    acts not heard, for when there is sound again.
    """

    script: Script
    course: Course
    gates: tuple[Gate, ...]
    brisk: bool
    now: Now = Now(NEVER, NEVER, NEVER)
    row: Row = Row()
    held: bool = False
    aborted_ms: int | None = None
    question: Question | None = None
    doubt_ms: int = 0
    moved: Mapping[tuple[int, str], int] = MappingProxyType({})
    owed: tuple[Cue, ...] = ()
    happened: tuple[Happening, ...] = ()

    @property
    def filled_ms(self) -> int:
        """Until when nothing can be changed any more."""
        return self.row.filled_ms

    @property
    def cues(self) -> tuple[Cue, ...]:
        """Everything heard and to be heard, in order of time."""
        return self.row.cues

    @property
    def next_stop_ms(self) -> int | None:
        """The plan's moment of the next gate."""
        return self.gates[0].plan_ms if self.gates else None

    def waits(self, at_ms: int) -> str:
        """What the plan waits for: "", "loading", "film is in" or "hold"."""
        stops_ms = self.course.stops_ms
        if stops_ms is None or at_ms < stops_ms or self.aborted_ms is not None:
            return ""
        if self.held:
            return "hold"
        return "loading" if self.gates[0].loading else "film is in"

    @property
    def end_ms(self) -> int | None:
        """When nothing more will sound; None while that depends on a key."""
        if self.aborted_ms is not None:
            return self.row.end_ms
        if self.course.stops_ms is not None:
            return None
        return max(self.row.end_ms, self.course.at_ms(self.script.timeline.duration_ms))

    def phase(self, now: Now) -> Phase:
        """What the run is doing now."""
        if self.aborted_ms is not None:
            return Phase.ABORTED
        if self.end_ms is not None and now.at_ms >= self.end_ms:
            return Phase.OVER
        if self.held:
            return Phase.HELD
        gate = self.gates[0] if self.gates else None
        if gate is None or self.course.plan_ms(now.at_ms) < gate.opens_ms:
            return Phase.GOING
        if gate.loading:
            return Phase.LOADING
        return Phase.FILM_AWAITED if self.waits(now.filled_ms) else Phase.FILM_COMING

    def place(self, at_ms: int) -> Place:
        """Where the run is at a moment of the session."""
        return self.script.place(self.course.plan_ms(at_ms), self.waits(at_ms))

    def dark_begun(self, at_ms: int) -> bool:
        """Whether the plan has come to its first step in the dark."""
        plan_ms = self.course.plan_ms(at_ms)
        return any(step.dark and step.start_ms <= plan_ms for step in self.script.timeline.steps)

    def light_safe(self, heard_ms: int) -> bool:
        """Whether the light-safe cue was heard, and to its end."""
        return any(c.meaning == meanings.LIGHT_SAFE and c.end_ms <= heard_ms for c in self.cues)

    def planned_ms(self, cue: Cue) -> int:
        """The moment of the plan that a cue belongs to."""
        return self.moved.get((cue.at_ms, cue.meaning), self.course.plan_ms(cue.at_ms))

    def kept(self) -> dict[str, Any]:
        """What a run cannot be taken up again without, as plain JSON."""
        return {
            "course": self.course.pieces,
            "gates": [gate.plan_ms for gate in self.gates],
            "held": self.held,
            "doubt_ms": self.doubt_ms,
        }

    def taken_up(self, kept: dict[str, Any]) -> "State":
        """This state with what `kept` gave."""
        return self._replace(
            course=Course(tuple(Piece(*piece) for piece in kept["course"])),
            gates=tuple(gate for gate in self.gates if gate.plan_ms in kept["gates"]),
            held=kept["held"],
            doubt_ms=kept.get("doubt_ms", 0),
        )

    # What follows it

    def at(self, now: Now) -> "State":
        """Time has gone by, and nothing has happened yet."""
        row = self.row._replace(filled_ms=now.filled_ms)
        return self._replace(now=now, row=row, happened=())

    def stopping(self, plan_ms: int | None) -> "State":
        """The plan will stand still at another of its moments, which is not waited for so far."""
        return self._replace(course=self.course.stopping(plan_ms)).forgetting()

    def forgetting(self) -> "State":
        """No reminders from now on, but for those that were handed over."""
        return self._replace(row=self.row._replace(reminders=()))

    def taking_back(self) -> "State":
        """What was to be said and has not been handed over is not said, unless it is an act."""
        return self._replace(row=self.row.taking_back())

    def put_off(self, cue: Cue, planned_ms: int) -> "State":
        """An act comes at another moment than the plan's."""
        moved = {**self.moved, (cue.at_ms, cue.meaning): planned_ms}
        return self._replace(row=self.row.saying(cue), moved=moved)

    def noting(self, kind: str, meaning: str, step: int | None = None, **detail: Any) -> "State":
        """And this happened, now, in the step of now if no other is named."""
        step = self.place(self.now.at_ms).step if step is None else step
        happening = Happening(self.now.at_ms, kind, meaning, step, detail)
        return self._replace(happened=(*self.happened, happening))
