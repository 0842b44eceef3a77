"""What a trigger does to a run: each an entry of the conductor's table, state in and state out."""

from typing import Final

from darktimer.live import telling
from darktimer.live.cue_queue import NEVER, acts
from darktimer.live.planning import follow, hurrying
from darktimer.live.state import Phase, State, Trigger
from darktimer.live.telling import ask, confirmed, say
from darktimer.process import meanings

#: A mark that is told later than this would belong to nothing.
_MARK_PATIENCE_MS: Final = 2_000
#: A silence shorter than this, in which no act was missed, is not worth a word.
_SILENCE_MS: Final = 1_000
#: Kinds of step, and what the hands do in them, in which waiting does the film no harm.
_HARMLESS: Final = frozenset({"load", "put away", "rinse", "wash", "soak", "expose", "ready"})
_RESTING: Final = frozenset({"agitate", "stand", "hand", "ready"})


def nothing(state: State, trigger: Trigger) -> State:
    return state


def time(state: State, trigger: Trigger) -> State:
    return telling.remind(hurrying(state) if state.skip_silence else state)


def mark(state: State, trigger: Trigger) -> State:
    return say(state, meanings.MARKED, _MARK_PATIENCE_MS)


def answer(state: State, trigger: Trigger) -> State:
    """No second answer while one is under way."""
    under_way = any(cue.end_ms > state.now.at_ms for cue in state.queue.said)
    return state if under_way else telling.answer(state)


def refuse(state: State, trigger: Trigger) -> State:
    return say(state.taking_back(), meanings.REFUSE)


def hold(state: State, trigger: Trigger) -> State:
    """Only where waiting does the film no harm."""
    here = state.position(state.filled_ms)
    if here.waits or here.kind not in _HARMLESS or here.span not in _RESTING:
        return refuse(state, trigger)
    state = follow(state.taking_back()._replace(held=True).stopping(here.plan_ms))
    return telling.remind(state.noting("hold", "held", **state.kept()))


def abort(state: State, trigger: Trigger) -> State:
    """Asks first; confirmed, it is over, and nothing that was still to come is told."""
    if not confirmed(state, trigger):
        return ask(state, trigger.what)
    state = state.taking_back()
    over = tuple(cue for cue in state.queue.again if cue.at_ms < state.filled_ms)
    state = state._replace(queue=state.queue._replace(again=over))
    state = follow(state.stopping(state.position(state.filled_ms).plan_ms))
    state = say(state._replace(aborted_ms=state.filled_ms), meanings.END)
    return state.noting("note", "aborted")


def loaded(state: State, trigger: Trigger) -> State:
    """What follows loading begins at once; in a closed vessel that is the light: asks first."""
    return leave(state, trigger) if confirmed(state, trigger) else ask(state, trigger.what)


def film_in(state: State, trigger: Trigger) -> State:
    """A gate that is still to come is opened."""
    gate, *later = state.gates
    state = state._replace(gates=tuple(later))
    return _changed(state.stopping(state.next_stop_ms), "gate", "passed", gate.step)


def leave(state: State, trigger: Trigger) -> State:
    """Goes on from the gate now, also from a place before it."""
    gate, *later = state.gates
    due_ms = state.time_map.at_ms(gate.plan_ms)
    here_ms = min(state.time_map.plan_ms(state.filled_ms), gate.plan_ms)
    state = state.stopping(here_ms)._replace(gates=tuple(later))
    return _set_off(state, gate.plan_ms, due_ms, "gate", gate.step)


def resume(state: State, trigger: Trigger) -> State:
    due_ms, here = state.time_map.stops_ms or 0, state.position(state.filled_ms)
    state = _set_off(state._replace(held=False), here.plan_ms, due_ms, "hold", here.step)
    return mark(state, trigger)


def make_up(state: State, trigger: Trigger) -> State:
    """Sound is back: what was not heard is made up for, and the person told where they are."""
    _, from_ms, to_ms, _ = trigger
    unheard = [cue for cue in state.cues if cue.end_ms > from_ms and cue.at_ms < to_ms]
    missed = [*state.owed, *filter(acts, unheard)]
    if not missed and to_ms - from_ms < _SILENCE_MS:
        return state  # company that has a hole goes on
    asked_ms = state.prompt.at_ms if state.prompt else NEVER
    if any(cue.at_ms == asked_ms for cue in unheard):
        state = state._replace(prompt=None)
    state = state._replace(queue=state.queue.without(unheard), owed=())
    state = telling.tell_again(state, missed)
    if state.phase(state.now) in (Phase.ABORTED, Phase.OVER):
        return state
    return telling.answer(say(state, meanings.BACK))


def alarm(state: State, trigger: Trigger) -> State:
    """Something is wrong that the film does not suffer from; the person must know."""
    return say(state, meanings.ALARM)


def wait_no_more(state: State, trigger: Trigger) -> State:
    """No key can come any more: only loading goes on waiting, where film is safe in the dark."""
    if state.held:
        state = resume(state, trigger)
    elif state.waits(state.filled_ms) == "film is in":
        state = leave(state, trigger)
    state = state._replace(gates=tuple(gate for gate in state.gates if gate.loading))
    if state.waits(state.filled_ms) != "loading":
        state = state.stopping(state.next_stop_ms)
    return _changed(state, "gate", "waits no more")


def _set_off(state: State, plan_ms: int, due_ms: int, kind: str, step: int) -> State:
    """The plan goes on as soon as no sound is in the way; how late that is, is noted."""
    state = state.taking_back()
    at_ms = state.queue.free_ms(state.queue.said, state.queue.again)
    return _changed(state.going_on(plan_ms, at_ms), kind, "went on", step, late_ms=at_ms - due_ms)


def _changed(
    state: State, kind: str, meaning: str, step: int | None = None, **detail: int
) -> State:
    """What a run is taken up again from is written down with every change of it."""
    state = follow(state)
    return state.noting(kind, meaning, step, **detail, **state.kept())
