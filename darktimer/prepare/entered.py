"""An evening that this program did not lead live: what is entered into the journal of it.

A sound file led it, or a person by hand. What the person says of it holds; all else is taken from
the plan as carried out.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from darktimer.journal.clocks import Reading, local_text, read_clocks
from darktimer.journal.events import STEP_BEGUN, STEP_ENDED, Event
from darktimer.journal.films import Development
from darktimer.journal.refusal import JournalError
from darktimer.journal.runs import RunStart
from darktimer.journal.start import about_to_start
from darktimer.plan.steps import Develop
from darktimer.prepare.prepared import Prepared
from darktimer.process.named import plain_name, steps_named
from darktimer.process.timeline import Timeline


class Evening(NamedTuple):
    """When it began or ended, one of the two or neither, and own times of steps that differed.

    Where neither is given, it has just ended. ``times`` holds a step's name and its time in ms.
    """

    began_utc_ms: int | None = None
    ended_utc_ms: int | None = None
    times: tuple[tuple[str, int], ...] = ()


def entered(prepared: Prepared, evening: Evening) -> tuple[RunStart, list[Event]]:
    """The run as it began, and each step begun and ended as it really was.

    Raises `ValueError` for a step that the plan does not have, `JournalError` for an evening that
    is not over yet.
    """
    lengths = real_lengths(prepared.timeline, evening.times)
    now_ms, whole_ms = read_clocks().wall_utc_ms, sum(lengths)
    began_ms = evening.began_utc_ms
    if began_ms is None:
        began_ms = (evening.ended_utc_ms or now_ms) - whole_ms
    if began_ms + whole_ms > now_ms:
        found = f"it would end at {local_text(began_ms + whole_ms)}, which is yet to come"
        raise JournalError(
            f"an evening that began at {local_text(began_ms)}", found, "look at --at and at --step"
        )
    started = Reading(began_ms, None, "")
    start = about_to_start(prepared.file, prepared.cue_set.name, prepared.timeline, started)
    done = tuple(_developments(start.developments, prepared.timeline, lengths))
    start = start._replace(developments=done)
    return start, list(_events(prepared.timeline, lengths, began_ms))


def _developments(
    planned: Sequence[Development], timeline: Timeline, lengths: Sequence[int]
) -> Iterator[Development]:
    """Each develop for as long as it really was; as planned where the timeline has others."""
    longer_ms = [
        length_ms - (step.end_ms - step.start_ms)
        for step, length_ms in zip(timeline.steps, lengths, strict=True)
        if step.kind == Develop.kind
    ]
    alike = len(longer_ms) == len(planned)
    for each, more_ms in zip(planned, longer_ms if alike else [0] * len(planned), strict=True):
        yield each._replace(time_ms=each.time_ms + more_ms)


def real_lengths(timeline: Timeline, times: Iterable[tuple[str, int]]) -> list[int]:
    """How long each step lasted from change to change, in ms: as planned where nothing is said.

    A time holds for each change of a wash; where a step has a part in the dark and one in the
    light, it is that of both. Raises `ValueError` where it is not clear which step is meant.
    """
    lengths = [step.end_ms - step.start_ms for step in timeline.steps]
    for name, own_ms in times:
        places = _places(timeline, name)
        parts = len({plain_name(timeline.steps[place].name) for place in places}) > 1
        for place in places:
            outside_ms, whole_ms = timeline.outside_ms(place), lengths[place]
            lasted_ms = own_ms
            if parts and place != places[-1]:
                lasted_ms = min(own_ms, whole_ms - outside_ms)
                own_ms -= lasted_ms
            lengths[place] = lasted_ms + outside_ms
    return lengths


def _places(timeline: Timeline, name: str) -> list[int]:
    """The steps of the timeline that carry out the one step of the plan that is meant."""
    found = steps_named(timeline, name)
    if len(sources := {timeline.steps[place].source for place in found}) > 1:
        names = ", ".join(timeline.steps[place].name for place in found)
        raise ValueError(f"{name!r} may be any of {len(sources)} steps; name one of {names}")
    return found


def _events(timeline: Timeline, lengths: list[int], began_utc_ms: int) -> Iterator[Event]:
    at_ms = 0
    for index, (step, length_ms) in enumerate(zip(timeline.steps, lengths, strict=True)):
        for kind, planned_ms in ((STEP_BEGUN, step.start_ms), (STEP_ENDED, step.end_ms)):
            yield Event(at_ms, began_utc_ms + at_ms, kind, "", index, planned_ms)
            at_ms += length_ms if kind == STEP_BEGUN else 0
