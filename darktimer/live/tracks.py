"""A plan cut where a person may want to wait: at the gates of a live run.

Each gate gives a stretch in which the plan waits as a live run does, so that a player's own *next*
is *go on*. Every other stretch keeps its time to the millisecond, and nothing may wait in it.
A player goes on by itself at the end of a file, so no stretch calls light safe by handwork alone.
"""

from collections.abc import Iterable, Iterator
from typing import Final, NamedTuple

from darktimer.cues.cue_set import CueSet
from darktimer.live.conductor import Conductor
from darktimer.live.gates import Gate, Waits, gates
from darktimer.live.planning import performed
from darktimer.live.state import TIME, Now, Trigger
from darktimer.plan.kinds import HAND_KINDS
from darktimer.process import meanings
from darktimer.process.spacing import CLEAR_MS
from darktimer.process.timeline import Cue, Timeline

#: How long a stretch goes on waiting; then a player goes on by itself.
_LOADING_WAIT_MS: Final = 3_600_000
_FILM_WAIT_MS: Final = 600_000
_LITTLE_MS: Final = 10_000
#: A live run is asked this often; its reminders reach twice as far.
_ASKED_MS: Final = 60_000


class Track(NamedTuple):
    """A stretch of the plan from ``from_ms`` on: ``plan_ms`` of it, then ``wait_ms`` of waiting."""

    title: str
    from_ms: int
    plan_ms: int
    wait_ms: int
    line: Timeline


def tracks(timeline: Timeline, cue_set: CueSet, waits: Waits) -> Iterator[Track]:
    """All stretches, in order of time; together their ``plan_ms`` are the whole plan."""
    timeline = led_by_tracks(timeline)
    cues = performed(Conductor(timeline, cue_set, Waits.NOWHERE).state).cues
    from_ms = 0
    for gate in gates(timeline, waits):
        opens_ms, goes_on_ms = _cut_ms(cues, gate.opens_ms), _cut_ms(cues, gate.plan_ms)
        if opens_ms > from_ms:
            yield _track(timeline, cues, from_ms, opens_ms)
        wait_ms = _LOADING_WAIT_MS if gate.loading else _FILM_WAIT_MS
        said = _waiting(timeline, cue_set, waits, gate, wait_ms)
        yield _track(timeline, said, max(from_ms, opens_ms), goes_on_ms, wait_ms)
        from_ms = goes_on_ms
    yield _track(timeline, cues, from_ms, timeline.duration_ms)


def led_by_tracks(timeline: Timeline) -> Timeline:
    """What files can lead: where handwork makes light safe, they leave that to the hands."""
    if not safe_by_hand(timeline):
        return timeline
    left = (cue for cue in timeline.cues if cue.meaning != meanings.LIGHT_SAFE)
    return timeline._replace(cues=tuple(left))


def safe_by_hand(timeline: Timeline) -> bool:
    """Whether handwork makes light safe, not a bath: a player cannot know that hands are done."""
    last = next((step for step in reversed(timeline.steps) if step.dark), None)
    safe = any(cue.meaning == meanings.LIGHT_SAFE for cue in timeline.cues)
    return safe and last is not None and last.kind in HAND_KINDS


def _cut_ms(cues: Iterable[Cue], at_ms: int) -> int:
    """The moment, or one before it: a player may lose the head of a file, so no cue is there."""
    following_ms = min((c.at_ms for c in cues if c.at_ms >= at_ms), default=at_ms + CLEAR_MS)
    over_ms = max((c.end_ms for c in cues if c.at_ms < at_ms), default=0)
    return max(over_ms, min(at_ms, following_ms - CLEAR_MS))


def _waiting(
    timeline: Timeline, cue_set: CueSet, waits: Waits, gate: Gate, wait_ms: int
) -> tuple[Cue, ...]:
    """What a live run says that comes to this gate in time and is told nothing."""
    run = Conductor(timeline, cue_set, waits)
    run.leave_gates_before(gate.plan_ms)
    for now_ms in range(gate.plan_ms, gate.plan_ms + wait_ms, _ASKED_MS):
        run.take(Trigger(TIME), Now(now_ms, now_ms, now_ms))
    return run.state.cues


def _track(
    timeline: Timeline, cues: tuple[Cue, ...], from_ms: int, to_ms: int, wait_ms: int = 0
) -> Track:
    end_ms = to_ms + wait_ms
    title = _title(timeline, from_ms, to_ms) + (" (next is go on)" if wait_ms else "")
    own = (cue for cue in cues if from_ms <= cue.at_ms < end_ms)
    moved = tuple(cue._replace(at_ms=cue.at_ms - from_ms) for cue in own)
    steps = tuple(step for step in timeline.steps if from_ms <= step.start_ms < to_ms)
    line = Timeline(title, end_ms - from_ms, steps, (), moved, ())
    return Track(title, from_ms, to_ms - from_ms, wait_ms, line)


def _title(timeline: Timeline, from_ms: int, to_ms: int) -> str:
    """The first and the last step of a stretch; a step of which little is in it is left out."""
    steps = [step for step in timeline.steps if step.start_ms < to_ms and step.end_ms > from_ms]
    within = [
        step.name
        for step in steps
        if min(step.end_ms, to_ms) - max(step.start_ms, from_ms)
        > min(_LITTLE_MS, step.end_ms - step.start_ms - 1)
    ] or [steps[-1].name]
    return within[0] if len(within) == 1 else f"{within[0]} to {within[-1]}"
