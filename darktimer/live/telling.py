"""What is told beside the plan: answers, questions, waiting, acts that are asked for again.

Each is a state in and a state out. Knows where there is room, and when something is told too late
to be of use; knows no keys.
"""

from collections.abc import Callable, Iterable
from typing import Final

from darktimer.live.answers import here
from darktimer.live.gestures import TWICE_MS, Gesture
from darktimer.live.missed import TIMELESS, worth_asking
from darktimer.live.places import Places
from darktimer.live.row import LATELY, acts, guarded
from darktimer.live.state import Now, Question, State
from darktimer.process import meanings
from darktimer.process.spacing import CLEAR_MS
from darktimer.process.timeline import Cue

#: While the plan waits, this often it says so.
REMINDER_MS: Final = 20_000
#: A question stays open this long after its sound has begun, and is not asked again for half of it.
ASKED_MS: Final = 10_000
#: What is said waits this long for its room, if nothing else is asked for.
_PATIENCE_MS: Final = 20_000
#: Time left that is told later than this would belong to no question; so would a mark.
_LEFT_PATIENCE_MS: Final = 8_000
MARK_PATIENCE_MS: Final = 2_000
#: The signature is followed at once by nothing, so that a second press can still take its place.
_PAUSE_MS: Final = TWICE_MS + 50
_AHEAD_MS: Final = 120_000
_MOST_LEFT_S: Final = 5_990


class Telling:
    """Tells of one timeline; ``length_ms`` gives the length of a meaning's sound."""

    def __init__(self, places: Places, length_ms: Callable[[str], int]) -> None:
        self._places = places
        self._length_ms = length_ms

    def say(
        self,
        state: State,
        meaning: str,
        now: Now,
        patience_ms: int = _PATIENCE_MS,
        pause_ms: int = 0,
    ) -> State:
        """Adds a cue where it has room, after what was said before and after ``pause_ms``.

        The same state, and nothing is said, where that would be later than ``patience_ms`` after
        the first moment possible.
        """
        row, length_ms = state.row, self._length_ms(meaning)
        from_ms = max(now.filled_ms + pause_ms, row.silent_ms(now.filled_ms))
        at_ms = row.room_ms(from_ms, length_ms, guarded)
        if at_ms > from_ms + patience_ms:
            return state
        cue = Cue(at_ms, length_ms, meaning, self._step(state, at_ms))
        return state._replace(row=state.row.saying(cue, now.filled_ms))

    def ask(self, state: State, what: str, now: Now) -> State:
        """Asks once whether that was meant; nothing pressed until it is heard changes anything.

        A question about leaving the film does not give way to another.
        """
        question = state.question
        if question and now.at_ms <= question.at_ms + ASKED_MS:
            asked_lately = now.at_ms <= question.at_ms + ASKED_MS // 2
            if asked_lately if question.what == what else question.what == Gesture.ABORT:
                return state
        quiet = state._replace(row=state.row.taking_back(now.filled_ms))
        asked = self.say(quiet, meanings.CONFIRM, now)
        if asked is quiet:
            return state
        return asked._replace(question=Question(what, asked.row.said[-1].at_ms))

    def answer(self, state: State, now: Now) -> State:
        """The signature, then the time left, or that the plan waits; each where it has room."""
        kind = self._places.kind(state.course.plan_ms(state.row.free_ms(now.filled_ms)))
        if kind in meanings.STEP_KINDS:
            state = self.say(state, here(kind), now)
        then = meanings.HOLD if state.waits(now.filled_ms) else self._left(state, now)
        return self.say(state, then, now, _LEFT_PATIENCE_MS, _PAUSE_MS)

    def _left(self, state: State, now: Now) -> str:
        told_ms = max(now.filled_ms + _PAUSE_MS, state.row.silent_ms(now.filled_ms))
        left_ms = self._places.left_ms(state.course.plan_ms(told_ms))
        return meanings.left(min(left_ms // 1000, _MOST_LEFT_S))

    def remind(self, state: State, now: Now) -> State:
        """Says that the plan waits, now and then, far enough ahead to need nobody for a while."""
        stops_ms, ahead_ms = state.course.stops_ms, now.filled_ms + _AHEAD_MS
        if stops_ms is None or ahead_ms <= stops_ms:
            return state
        row = state.row
        if row.beyond and now.filled_ms >= stops_ms:
            row = row._replace(beyond=())  # what comes after the gate comes later
        if row.reminders:
            next_ms = row.reminders[-1].at_ms + REMINDER_MS
        else:
            sounds = (*row.planned[-LATELY:], *row.said, *row.again)
            next_ms = max([stops_ms, *(cue.end_ms + CLEAR_MS for cue in sounds)])
        moments = range(next_ms, ahead_ms, REMINDER_MS)
        if moments:
            step = self._step(state, stops_ms)
            length_ms = self._length_ms(meanings.HOLD)
            row = row.reminding(moments, length_ms, step, now.filled_ms)
        return state._replace(row=row)

    def tell_again(self, state: State, missed: Iterable[Cue], now: Now) -> State:
        """Asks for each missed act again, or writes down that it is not worth it any more."""
        state = state._replace(row=state.row.taking_back(now.filled_ms))
        missed = sorted(missed)
        for growing_old in (True, False):
            from_ms = state.row.free_ms(now.filled_ms)
            for cue in missed:
                if (cue.meaning not in TIMELESS) is growing_old:
                    state, from_ms = self._tell_again(state, cue, from_ms, now)
        return state

    def _tell_again(self, state: State, cue: Cue, from_ms: int, now: Now) -> tuple[State, int]:
        """One of them, not before ``from_ms``; and the moment from which the next may be told."""
        planned_ms = state.planned_ms(cue)
        if planned_ms in map(state.planned_ms, state.row.again):
            return state, from_ms
        due_ms = state.course.at_ms(planned_ms)
        again = cue._replace(at_ms=state.row.room_ms(from_ms, cue.length_ms, acts))
        worth = worth_asking(cue.meaning, due_ms, again, state.row.planned)
        if worth:
            state = self.put_off(state, again, planned_ms, now.filled_ms)
            from_ms = again.end_ms + CLEAR_MS
        told, late_ms = f"{'late' if worth else 'missed'} {cue.meaning}", now.filled_ms - due_ms
        return state.noting(now.at_ms, "fault", told, cue.step, late_ms=late_ms), from_ms

    def put_off(self, state: State, cue: Cue, planned_ms: int, filled_ms: int) -> State:
        """An act comes at another moment than the plan's."""
        moved = {**state.moved, (cue.at_ms, cue.meaning): planned_ms}
        return state._replace(row=state.row.saying(cue, filled_ms), moved=moved)

    def _step(self, state: State, at_ms: int) -> int:
        return self._places.step(state.course.plan_ms(at_ms))
