"""Finds a run that was cut off, and where its film is now.

Within one start of the machine its clock tells exactly how long the film went on. After another
only the wall clock does, which anyone can set: all of that time is likely and none of it certain,
and uncertainty adds up.
"""

from typing import Any, Final, NamedTuple

from darktimer.journal import events as kinds
from darktimer.journal.clocks import Reading, elapsed, read_clocks
from darktimer.journal.events import Event
from darktimer.journal.journal import Journal
from darktimer.journal.runs import Run
from darktimer.output.clock import Clock
from darktimer.process import meanings
from darktimer.process.timeline import Timeline

_WARNING: Final = (
    "the machine was off or restarted, so the time since is taken from the wall clock. If that "
    "was set meanwhile, every time is wrong by as much"
)
_DARK_LONGER: Final = "; light-safe waited {} s longer, until it was right by any clock"
_CLOSED_LONGER: Final = "; before you expose the film, keep its vessel closed {} s longer"


class CutOff(NamedTuple):
    """An unfinished run. ``origin`` is its first moment by the clocks of this start of the machine.

    ``kept`` is its last state, ``begun`` what it began with, ``last_ms`` its last sign of life.
    ``heard`` are cues heard to their end, each with its moment on the plan; ``dark``: light-safe is
    not among them, though the plan has darkness. ``warning`` is what a person must know, and what
    ``happened`` before is all that was written down.
    """

    run: Run
    timeline: Timeline
    origin: Reading
    kept: dict[str, Any]
    begun: dict[str, Any]
    last_ms: int
    heard: frozenset[tuple[str, int]]
    warning: str
    dark: bool
    happened: tuple[Event, ...] = ()


def cut_off(journal: Journal, run: Run) -> CutOff:
    """Where the film of a run that has not ended is now. Raises `JournalError`."""
    happened, timeline = journal.events(run.number), journal.timeline(run.number)
    states = [dict(event.detail) for event in happened if "course" in event.detail]
    kept = states[-1] if states else {}
    origin, unsure_ms = _origin(run, happened, read_clocks())
    uncertain_ms = kept.get("doubt_ms", 0) + (unsure_ms or 0)
    cues = (event for event in happened if event.kind == kinds.CUE)
    heard = frozenset((c.meaning, c.planned_ms) for c in cues if c.planned_ms is not None)
    safe = any(meaning == meanings.LIGHT_SAFE for meaning, _ in heard)
    return CutOff(
        run=run,
        timeline=timeline,
        origin=origin,
        kept=kept | {"doubt_ms": 0 if safe else uncertain_ms},
        begun=states[0] if states else {},
        last_ms=max([0, *(event.at_ms for event in happened)]),
        heard=heard,
        warning="" if unsure_ms is None else _warning(timeline, safe, uncertain_ms),
        dark=any(step.dark for step in timeline.steps) and not safe,
        happened=tuple(happened),
    )


def _warning(timeline: Timeline, safe: bool, uncertain_ms: int) -> str:
    """In a lit room light can come too early only for film that is bleached in a closed vessel."""
    bleached = any(step.kind == "bleach" and not step.dark for step in timeline.steps)
    exposed = any(step.kind == "expose" for step in timeline.steps)
    longer = (_CLOSED_LONGER if bleached and exposed else "") if safe else _DARK_LONGER
    return _WARNING + longer.format(uncertain_ms // 1000)


def begin_ns(origin: Reading, clock: Clock) -> int:
    """The boot clock at the run's first moment, whenever it is asked for."""
    if origin.boot_ms is not None:
        return origin.boot_ms * 1_000_000
    return clock.boot_ns() - (clock.wall_ns() - origin.wall_utc_ms * 1_000_000)


def _origin(run: Run, happened: list[Event], now: Reading) -> tuple[Reading, int | None]:
    """The run's first moment by the clocks of now, and how many ms of the time since are uncertain.

    None where the boot clock tells; 0 where the wall clock says that no time has gone.
    """
    origins = [event.detail["origin"] for event in happened if "origin" in event.detail]
    origin = Reading(**origins[-1]) if origins else run.started
    if elapsed(origin, now).by == "boot":
        return origin, None
    last_ms, wall_ms = max(
        [(0, origin.wall_utc_ms), *((event.at_ms, event.wall_utc_ms) for event in happened)]
    )
    likely_ms = max(0, now.wall_utc_ms - wall_ms)
    gone_ms = last_ms + likely_ms
    boot_ms = None if now.boot_ms is None else now.boot_ms - gone_ms
    return Reading(now.wall_utc_ms - gone_ms, boot_ms, now.boot_id), likely_ms
