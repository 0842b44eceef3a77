"""What is told beside the plan: answers, questions, waiting, acts that are asked for again.

Each is a state in and a state out. Knows where there is room, and what comes too late.
"""

from collections.abc import Callable, Iterable
from typing import Final

from darktimer.live.cue_queue import LATELY, acts, guarded
from darktimer.live.gestures import TWICE_MS, Gesture
from darktimer.live.missed import TIMELESS, WORTH_MS, worth_asking
from darktimer.live.plan_index import PieceDue, Position
from darktimer.live.state import Prompt, State, Trigger
from darktimer.process import meanings
from darktimer.process.spacing import CLEAR_MS
from darktimer.process.timeline import Cue

#: While the plan waits, this often it says so, and so far ahead that it needs nobody for a while.
REMINDER_MS: Final = 20_000
_AHEAD_MS: Final = 120_000
#: A question stays open this long after its sound has begun, and is not asked again for half of it.
_ASKED_MS: Final = 10_000
#: What is said waits this long for its room, if nothing else is asked for.
_PATIENCE_MS: Final = 20_000
#: Time left that is told later than this would belong to no question.
_LEFT_PATIENCE_MS: Final = 8_000
#: The signature is followed at once by nothing, so that a second press can still take its place.
_PAUSE_MS: Final = TWICE_MS + 50
_MOST_LEFT_S: Final = 5_990


def say(state: State, meaning: str, patience_ms: int = _PATIENCE_MS, pause_ms: int = 0) -> State:
    """Adds a cue where it has room, after what was said before and after ``pause_ms``.

    Nothing where that is later than ``patience_ms`` after the first moment possible.
    """
    length_ms = state.plan.length_ms(meaning)
    from_ms = _first_ms(state, pause_ms)
    at_ms = state.queue.room_ms(from_ms, length_ms, guarded)
    if at_ms > from_ms + patience_ms:
        return state
    cue = Cue(at_ms, length_ms, meaning, state.position(at_ms).step)
    return state._replace(queue=state.queue.saying(cue))


def _first_ms(state: State, pause_ms: int) -> int:
    """From when something more may be said: after what was said before, and ``pause_ms``."""
    return max(state.filled_ms + pause_ms, state.queue.free_ms(state.queue.said))


def ask(state: State, what: str) -> State:
    """Asks once whether that was meant; leaving the film gives way to no other question."""
    prompt, now_ms = state.prompt, state.now.at_ms
    if prompt and now_ms <= prompt.at_ms + _ASKED_MS:
        asked_lately = now_ms <= prompt.at_ms + _ASKED_MS // 2
        if asked_lately if prompt.what == what else prompt.what == Gesture.ABORT:
            return state
    quiet = state.taking_back()
    asked = say(quiet, meanings.CONFIRM)
    if asked is quiet:
        return state
    return asked._replace(prompt=Prompt(what, asked.queue.said[-1].at_ms))


def confirmed(state: State, trigger: Trigger) -> bool:
    """Whether a gesture answers its own question: it began after that was heard."""
    prompt, now = state.prompt, state.now
    if prompt is None or prompt.what != trigger.what or now.at_ms > prompt.at_ms + _ASKED_MS:
        return False
    return prompt.at_ms <= min(trigger.from_ms, now.heard_ms)


def answer(state: State) -> State:
    """The place or signature, then the time left or that the plan waits, each where it has room.

    Of a film in pieces the next one is told, and the time until then.
    """
    state = _say_then(state, _here, _PATIENCE_MS)
    if state.waits(state.filled_ms):
        return say(state, meanings.HOLD, _LEFT_PATIENCE_MS, _PAUSE_MS)
    state = _say_then(state, _next_piece, _LEFT_PATIENCE_MS, _PAUSE_MS)
    return _say_then(state, _time_left, _LEFT_PATIENCE_MS, _PAUSE_MS)


def _say_then(
    state: State, meaning_at: Callable[[Position], str], patience_ms: int, pause_ms: int = 0
) -> State:
    """Says what is true when it sounds: while it waits for room the film may enter another bath.

    Nothing where what is true then finds room only where it is not.
    """
    meaning = meaning_at(state.position(_first_ms(state, pause_ms)))
    for _ in range(2):
        said = say(state, meaning, patience_ms, pause_ms) if meaning else state
        if said is state:
            break
        true = meaning_at(state.position(said.queue.said[-1].at_ms))
        if true == meaning:
            return said
        meaning = true
    return state


def _here(position: Position) -> str:
    return meanings.here(position.sign) if position.sign else ""


def _next_piece(position: Position) -> str:
    return meanings.piece(position.piece) if position.piece else ""


def _time_left(position: Position) -> str:
    return meanings.left(min(position.left_ms // 1000, _MOST_LEFT_S))


def remind(state: State) -> State:
    """Says that the plan waits, now and then, far enough ahead to need nobody for a while."""
    queue, stops_ms, ahead_ms = state.queue, state.time_map.stops_ms, state.filled_ms + _AHEAD_MS
    if stops_ms is None or ahead_ms <= stops_ms:
        return state
    if queue.beyond and state.filled_ms >= stops_ms:
        queue = queue._replace(beyond=())  # what comes after the gate comes later
    if queue.reminders:
        next_ms = queue.reminders[-1].at_ms + REMINDER_MS
    else:
        sounds = (*queue.planned[-LATELY:], *queue.said, *queue.again)
        next_ms = max([stops_ms, *(cue.end_ms + CLEAR_MS for cue in sounds)])
    if moments := range(next_ms, ahead_ms, REMINDER_MS):
        length_ms, step = state.plan.length_ms(meanings.HOLD), state.position(stops_ms).step
        more = (Cue(at_ms, length_ms, meanings.HOLD, step) for at_ms in moments)
        queue = queue._replace(reminders=(*queue.reminders, *more)).lined_up()
    return state._replace(queue=queue)


def tell_again(state: State, missed: Iterable[Cue]) -> State:
    """Asks for missed acts again, what grows old first, or writes that it is not worth it."""
    state = state.taking_back()
    for timeless in (False, True):
        from_ms = state.queue.free_ms()
        for cue in sorted(missed):
            if (cue.meaning in TIMELESS) is timeless:
                state, from_ms = _tell_again(state, cue, from_ms)
    return state


def _tell_again(state: State, cue: Cue, from_ms: int) -> tuple[State, int]:
    """One of them, not before ``from_ms``; and the moment from which the next may be told."""
    planned_ms = state.planned_ms(cue)
    if planned_ms in map(state.planned_ms, state.queue.again):
        return state, from_ms
    due_ms, due = state.time_map.at_ms(planned_ms), state.piece_due(cue)
    if due and cue.meaning != meanings.LIFT:
        return _tell_piece(state, cue, due, from_ms)
    again = cue._replace(at_ms=state.queue.room_ms(from_ms, cue.length_ms, acts))
    worth = worth_asking(cue.meaning, due_ms, again, state.queue.planned)
    if worth:
        state = state.put_off(again, planned_ms)
        from_ms = again.end_ms + CLEAR_MS
    fault, late_ms = f"{'late' if worth else 'missed'} {cue.meaning}", state.filled_ms - due_ms
    return state.noting("fault", fault, cue.step, late_ms=late_ms), from_ms


def _tell_piece(state: State, cue: Cue, due: PieceDue, from_ms: int) -> tuple[State, int]:
    """A piece whose moment is gone, by its number: as long as the others do not leave."""
    number, due_ms = meanings.piece(due.piece), state.time_map.at_ms(due.at_ms)
    length_ms = state.plan.length_ms(number) + CLEAR_MS
    at_ms = state.queue.room_ms(from_ms, length_ms + cue.length_ms, guarded)
    again = cue._replace(at_ms=at_ms + length_ms)
    worth = again.end_ms + WORTH_MS <= state.time_map.at_ms(due.until_ms)
    if worth:
        said = Cue(at_ms, length_ms - CLEAR_MS, number, cue.step)
        state = state._replace(queue=state.queue.saying(said)).put_off(again, due.at_ms)
        from_ms = again.end_ms + CLEAR_MS
    fault, late_ms = f"{'late' if worth else 'missed'} {number}", again.at_ms - due_ms
    return state.noting("fault", fault, cue.step, late_ms=late_ms), from_ms
