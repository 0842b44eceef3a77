"""The conductor: a timeline, a clock and two keys in; cues and the state of the run out.

Pure: it owns no clock, no thread and no device. An event and the time go in, and one state that is
never changed comes out; what each event does in each phase stands in `_TABLE`. Whoever wants to
know something from another thread reads ``state`` once, and goes by that.

The row of cues always reaches to the plan's end, or to the place where the plan waits, so that the
sound needs nobody until something happens. Without events the cues are the timeline's.
"""

import re
from collections.abc import Callable, Container
from typing import Any, Final, NamedTuple

from darktimer.cues.cue_set import CueSet
from darktimer.live.course import Course
from darktimer.live.gates import Waits, gates
from darktimer.live.missed import LATE_MS, TIMELESS
from darktimer.live.places import Places
from darktimer.live.planning import Planning
from darktimer.live.row import NEVER, acts
from darktimer.live.state import TIME, Event, Now, Phase, State
from darktimer.live.telling import ASKED_MS, MARK_PATIENCE_MS, Telling
from darktimer.process import meanings
from darktimer.process.timeline import Timeline

#: A silence shorter than this, in which no act was missed, is not worth a word.
_SILENCE_MS: Final = 1_000
#: Kinds of step, and what the hands do in them, in which waiting does the film no harm.
_HARMLESS: Final = frozenset({"load", "rinse", "wash", "soak", "ready"})
_RESTING: Final = frozenset({"agitate", "stand", "hand", "ready"})


class Place(NamedTuple):
    """Where the run is: ``plan_ms`` on the timeline, its step and span, and what it waits for.

    ``waits`` is "", "loading", "film is in" or "hold". ``left_ms`` is what is left of the bath.
    """

    plan_ms: int
    step: int
    span: str
    left_ms: int
    waits: str


class Conductor:
    """One run of one timeline, with a cue set that holds the answers too.

    A ``brisk`` one, for rehearsals, has the plan jump over its long quiet spans.
    """

    def __init__(
        self, timeline: Timeline, cue_set: CueSet, waits: Waits, *, brisk: bool = False
    ) -> None:
        self.timeline = timeline
        self._brisk = brisk
        self._places = Places(timeline)
        self._telling = Telling(self._places, cue_set.length_ms)
        self._planning = Planning(timeline, self._telling)
        self.state = State(timeline.duration_ms, Course(), gates(timeline, waits))
        self.leave_gates_before(0)

    def take(self, event: Event, now: Now) -> State:
        """What follows an event; it is the state from now on. A key in vain leaves no trace."""
        state = self.state._replace(happened=())
        move = _TABLE[state.phase(now)][event.what]
        noted = self._key(state, event, now, marks=move is Conductor._mark) if event.key else state
        after = move(self, noted, event, now)
        in_vain = after is noted and move is not Conductor._mark
        self.state = state if in_vain else after
        return self.state

    # What it tells

    def place(self, at_ms: int) -> Place:
        """Where the run is at a moment of the session."""
        state = self.state
        plan_ms = state.course.plan_ms(at_ms)
        step, span = self._places.step(plan_ms), self._places.span(plan_ms)
        return Place(plan_ms, step, span, self._places.left_ms(plan_ms), state.waits(at_ms))

    def dark_begun(self, at_ms: int) -> bool:
        """Whether the plan has come to its first step in the dark."""
        starts = (step.start_ms for step in self.timeline.steps if step.dark)
        return self.state.course.plan_ms(at_ms) >= next(starts, self.timeline.duration_ms)

    def performed(self) -> Timeline:
        """What really happened, and will by the plan, as a timeline of its own."""
        return self._planning.performed(self.state)

    # Beginning in the middle

    def leave_gates_before(self, plan_ms: int) -> None:
        """A run that begins in the middle waits at no gate that lies before it."""
        left = tuple(gate for gate in self.state.gates if gate.plan_ms >= plan_ms)
        state = self.state._replace(gates=left)
        state = state._replace(course=Course().stopping(state.next_stop_ms))
        self.state = self._planning.follow(state, NEVER)

    def take_up(
        self, kept: dict[str, Any], heard: Container[tuple[str, int]], from_ms: int, now: Now
    ) -> State:
        """Goes on from a state that `State.kept` gave, as if the run had never stopped.

        ``heard`` are the cues that were heard to their end, each with its moment on the plan, and
        ``from_ms`` is the run's last sign of life. What is past and was not heard is no longer
        there; acts among it that are not long gone are made up for when sound is back.
        """
        state = self._planning.follow(self.state.taken_up(self.state.kept() | kept), NEVER)
        past = [c for c in state.cues if c.at_ms < now.filled_ms]
        unheard = [c for c in past if (c.meaning, state.planned_ms(c)) not in heard]
        lately_ms = from_ms - LATE_MS
        owed = (c for c in unheard if acts(c) and (c.at_ms >= lately_ms or c.meaning in TIMELESS))
        row = state.row.without(unheard, NEVER)
        self.state = state._replace(row=row, owed=tuple(owed), happened=())
        return self.take(Event(TIME), now)

    # What is done, by the table

    def _nothing(self, state: State, event: Event, now: Now) -> State:
        return state

    def _mark(self, state: State, event: Event, now: Now) -> State:
        return self._telling.say(state, meanings.MARKED, now, MARK_PATIENCE_MS)

    def _answer(self, state: State, event: Event, now: Now) -> State:
        """No second answer while one is under way."""
        under_way = any(cue.end_ms > now.at_ms for cue in state.row.said)
        return state if under_way else self._telling.answer(state, now)

    def _refuse(self, state: State, event: Event, now: Now) -> State:
        state = state._replace(row=state.row.taking_back(now.filled_ms))
        return self._telling.say(state, meanings.REFUSE, now)

    def _hold(self, state: State, event: Event, now: Now) -> State:
        """Only where waiting does the film no harm."""
        plan_ms = state.course.plan_ms(now.filled_ms)
        harmless = self._places.kind(plan_ms) in _HARMLESS
        resting = self._places.span(plan_ms) in _RESTING
        if state.waits(now.filled_ms) or not (harmless and resting):
            return self._refuse(state, event, now)
        state = state._replace(row=state.row.taking_back(now.filled_ms), held=True)
        state = self._stopped(state, plan_ms, now)
        state = self._note(state, now, "hold", "held", **state.kept())
        return self._telling.remind(state, now)

    def _abort(self, state: State, event: Event, now: Now) -> State:
        """Asks first; confirmed, it is over, and nothing that was still to come is told."""
        if not _confirmed(state, event, now):
            return self._telling.ask(state, event.what, now)
        over = tuple(cue for cue in state.row.again if cue.at_ms < now.filled_ms)
        row = state.row.taking_back(now.filled_ms)._replace(again=over)
        state = self._stopped(state._replace(row=row), state.course.plan_ms(now.filled_ms), now)
        state = self._telling.say(state._replace(aborted_ms=now.filled_ms), meanings.END, now)
        return self._note(state, now, "note", "aborted")

    def _loaded(self, state: State, event: Event, now: Now) -> State:
        """What follows loading begins at once; in a closed vessel that is the light: asks first."""
        if _confirmed(state, event, now):
            return self._leave(state, event, now)
        return self._telling.ask(state, event.what, now)

    def _pass(self, state: State, event: Event, now: Now) -> State:
        """A gate that is still to come is opened."""
        gate, *later = state.gates
        state = state._replace(gates=tuple(later)).forgetting()
        state = state._replace(course=state.course.stopping(state.next_stop_ms))
        return self._changed(state, now, "gate", "passed", gate.step)

    def _leave(self, state: State, event: Event, now: Now) -> State:
        """Goes on from the gate now, also from a place before it."""
        gate, *later = state.gates
        due_ms = state.course.at_ms(gate.plan_ms)
        plan_ms = min(state.course.plan_ms(now.filled_ms), gate.plan_ms)
        state = self._stopped(state._replace(gates=tuple(later)), plan_ms, now)
        state, late_ms = self._set_off(state, gate.plan_ms, due_ms, now)
        return self._changed(state, now, "gate", "went on", gate.step, late_ms=late_ms)

    def _resume(self, state: State, event: Event, now: Now) -> State:
        due_ms, plan_ms = state.course.stops_ms or 0, state.course.plan_ms(now.filled_ms)
        state, late_ms = self._set_off(state._replace(held=False), plan_ms, due_ms, now)
        step = self._places.step(plan_ms)
        state = self._changed(state, now, "hold", "went on", step, late_ms=late_ms)
        return self._telling.say(state, meanings.MARKED, now, MARK_PATIENCE_MS)

    def _time(self, state: State, event: Event, now: Now) -> State:
        if self._brisk:
            state = self._planning.hurrying(state, now)
        return self._telling.remind(state, now)

    def _make_up(self, state: State, event: Event, now: Now) -> State:
        """Sound is back: what was not heard is made up for, and the person told where they are."""
        unheard = [
            cue for cue in state.cues if cue.end_ms > event.from_ms and cue.at_ms < event.to_ms
        ]
        missed = [*state.owed, *filter(acts, unheard)]
        if not missed and event.to_ms - event.from_ms < _SILENCE_MS:
            return state  # company that has a hole goes on
        asked_ms = state.question.at_ms if state.question else NEVER
        if any(cue.at_ms == asked_ms for cue in unheard):
            state = state._replace(question=None)
        state = state._replace(row=state.row.without(unheard, now.filled_ms), owed=())
        state = self._telling.tell_again(state, missed, now)
        if state.phase(now) in (Phase.ABORTED, Phase.OVER):
            return state
        return self._telling.answer(self._telling.say(state, meanings.BACK, now), now)

    def _wait_no_more(self, state: State, event: Event, now: Now) -> State:
        """No key can come any more: the plan goes on by itself, but for loading.

        Film that is not loaded yet is safe in the dark for as long as it takes; no other is.
        """
        if state.held:
            state = self._resume(state, event, now)
        elif state.waits(now.filled_ms) == "film is in":
            state = self._leave(state, event, now)
        state = state._replace(gates=tuple(gate for gate in state.gates if gate.loading))
        if state.waits(now.filled_ms) != "loading":
            course = state.course.stopping(state.next_stop_ms)
            state = state._replace(course=course).forgetting()
        return self._changed(state, now, "gate", "waits no more", self._step(state, now))

    def _set_off(self, state: State, plan_ms: int, due_ms: int, now: Now) -> tuple[State, int]:
        """The plan goes on as soon as no sound is in the way; also how much later than due."""
        state = state._replace(row=state.row.taking_back(now.filled_ms)).forgetting()
        at_ms = state.row.over_ms(now.filled_ms)
        course = state.course.going_on(plan_ms, at_ms, state.next_stop_ms)
        return state._replace(course=course), at_ms - due_ms

    def _stopped(self, state: State, plan_ms: int, now: Now) -> State:
        state = state._replace(course=state.course.stopping(plan_ms)).forgetting()
        return self._planning.follow(state, now.filled_ms)

    def _changed(
        self, state: State, now: Now, kind: str, meaning: str, step: int, **detail: int
    ) -> State:
        """What a run is taken up again from is written down with every change of it."""
        state = self._planning.follow(state, now.filled_ms)
        return state.noting(now.at_ms, kind, meaning, step, **detail, **state.kept())

    def _step(self, state: State, now: Now) -> int:
        return self._places.step(state.course.plan_ms(now.at_ms))

    def _key(self, state: State, event: Event, now: Now, marks: bool) -> State:
        meaning = meanings.MARKED if marks else event.what
        return self._note(state, now, "key", meaning, key=event.key)

    def _note(self, state: State, now: Now, kind: str, meaning: str, **detail: Any) -> State:
        return state.noting(now.at_ms, kind, meaning, self._step(state, now), **detail)


def _confirmed(state: State, event: Event, now: Now) -> bool:
    """Whether a gesture answers its own question: it began after that was heard."""
    question = state.question
    if question is None or question.what != event.what or now.at_ms > question.at_ms + ASKED_MS:
        return False
    return question.at_ms <= min(event.from_ms, now.heard_ms)


#: What each event does in each phase: the names of the conductor's own methods.
_WRITTEN: Final = """
              go on    where am I  hold     abort    time     silence  no more keys
going         mark     answer      hold     abort    time     make_up  wait_no_more
loading       loaded   answer      hold     abort    time     make_up  wait_no_more
film coming   pass     answer      hold     abort    time     make_up  wait_no_more
film awaited  leave    answer      refuse   abort    time     make_up  wait_no_more
held          resume   answer      refuse   abort    time     make_up  wait_no_more
over          nothing  nothing     nothing  nothing  nothing  make_up  nothing
aborted       nothing  nothing     nothing  nothing  nothing  make_up  nothing
"""
_Move = Callable[[Conductor, State, Event, Now], State]


def _read(written: str) -> dict[Phase, dict[str, _Move]]:
    """Two spaces or more lie between the columns."""
    head, *rows = (re.split(r" {2,}", line.strip()) for line in written.strip().splitlines())
    return {
        Phase(phase): dict(
            zip(head, (getattr(Conductor, f"_{each}") for each in moves), strict=True)
        )
        for phase, *moves in rows
    }


_TABLE: Final = _read(_WRITTEN)
