"""What is known of a run at one moment: one value, never changed, only followed by another.

Every other thread reads it and nothing else. Times are milliseconds of the session, but where
``plan_ms`` says that they are the plan's.
"""

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType
from typing import Any, Final, NamedTuple

from darktimer.journal.events import Event
from darktimer.live.cue_queue import NEVER, CueQueue
from darktimer.live.gates import Gate
from darktimer.live.plan_index import PieceDue, PlanIndex, Position
from darktimer.live.time_map import Segment, TimeMap
from darktimer.process import meanings
from darktimer.process.timeline import Cue

#: Triggers beside the hands' gestures: time went by, a silence is over, no more keys can come,
#: knocks are not heard.
TIME: Final = "time"
SILENCE: Final = "silence"
NO_KEYS: Final = "no more keys"
DEAF: Final = "deaf"


class Phase(StrEnum):
    """What a run is doing, as far as it matters for what a trigger does."""

    GOING = "going"  # as the plan says; nothing is waited for, or soon will be
    LOADING = "loading"  # the film is being loaded, for as long as that takes
    FILM_COMING = "film coming"  # a transfer whose end a key may tell in time
    FILM_AWAITED = "film awaited"  # a transfer whose end a key must tell
    HELD = "held"
    OVER = "over"
    ABORTED = "aborted"


class Now(NamedTuple):
    """The moment, until when all was heard or is known not to have been, and was handed over."""

    at_ms: int
    heard_ms: int
    filled_ms: int


class Trigger(NamedTuple):
    """A gesture of ``key`` that began at ``from_ms``; or a word of those above."""

    what: str
    from_ms: int = 0
    to_ms: int = 0
    key: str = ""


class Prompt(NamedTuple):
    """What was asked whether it was meant, and when that sounds."""

    what: str
    at_ms: int


class State(NamedTuple):
    """Where the plan's moments fall, where it will wait, what sounds, and what just happened.

    ``uncertain_ms`` may not have gone by (see `darktimer.live.resume`). ``moved`` gives, for acts
    that sound at another moment than the plan's, that moment; ``owed`` are acts for when there is
    sound again. The wall clock of the events that ``happened`` is filled in on writing.
    """

    plan: PlanIndex
    time_map: TimeMap
    gates: tuple[Gate, ...]
    skip_silence: bool
    now: Now = Now(NEVER, NEVER, NEVER)
    queue: CueQueue = CueQueue()
    held: bool = False
    aborted_ms: int | None = None
    prompt: Prompt | None = None
    uncertain_ms: int = 0
    moved: Mapping[tuple[int, str], int] = MappingProxyType({})
    owed: tuple[Cue, ...] = ()
    happened: tuple[Event, ...] = ()

    @property
    def filled_ms(self) -> int:
        """Until when nothing can be changed any more."""
        return self.queue.filled_ms

    @property
    def cues(self) -> tuple[Cue, ...]:
        """Everything heard and to be heard, in order of time."""
        return self.queue.cues

    @property
    def next_stop_ms(self) -> int | None:
        """The plan's moment of the next gate."""
        return self.gates[0].plan_ms if self.gates else None

    def waits(self, at_ms: int) -> str:
        """What the plan waits for: "", "loading", "film is in" or "hold"."""
        stops_ms = self.time_map.stops_ms
        if stops_ms is None or at_ms < stops_ms or self.aborted_ms is not None:
            return ""
        if self.held:
            return "hold"
        return "loading" if self.gates[0].loading else "film is in"

    @property
    def end_ms(self) -> int | None:
        """When nothing more will sound; None while that depends on a key."""
        if self.aborted_ms is not None:
            return self.queue.end_ms
        if self.time_map.stops_ms is not None:
            return None
        return max(self.queue.end_ms, self.time_map.at_ms(self.plan.timeline.duration_ms))

    def phase(self, now: Now) -> Phase:
        """What the run is doing now."""
        if self.aborted_ms is not None:
            return Phase.ABORTED
        if self.end_ms is not None and now.at_ms >= self.end_ms:
            return Phase.OVER
        if self.held:
            return Phase.HELD
        gate = self.gates[0] if self.gates else None
        if gate is None or self.time_map.plan_ms(now.at_ms) < gate.opens_ms:
            return Phase.GOING
        if gate.loading:
            return Phase.LOADING
        return Phase.FILM_AWAITED if self.waits(now.filled_ms) else Phase.FILM_COMING

    def position(self, at_ms: int) -> Position:
        """Where the run is at a moment of the session."""
        return self.plan.position(self.time_map.plan_ms(at_ms), self.waits(at_ms))

    def dark_begun(self, at_ms: int) -> bool:
        """Whether the plan has come to its first step in the dark."""
        plan_ms = self.time_map.plan_ms(at_ms)
        return any(step.dark and step.start_ms <= plan_ms for step in self.plan.timeline.steps)

    def light_safe(self, heard_ms: int) -> bool:
        """Whether the light-safe cue was heard, and to its end."""
        return any(c.meaning == meanings.LIGHT_SAFE and c.end_ms <= heard_ms for c in self.cues)

    def planned_ms(self, cue: Cue) -> int:
        """The moment of the plan that a cue belongs to."""
        return self.moved.get((cue.at_ms, cue.meaning), self.time_map.plan_ms(cue.at_ms))

    def piece_due(self, cue: Cue) -> PieceDue | None:
        """What an act does with a single piece of the film; None where it is for all of it."""
        return self.plan.piece_due(self.planned_ms(cue))

    def kept(self) -> dict[str, Any]:
        """What a run cannot be taken up again without, as plain JSON."""
        return {
            "course": self.time_map.segments,
            "gates": [gate.plan_ms for gate in self.gates],
            "held": self.held,
            "doubt_ms": self.uncertain_ms,
        }

    def taken_up(self, kept: dict[str, Any]) -> "State":
        """This state with what `kept` gave."""
        return self._replace(
            time_map=TimeMap(tuple(Segment(*segment) for segment in kept["course"])),
            gates=tuple(gate for gate in self.gates if gate.plan_ms in kept["gates"]),
            held=kept["held"],
            uncertain_ms=kept.get("doubt_ms", 0),
        )

    # What follows it

    def at(self, now: Now) -> "State":
        """Time has gone by, and nothing has happened yet."""
        queue = self.queue._replace(filled_ms=now.filled_ms)
        return self._replace(now=now, queue=queue, happened=())

    def stopping(self, plan_ms: int | None) -> "State":
        """The plan will stand still at another of its moments, which is not waited for so far."""
        return self._moving(self.time_map.stopping(plan_ms))

    def going_on(self, plan_ms: int, at_ms: int) -> "State":
        """From ``at_ms`` on the plan goes on at ``plan_ms``, until the next gate."""
        return self._moving(self.time_map.going_on(plan_ms, at_ms, self.next_stop_ms))

    def _moving(self, time_map: TimeMap) -> "State":
        """No reminders from now on, but for those that were handed over."""
        return self._replace(time_map=time_map, queue=self.queue._replace(reminders=()))

    def taking_back(self) -> "State":
        """What was to be said and has not been handed over is not said, unless it is an act.

        What was not asked to be confirmed cannot be.
        """
        asked = self.prompt and self.prompt.at_ms < self.filled_ms
        prompt = self.prompt if asked else None
        return self._replace(queue=self.queue.taking_back(), prompt=prompt)

    def put_off(self, cue: Cue, planned_ms: int) -> "State":
        """An act comes at another moment than the plan's."""
        moved = {**self.moved, (cue.at_ms, cue.meaning): planned_ms}
        return self._replace(queue=self.queue.saying(cue), moved=moved)

    def noting(self, kind: str, meaning: str, step: int | None = None, **detail: Any) -> "State":
        """And this happened, now, in the step of now if no other is named."""
        step = self.position(self.now.at_ms).step if step is None else step
        event = Event(self.now.at_ms, 0, kind, meaning, step, None, detail)
        return self._replace(happened=(*self.happened, event))
