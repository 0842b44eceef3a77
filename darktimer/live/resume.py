"""Finds a run that was cut off, and where its film is now.

The film went on while the program did not. Within one start of the machine its clock tells exactly
how long. After another start only the wall clock does, which anyone can set: then all of that time
is likely, none of it is certain, and doubt adds up. Knows no sound.
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

_DOUBT: Final = (
    "the machine was off or started anew, so the time since is taken from the wall clock. If that "
    "was set meanwhile, every time is wrong by as much; light-safe waited {} s longer, until it "
    "was right by any clock"
)


class CutOff(NamedTuple):
    """An unfinished run. ``origin`` is its first moment by the clocks of this start of the machine.

    ``kept`` is its last state, with the doubt, and ``begun`` what it began with. ``last_ms`` is
    its last sign of life. ``heard`` are the cues heard to their end, each with its moment on the
    plan. ``doubt`` says what a person must know. ``dark``: light-safe was not heard though the
    plan has darkness.
    """

    run: Run
    timeline: Timeline
    origin: Reading
    kept: dict[str, Any]
    begun: dict[str, Any]
    last_ms: int
    heard: frozenset[tuple[str, int]]
    doubt: str
    dark: bool


def cut_off(journal: Journal) -> CutOff | None:
    """The latest run that has not ended; None where all have. Raises `JournalError`."""
    run = journal.unfinished_run()
    if run is None:
        return None
    happened, timeline = journal.events(run.number), journal.timeline(run.number)
    states = [dict(event.detail) for event in happened if "course" in event.detail]
    kept = states[-1] if states else {}
    origin, unsure_ms = _origin(run, happened, read_clocks())
    doubt_ms = kept.get("doubt_ms", 0) + (unsure_ms or 0)
    cues = (event for event in happened if event.kind == kinds.CUE)
    heard = frozenset((c.meaning, c.planned_ms) for c in cues if c.planned_ms is not None)
    safe = any(meaning == meanings.LIGHT_SAFE for meaning, _ in heard)
    return CutOff(
        run=run,
        timeline=timeline,
        origin=origin,
        kept=kept | {"doubt_ms": 0 if safe else doubt_ms},
        begun=states[0] if states else {},
        last_ms=max([0, *(event.at_ms for event in happened)]),
        heard=heard,
        doubt="" if unsure_ms is None else _DOUBT.format(doubt_ms // 1000),
        dark=any(step.dark for step in timeline.steps) and not safe,
    )


def begin_ns(origin: Reading, clock: Clock) -> int:
    """The boot clock at the run's first moment, whenever it is asked for."""
    if origin.boot_ms is not None:
        return origin.boot_ms * 1_000_000
    return clock.boot_ns() - (clock.wall_ns() - origin.wall_utc_ms * 1_000_000)


def _origin(run: Run, happened: list[Event], now: Reading) -> tuple[Reading, int | None]:
    """The run's first moment by the clocks of now, and how much of the time since is doubtful.

    None where none is. Where the wall clock says that no time has gone, some has all the same.
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
