"""The conductor: a timeline, a clock and two keys in; cues and the state of the run out.

Pure: it owns no clock, no thread and no device, and is told the time with each thing that happens.
The row of cues always reaches to the plan's end, or to the place where the plan waits, so the sound
needs nobody until something happens.

Without keys and gates its cues are those of the timeline, to the millisecond.
"""

from collections.abc import Iterable, Iterator
from typing import Any, Final, NamedTuple, TypeVar

from darktimer.cues.cue_set import CueSet
from darktimer.live.answers import here
from darktimer.live.course import Course, course_of
from darktimer.live.gates import Gate, Waits, gates
from darktimer.live.gestures import TWICE_MS, Gesture, Gestures, Key
from darktimer.live.places import Places
from darktimer.live.row import Row, acts, first_room_ms
from darktimer.process import meanings
from darktimer.process.timeline import Cue, Span, Step, Timeline

#: An act missed by less than this is asked for at once; an older one is replaced by an answer.
LATE_MS: Final = 10_000
#: While the plan waits, this often it says so.
REMINDER_MS: Final = 20_000
#: A question stays open this long after its sound has begun.
ASKED_MS: Final = 10_000
#: A silence shorter than this, in which nothing was missed, is not worth a word.
_SILENCE_MS: Final = 1_000
#: Time left that is told later than this would belong to no question; so would a mark.
_LEFT_PATIENCE_MS: Final = 8_000
_MARK_PATIENCE_MS: Final = 2_000
#: The signature is followed at once by nothing, so that a second press can still take its place.
_PAUSE_MS: Final = TWICE_MS + 50
_AHEAD_MS: Final = 120_000
_MOST_LEFT_S: Final = 5_990

#: Kinds of step, and what the hands do in them, in which waiting does the film no harm.
_HARMLESS: Final = frozenset({"load", "rinse", "wash", "soak", "ready"})
_RESTING: Final = frozenset({"agitate", "stand", "hand", "ready"})
#: Right at any later time; every other act grows old.
_TIMELESS: Final = frozenset({meanings.LIGHT_SAFE, meanings.END})


_Stretch = TypeVar("_Stretch", Step, Span)


class Now(NamedTuple):
    """What is heard now, and the moment up to which the speaker has been given its samples."""

    heard_ms: int
    filled_ms: int


class Happening(NamedTuple):
    """One thing that happened, in the journal's words; ``detail`` is plain JSON."""

    at_ms: int
    kind: str
    meaning: str
    step: int
    detail: dict[str, Any]


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
    """One run of one timeline, with a cue set that holds the answers too."""

    def __init__(self, timeline: Timeline, cue_set: CueSet, waits: Waits) -> None:
        self.timeline = timeline
        self.happened: list[Happening] = []
        self.aborted_ms: int | None = None
        self._places = Places(timeline)
        self._gestures = Gestures()
        self._gates = list(gates(timeline, waits))
        self._held = False
        self._doubt_ms = 0
        self._asked: dict[Gesture, int] = {}
        self._made_up_ms = -1_000_000
        self._row = Row(cue_set.length_ms, lambda at: self._places.step(self.course.plan_ms(at)))
        self.course = Course().stopping(self._next_stop_ms())
        self._plan_row(filled_ms=-1_000_000)

    # What it is told

    def press(self, key: Key, now: Now) -> Gesture:
        """A key was pressed; returns what it was taken for."""
        gesture = self._gestures.read(key, now.heard_ms)
        self.advance(now)
        over = self.aborted_ms is not None or self.finished(now.heard_ms)
        marks = gesture is Gesture.GO_ON and not over and self._only_marks(now)
        meaning = meanings.MARKED if marks else gesture.value
        self._happen(now.heard_ms, "key", meaning, key=key.name)
        if not over:
            self._follow(gesture, now)
        return gesture

    def rest(self, ms: int) -> None:
        """Keys were asked for, so long, and none was pressed."""
        self._gestures.rest(ms)

    def advance(self, now: Now) -> None:
        """Time has passed; needed now and then while the plan waits, so that it says so."""
        stops_ms = self.course.stops_ms
        if stops_ms is None or self.aborted_ms is not None:
            return
        if now.filled_ms >= stops_ms:
            self._row.expect_nothing()
        ahead_ms = now.filled_ms + _AHEAD_MS
        if ahead_ms > stops_ms:
            self._row.remind(meanings.HOLD, REMINDER_MS, stops_ms, ahead_ms, now.filled_ms)

    def returned(self, now: Now, silent_from_ms: int) -> None:
        """Sound is back: what was missed is made up for, and the person told where they are."""
        silent_from_ms = max(silent_from_ms, self._made_up_ms)
        self._made_up_ms = now.filled_ms
        missed = [
            cue
            for cue in self.cues
            if cue.end_ms > silent_from_ms and cue.at_ms < now.filled_ms and acts(cue)
        ]
        if not missed and now.filled_ms - silent_from_ms < _SILENCE_MS:
            return
        self._row.break_off(now.filled_ms)
        for cue in missed:
            told = self._caught_up(cue, now)
            late_ms = now.filled_ms - cue.at_ms
            word = "late" if told else "missed"
            self._happen(now.heard_ms, "fault", f"{word} {cue.meaning}", late_ms=late_ms)
        self._row.say(meanings.BACK, now.filled_ms)
        self._answer(now)

    def wait_no_more(self, now: Now) -> None:
        """No key can come any more: the plan goes on by itself, but for loading.

        Film that is not loaded yet is safe in the dark for as long as it takes; no other is.
        """
        waits = self._waits_for(now.filled_ms)
        if waits == "hold":
            self._resume(now)
        elif waits == "film is in":
            self._leave(self._gates[0], now)
        self._gates = [gate for gate in self._gates if gate.loading]
        if self._waits_for(now.filled_ms) != "loading":
            self._row.forget_reminders()
            self.course = self.course.stopping(self._next_stop_ms())
        self._changed("gate", "waits no more", self.place(now.heard_ms).step, now)

    # What it tells

    @property
    def cues(self) -> list[Cue]:
        """Everything heard and to be heard, in session time and in order of it."""
        return self._row.cues

    def place(self, session_ms: int) -> Place:
        """Where the run is at a moment of the session."""
        plan_ms = self.course.plan_ms(session_ms)
        step = self._places.step(plan_ms)
        left_ms = max(0, self._places.bath_end_ms(step) - plan_ms)
        return Place(
            plan_ms, step, self._places.span(plan_ms), left_ms, self._waits_for(session_ms)
        )

    def performed(self) -> Timeline:
        """What really happened, and will by the plan, as a timeline of its own."""
        plan, aborted_ms = self.timeline, self.aborted_ms

        def at(plan_ms: int) -> int:
            real_ms = self.course.at_ms(plan_ms)
            return real_ms if aborted_ms is None else min(real_ms, aborted_ms)

        def lived(each: _Stretch) -> _Stretch:
            start_ms, end_ms = at(each.start_ms), at(each.end_ms)
            if (start_ms, end_ms) == (each.start_ms, each.end_ms):
                return each
            return each._replace(start_ms=start_ms, end_ms=end_ms)

        return Timeline(
            plan.title,
            at(plan.duration_ms),
            tuple(map(lived, plan.steps)),
            tuple(map(lived, plan.spans)),
            tuple(self.cues),
            plan.notes,
        )

    @property
    def end_ms(self) -> int | None:
        """When nothing more will sound; None while that depends on a key."""
        if self.aborted_ms is not None:
            return self._row.end_ms
        if self.course.stops_ms is not None:
            return None
        return max(self._row.end_ms, self.course.at_ms(self.timeline.duration_ms))

    def finished(self, heard_ms: int) -> bool:
        """Whether the plan has come to its own end."""
        if self.aborted_ms is not None or self.course.stops_ms is not None:
            return False
        return heard_ms >= self.course.at_ms(self.timeline.duration_ms)

    def light_safe(self, heard_ms: int) -> bool:
        """Whether the light-safe cue has begun to sound."""
        return any(c.meaning == meanings.LIGHT_SAFE and c.at_ms <= heard_ms for c in self.cues)

    # Taking a run up again

    def kept(self) -> dict[str, Any]:
        """The state that a run cannot be taken up again without, as plain JSON."""
        return {
            "course": self.course.as_json(),
            "gates": [gate.plan_ms for gate in self._gates],
            "held": self._held,
        }

    def take_up(self, kept: dict[str, Any], now: Now, doubt_ms: int = 0) -> None:
        """Goes on from a state that `kept` gave, as if the run had never stopped.

        ``doubt_ms`` is time that may not have gone by. Light-safe comes so much later, so that it
        is true all the same.
        """
        self._doubt_ms = doubt_ms
        self.course = course_of(kept["course"])
        self._gates = [gate for gate in self._gates if gate.plan_ms in kept["gates"]]
        self._held = kept["held"]
        self._row.cues = []
        self._plan_row(filled_ms=-1_000_000)
        self.advance(now)

    def leave_gates_before(self, plan_ms: int) -> None:
        """A run that begins in the middle waits at no gate that lies before it."""
        self._gates = [gate for gate in self._gates if gate.plan_ms >= plan_ms]
        self.course = Course().stopping(self._next_stop_ms())
        self._plan_row(filled_ms=-1_000_000)

    # Gestures

    def _follow(self, gesture: Gesture, now: Now) -> None:
        follow = {
            Gesture.GO_ON: self._go_on,
            Gesture.WHERE: self._where,
            Gesture.HOLD: self._hold,
            Gesture.ABORT: self._abort,
        }
        if gesture in follow:
            follow[gesture](now)

    def _confirmed(self, gesture: Gesture, now: Now) -> bool:
        """Whether a gesture answers its own question: it began after that was heard."""
        asked_ms = self._asked.get(gesture)
        if asked_ms is None or now.heard_ms > asked_ms + ASKED_MS:
            return False
        return asked_ms <= self._gestures.began_ms

    def _ask(self, gesture: Gesture, now: Now) -> None:
        """Asks once; what is pressed until the question is heard changes nothing."""
        if now.heard_ms > self._asked.get(gesture, -ASKED_MS) + ASKED_MS // 2:
            self._row.take_back(now.filled_ms)
            self._asked[gesture] = self._row.say(meanings.CONFIRM, now.filled_ms) or now.filled_ms

    def _abort(self, now: Now) -> None:
        if not self._confirmed(Gesture.ABORT, now):
            self._ask(Gesture.ABORT, now)
            return
        self._row.take_back(now.filled_ms)
        self._stop_at(self.course.plan_ms(now.filled_ms), now)
        self.aborted_ms = now.filled_ms
        self._row.say(meanings.END, now.filled_ms)
        self._happen(now.heard_ms, "note", "aborted")

    def _only_marks(self, now: Now) -> bool:
        """Whether nothing waits, or soon will, for going on."""
        soon = self._gates and self.course.plan_ms(now.heard_ms) >= self._gates[0].opens_ms
        return not (self._held or soon)

    def _go_on(self, now: Now) -> None:
        if self._only_marks(now):
            self._row.say(meanings.MARKED, now.filled_ms, _MARK_PATIENCE_MS)
            return
        if self._held:
            self._resume(now)
            return
        gate = self._gates[0]
        if not gate.loading:
            self._pass(gate, now)
        elif self._confirmed(Gesture.GO_ON, now):
            self._leave(gate, now)
        else:  # what follows loading begins at once; in a closed vessel that is the light
            self._ask(Gesture.GO_ON, now)

    def _pass(self, gate: Gate, now: Now) -> None:
        """A gate that is still to come is opened; one that is waited at is left."""
        stops_ms = self.course.stops_ms
        if stops_ms is None or now.filled_ms >= stops_ms:
            self._leave(gate, now)
            return
        self._gates.remove(gate)
        self._row.forget_reminders()
        self.course = self.course.stopping(self._next_stop_ms())
        self._changed("gate", "passed", gate.step, now)

    def _leave(self, gate: Gate, now: Now) -> None:
        """Goes on from the gate now, also from a place before it."""
        due_ms = self.course.at_ms(gate.plan_ms)
        self._gates.remove(gate)
        self._stop_at(min(self.course.plan_ms(now.filled_ms), gate.plan_ms), now)
        late_ms = self._set_off(gate.plan_ms, now) - due_ms
        self._changed("gate", "went on", gate.step, now, late_ms=late_ms)

    def _resume(self, now: Now) -> None:
        self._held = False
        held_from_ms = self.course.stops_ms or 0
        plan_ms = self.course.plan_ms(now.filled_ms)
        late_ms = self._set_off(plan_ms, now) - held_from_ms
        self._changed("hold", "went on", self._places.step(plan_ms), now, late_ms=late_ms)
        self._row.say(meanings.MARKED, now.filled_ms, _MARK_PATIENCE_MS)

    def _set_off(self, plan_ms: int, now: Now) -> int:
        """The plan goes on as soon as no sound is in the way; returns when."""
        self._row.forget_reminders()
        self._row.take_back(now.filled_ms)
        at_ms = self._row.silent_from(now.filled_ms)
        self.course = self.course.going_on(plan_ms, at_ms, self._next_stop_ms())
        return at_ms

    def _stop_at(self, plan_ms: int, now: Now) -> None:
        self._row.forget_reminders()
        self.course = self.course.stopping(plan_ms)
        self._plan_row(now.filled_ms)

    def _hold(self, now: Now) -> None:
        plan_ms = self.course.plan_ms(now.filled_ms)
        step = self._places.step(plan_ms)
        harmless = self.timeline.steps[step].kind in _HARMLESS
        resting = self._places.span(plan_ms) in _RESTING
        self._row.take_back(now.filled_ms)
        if self._waits_for(now.filled_ms) or not (harmless and resting):
            self._row.say(meanings.REFUSE, now.filled_ms)
            return
        self._held = True
        self._stop_at(plan_ms, now)
        self._changed("hold", "held", step, now)
        self.advance(now)

    def _where(self, now: Now) -> None:
        """No second answer while one is under way."""
        if not any(cue.end_ms > now.heard_ms for cue in self._row.said):
            self._answer(now)

    def _answer(self, now: Now) -> None:
        """The signature, then the time left, or that the plan waits; each where it has room."""
        kind = self.timeline.steps[self.place(self._row.free_from(now.filled_ms)).step].kind
        if kind in meanings.STEP_KINDS:
            self._row.say(here(kind), now.filled_ms)
        waits = self._waits_for(now.filled_ms)
        then = meanings.HOLD if waits else self._left(now)
        self._row.say(then, now.filled_ms, _LEFT_PATIENCE_MS, _PAUSE_MS)

    def _left(self, now: Now) -> str:
        told_ms = max(now.filled_ms + _PAUSE_MS, self._row.silent_from(now.filled_ms))
        return meanings.left(min(self.place(told_ms).left_ms // 1000, _MOST_LEFT_S))

    def _caught_up(self, cue: Cue, now: Now) -> bool:
        """Asks for a missed act now, unless it is old or a later act comes before it could end."""
        if cue.meaning in _TIMELESS:
            return self._row.say(cue.meaning, now.filled_ms) is not None
        if now.filled_ms - cue.at_ms >= LATE_MS:
            return False
        return self._row.say(cue.meaning, now.filled_ms, patience_ms=0) is not None

    # The timeline

    def _plan_row(self, filled_ms: int) -> None:
        beyond: Iterable[Cue] = ()
        if not self._held and self._gates:
            open_end = self.course.stopping(None)
            beyond = self._falling(open_end, from_ms=self._gates[0].plan_ms)
        planned = self._falling(self.course)
        if self._doubt_ms:
            planned = self._beyond_doubt(list(planned))
        self._row.plan(planned, beyond, filled_ms)

    def _beyond_doubt(self, planned: list[Cue]) -> Iterator[Cue]:
        """Puts light-safe off by what is doubtful, to where it has room."""
        for cue in planned:
            if cue.meaning != meanings.LIGHT_SAFE:
                yield cue
                continue
            others = [each for each in planned if each is not cue]
            room_ms = first_room_ms(cue.at_ms + self._doubt_ms, cue.length_ms, others)
            yield cue._replace(at_ms=room_ms)

    def _falling(self, course: Course, from_ms: int = 0) -> Iterator[Cue]:
        """The timeline's cues where a course lets them fall."""
        for cue in self.timeline.cues:
            if cue.at_ms >= from_ms and course.plays(cue.at_ms):
                at_ms = course.at_ms(cue.at_ms)
                # The very same cue where nothing has moved: a day of them is not held twice.
                yield cue if at_ms == cue.at_ms else cue._replace(at_ms=at_ms)

    def _next_stop_ms(self) -> int | None:
        return self._gates[0].plan_ms if self._gates else None

    def _waits_for(self, session_ms: int) -> str:
        stops_ms = self.course.stops_ms
        if stops_ms is None or session_ms < stops_ms or self.aborted_ms is not None:
            return ""
        if self._held:
            return "hold"
        return "loading" if self._gates[0].loading else "film is in"

    def _changed(self, kind: str, meaning: str, step: int, now: Now, **detail: int) -> None:
        self._plan_row(now.filled_ms)
        self._happen(now.heard_ms, kind, meaning, step, **detail, **self.kept())

    def _happen(
        self, at_ms: int, kind: str, meaning: str, step: int | None = None, **detail: Any
    ) -> None:
        where = self._places.step(self.course.plan_ms(at_ms)) if step is None else step
        self.happened.append(Happening(at_ms, kind, meaning, where, detail))
