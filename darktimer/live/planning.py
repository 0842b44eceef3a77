"""The queue follows the time map: which of the plan's cues fall where, once the plan has waited.

What is uncertain of the time gone by puts light-safe off, and nothing else. Knows no keys.
"""

from collections.abc import Iterator
from typing import Final, TypeVar

from darktimer.live.cue_queue import acts
from darktimer.live.state import State
from darktimer.live.time_map import TimeMap
from darktimer.process import meanings
from darktimer.process.timeline import Cue, Span, Step, Timeline

#: Where silence is skipped, quiet longer than this is cut to what is left of it before the next
#: sound; but not what keeps sounds clear of others, so that a key pressed at once finds it there.
QUIET_MS: Final = 2_500
_LEFT_MS: Final = 700

_Stretch = TypeVar("_Stretch", Step, Span)


def follow(state: State) -> State:
    """The state with the queue that its time map, its gates and its uncertainty call for."""
    planned, beyond = tuple(_falling(state, state.time_map)), tuple(_beyond(state))
    if state.uncertain_ms:
        return _for_certain(state, planned, beyond)
    return state._replace(queue=state.queue.planning(planned, beyond))


def hurrying(state: State) -> State:
    """The plan jumps from where the sound is made to a little before the next one."""
    at_ms, stops_ms = state.filled_ms, state.time_map.stops_ms
    last_ms = max((cue.end_ms for cue in state.cues if cue.at_ms < at_ms), default=0)
    over_ms = max(last_ms, state.queue.free_ms(state.queue.said, state.queue.again))
    coming = [cue.at_ms for cue in state.cues if cue.at_ms >= at_ms]
    to_ms = min(coming if stops_ms is None else [*coming, stops_ms], default=at_ms) - _LEFT_MS
    if over_ms > at_ms or state.waits(at_ms) or to_ms <= max(at_ms, last_ms + QUIET_MS - _LEFT_MS):
        return state
    return follow(state.going_on(state.time_map.plan_ms(to_ms), at_ms))


def performed(state: State) -> Timeline:
    """What really happened, and will by the plan, as a timeline of its own."""
    timeline, aborted_ms = state.plan.timeline, state.aborted_ms

    def at(plan_ms: int) -> int:
        real_ms = state.time_map.at_ms(plan_ms)
        return real_ms if aborted_ms is None else min(real_ms, aborted_ms)

    def lived(each: _Stretch) -> _Stretch:
        return each._replace(start_ms=at(each.start_ms), end_ms=at(each.end_ms))

    return timeline._replace(
        duration_ms=at(timeline.duration_ms),
        steps=tuple(map(lived, timeline.steps)),
        spans=tuple(map(lived, timeline.spans)),
        cues=state.cues,
    )


def _beyond(state: State) -> Iterator[Cue]:
    """What may sound after the next gate, as soon as that is left."""
    if state.gates and not state.held:
        yield from _falling(state, state.time_map.stopping(None), state.gates[0].plan_ms)


def _falling(state: State, time_map: TimeMap, from_ms: int = 0) -> Iterator[Cue]:
    """The timeline's cues where a time map lets them fall."""
    for cue in state.plan.timeline.cues:
        if cue.at_ms >= from_ms and time_map.plays(cue.at_ms):
            at_ms = time_map.at_ms(cue.at_ms)
            # The very same cue where nothing has moved: a day of them is not held twice.
            yield cue if at_ms == cue.at_ms else cue._replace(at_ms=at_ms)


def _for_certain(state: State, planned: tuple[Cue, ...], beyond: tuple[Cue, ...]) -> State:
    """Puts light-safe off by what is uncertain, so that it is true all the same."""
    again = (c for c in state.queue.again if c.at_ms < state.filled_ms or not _safe(c))
    others = [tuple(cue for cue in cues if not _safe(cue)) for cues in (planned, beyond)]
    queue = state.queue._replace(again=tuple(again)).planning(*others)
    state = state._replace(queue=queue)
    if any(map(_safe, queue.cues)):  # handed over already
        return state
    for cue in filter(_safe, planned):
        from_ms = max(cue.at_ms + state.uncertain_ms, state.filled_ms)
        put_off = cue._replace(at_ms=queue.room_ms(from_ms, cue.length_ms, acts))
        state = state.put_off(put_off, state.time_map.plan_ms(cue.at_ms))
    return state


def _safe(cue: Cue) -> bool:
    return cue.meaning == meanings.LIGHT_SAFE
