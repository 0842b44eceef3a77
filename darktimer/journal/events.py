"""What can happen in a run, as it is written down.

An event stands at the real time since the run's first moment, sleep of the machine included. What
an event means for the film is not known here.
"""

import json
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final, NamedTuple

from darktimer.journal.refusal import JournalError
from darktimer.units import nearest_clock

_TO_JSON: Final = json.JSONEncoder(
    ensure_ascii=False, allow_nan=False, separators=(",", ":"), default=str
)

CUE: Final = "cue"  # a sound was played
KEY: Final = "key"  # a key was pressed
FAULT: Final = "fault"  # something failed, or works again
STEP_BEGUN: Final = "step-begun"
STEP_ENDED: Final = "step-ended"
NOTE: Final = "note"  # anything else that is worth knowing later

#: Faults that another one, ``back``, puts right.
_SILENCES: Final = ("lost", "callback-error")


class Event(NamedTuple):
    """One thing that happened.

    ``at_ms`` is real time since the run's first moment; ``wall_utc_ms`` the wall clock then.
    ``meaning`` is a cue's or key's word, ``step`` an index into the timeline. ``planned_ms`` is the
    moment on the timeline that the event belongs to: a cue's ``at_ms``, a step's start or end;
    None for what no plan foresaw. ``detail`` is anything that JSON can hold.
    """

    at_ms: int
    wall_utc_ms: int
    kind: str
    meaning: str = ""
    step: int | None = None
    planned_ms: int | None = None
    detail: Mapping[str, Any] = {}


def fault_lines(faults: Iterable[Event]) -> Iterator[tuple[int, str]]:
    """The faults of a run for a person, with their moments: silences with what ended them."""
    lines: list[tuple[int, str]] = []
    silent: int | None = None  # the line of a silence that goes on
    for event in faults:
        if event.meaning == "back" and silent is not None:
            at_ms, found = lines[silent]
            lines[silent] = at_ms, f"{found}; put right: {_ended_text(event)}"
            silent = None
            continue
        if event.meaning in _SILENCES:
            silent = len(lines)
        lines.append((event.at_ms, found_text(event)))
    return iter(lines)


def _ended_text(event: Event) -> str:
    silent_s = event.detail.get("gap_ms", 0) / 1000
    back = f"sound back at {nearest_clock(event.at_ms)} after {silent_s:.1f} s of silence"
    return f"{back}, {event.detail.get('found', '')}".rstrip(", ")


def found_text(event: Event) -> str:
    """What a fault is for a person: what was found, and how long it lasted.

    What else its detail holds is for the program, which takes a run up by it.
    """
    sound = "sound " if event.meaning in ("lost", "back") else ""
    lasted_ms = event.detail.get("gap_ms") or event.detail.get("late_ms")
    lasted = f", {lasted_ms / 1000:.1f} s" if lasted_ms else ""
    found = event.detail.get("found") or event.detail.get("doubt")
    return f"{sound}{event.meaning}{lasted}" + (f": {found}" if found else "")


def detail_text(detail: Mapping[str, Any]) -> str:
    """The one way in which a detail is written, empty for none; raises `JournalError`."""
    try:
        return _TO_JSON.encode(detail) if detail else ""
    except (ValueError, RecursionError) as error:
        found = f"its detail cannot be written: {error}"
        raise JournalError("an event", found, "give plain JSON", "unwritable") from None


def row_of(event: Event) -> dict[str, Any]:
    """The columns that keep an event; raises `JournalError` for a detail that JSON cannot hold."""
    return event._asdict() | {"detail": detail_text(event.detail)}


def detail_of(text: str) -> dict[str, Any]:
    """What `detail_text` wrote."""
    read: dict[str, Any] = json.loads(text) if text else {}
    return read
