"""Finds a run that was cut off, and where its film is now.

The film went on while the program did not. The boot clock tells how long, exactly; after a power
cut only the wall clock does, and then the doubt is stated. Knows no sound.
"""

from collections.abc import Iterable
from typing import Any, Final, NamedTuple

from darktimer.journal import events as kinds
from darktimer.journal.clocks import Elapsed, elapsed, read_clocks
from darktimer.journal.events import Event
from darktimer.journal.journal import Journal
from darktimer.journal.runs import Run
from darktimer.live.course import Course, course_of
from darktimer.process import meanings
from darktimer.process.timeline import Timeline

_DOUBT: Final = (
    "the machine was off or started anew, so the time since is taken from the wall clock; "
    "if that was set meanwhile, every time is wrong by as much, but for light-safe, which waits "
    "until it is right by any clock"
)


class CutOff(NamedTuple):
    """An unfinished run. ``now_ms`` is its session time now, ``silent_from_ms`` its last sound.

    ``kept`` is the conductor's state, ``begun`` what the run began with. ``doubt_ms`` of the time
    gone is only known from the wall clock, and ``doubt`` says so. ``dark``: light-safe has not
    been heard though the plan has darkness. ``over_ms`` is how long ago the plan ended, below 0 if
    it has not, or not without a key.
    """

    run: Run
    timeline: Timeline
    kept: dict[str, Any]
    begun: dict[str, Any]
    now_ms: int
    silent_from_ms: int
    doubt_ms: int
    doubt: str
    dark: bool
    over_ms: int


def cut_off(journal: Journal) -> CutOff | None:
    """The latest run that has not ended; None where all have. Raises `JournalError`."""
    run = journal.unfinished_run()
    if run is None:
        return None
    happened, timeline = journal.events(run.number), journal.timeline(run.number)
    gone: Elapsed = elapsed(run.started, read_clocks())
    unsure = gone.by == "wall"
    # What has been handed to the speaker may be written down a moment before it is heard, so that
    # only a clock in doubt is put right by it.
    now_ms = max(gone.ms, _last_ms(happened) if unsure else 0)
    kept = _kept(happened)
    return CutOff(
        run=run,
        timeline=timeline,
        kept=kept,
        begun=next((dict(e.detail) for e in happened if "course" in e.detail), {}),
        now_ms=now_ms,
        silent_from_ms=min(now_ms, _last_ms(happened)),
        doubt_ms=now_ms - _last_ms(happened) if unsure else 0,
        doubt=_DOUBT if unsure else "",
        dark=any(step.dark for step in timeline.steps) and not _light_safe(happened),
        over_ms=now_ms - _end_ms(timeline, kept, now_ms),
    )


def _kept(happened: Iterable[Event]) -> dict[str, Any]:
    """The last state that was written down."""
    states = [dict(event.detail) for event in happened if "course" in event.detail]
    return states[-1] if states else {}


def _end_ms(timeline: Timeline, kept: dict[str, Any], now_ms: int) -> int:
    """When the plan ends; later than now where it waits for a key."""
    course = course_of(kept["course"]) if kept else Course()
    return now_ms + 1 if course.stops_ms is not None else course.at_ms(timeline.duration_ms)


def _light_safe(happened: Iterable[Event]) -> bool:
    return any(e.kind == kinds.CUE and e.meaning == meanings.LIGHT_SAFE for e in happened)


def _last_ms(happened: Iterable[Event]) -> int:
    """The last moment that something is known to have been heard, or to have happened."""
    return max([0, *(event.at_ms for event in happened)])
