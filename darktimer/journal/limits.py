"""What a row from elsewhere may hold, so that nothing breaks when it is shown.

The columns of its version, each a value of its kind; texts that can be read again. Everything here
raises `ValueError`, or what Python raises for JSON of another shape.

The limits follow from a column's name, as units stand in names. They are wide: beyond them lie
values that would break something later, such as a moment that no calendar has.
"""

import json
from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache
from itertools import chain
from pathlib import Path
from typing import Any, Final, NamedTuple, get_args, get_type_hints

from darktimer.document import parse_document
from darktimer.errors import FileError
from darktimer.journal.events import detail_of
from darktimer.journal.films import Development, RunFilm, RunPiece
from darktimer.journal.readings import strip_of
from darktimer.journal.runs import Basis, timeline_of
from darktimer.journal.schema import Column
from darktimer.units import shown

_KINDS: Final = {
    "INTEGER": ((int,), "a whole number"),
    "REAL": ((int, float), "a number"),
    "TEXT": ((str,), "text"),
}
_CALENDAR_END_MS: Final = 253_402_128_000_000  # two days before the year 10,000, in every time zone
_YEARS_MS: Final = 1_000_000_000_000  # thirty of them
#: The end of a column's name, and the least and greatest value; the first that fits holds.
_LIMITS: Final = (
    ("_utc_ms", 0, _CALENDAR_END_MS),
    ("_ms", -_YEARS_MS, _YEARS_MS),
    ("_m2", 0, 1_000_000),
    ("_ml", 0, 1_000_000_000),
    ("celsius", -273.15, 1_000),
    ("number", 1, 1_000_000_000),
    ("film", 1, 1_000),
    ("piece", 1, 1_000),
    ("kept", 0, 1),
    ("", -1_000_000_000, 1_000_000_000),
)
#: The columns of a run that hold lists, and what is in them.
_LISTS: Final[Mapping[str, Callable[..., Any]]] = {
    "bases": Basis,
    "films": RunFilm,
    "pieces": RunPiece,
    "developments": Development,
}
_LONGEST_MS: Final = 1_000_000_000  # eleven days; no plan lasts longer than two


def check_columns(columns: Sequence[Column], row: dict[str, Any]) -> None:
    """Raises `ValueError` unless the row has just these columns, with values within limits."""
    names = [column.name for column in columns]
    for name in [*(each for each in names if each not in row), *(row.keys() - set(names))]:
        found = "is missing" if name in names else "is not known here"
        raise ValueError(f"{name!r} {found}: a row has {', '.join(names)}")
    for column in columns:
        if column.required or row[column.name] is not None:
            _check(column, row[column.name])


def _check(column: Column, value: Any) -> None:
    kinds, wanted = _KINDS[column.kind]
    if not isinstance(value, kinds) or isinstance(value, bool):
        raise ValueError(f"{column.name} is {shown(str(value))}, and should be {wanted}")
    if not isinstance(value, str):
        _check_limits(column.name, value)


def _check_limits(name: str, value: float) -> None:
    least, most = next(limits for end, *limits in _LIMITS if name.endswith(end))
    if not least <= value <= most:
        raise ValueError(f"{name} is {value}, and should be from {least} to {most}")


def check_run(row: dict[str, Any], plan: str, timeline: str) -> None:
    """A run, with the texts of its plan and of its timeline."""
    baths, steps, sources = _list_of_text(row["baths"]), _steps_of(plan), _sources_of(timeline)
    if len(baths) != len(sources):
        raise ValueError(f"it has {len(baths)} baths for {len(sources)} steps")
    if not all(source is None or 0 <= source < steps for source in sources):
        raise ValueError("its timeline is that of another plan")
    for column, kind in _LISTS.items():
        for part in _parts_of(row.get(column) or "[]", column, kind):
            _check_kinds(part)


def _parts_of(text: str, column: str, kind: Callable[..., Any]) -> list[Any]:
    """What a column's list holds, as ``kind``."""
    try:
        parts = json.loads(text)
        return [kind(**part) for part in parts[:]]  # which only a list allows
    except (ValueError, TypeError, KeyError, RecursionError):
        raise ValueError(f"its {column} cannot be read") from None


def check_event(row: dict[str, Any]) -> None:
    """An event's detail."""
    if not isinstance(detail_of(row["detail"]), dict):
        raise ValueError(f"{shown(row['detail'])} is not a detail")


def check_result(row: dict[str, Any]) -> None:
    """A result's photographs and readings."""
    _list_of_text(row["photographs"])
    strip_of(row.get("densities", ""), row.get("exposures", ""))


@lru_cache  # many runs are of one plan
def _steps_of(text: str) -> int:
    """How many a plan has; an earlier version of this program may have taken words that are none
    any more."""
    try:
        content = parse_document(text, Path("plan")).content
    except FileError as error:
        raise ValueError(f"its plan cannot be read: {error}") from None
    if not isinstance(content, dict) or not isinstance(content.get("steps"), list):
        raise ValueError("its plan is none")
    return len(content["steps"])


@lru_cache
def _sources_of(text: str) -> tuple[int | None, ...]:
    """The step of the plan that each step of a timeline carries out."""
    try:
        timeline = timeline_of(text)
        for part in chain(timeline.steps, timeline.spans, timeline.cues, timeline.pieces):
            _check_kinds(part)
        _check_kinds(_Head(timeline.title, timeline.duration_ms))
        _list_of_text(json.dumps(timeline.notes))
        inside = [part.step for part in timeline.spans] + [part.step for part in timeline.pieces]
        if not all(0 <= step < len(timeline.steps) for step in inside):
            raise ValueError
    except (ValueError, KeyError, TypeError, RecursionError):
        raise ValueError("its timeline cannot be read") from None
    return tuple(step.source for step in timeline.steps)


class _Head(NamedTuple):
    title: str
    duration_ms: int


def _check_kinds(part: Any) -> None:
    """Each value is of its field's kind, each time one that a plan can have."""
    values = part._asdict()
    for name, kind in get_type_hints(type(part)).items():
        number = float in (kind, *get_args(kind))  # a whole one will do as well
        if not isinstance(values[name], kind | int if number else kind):
            raise ValueError(f"its {name} is {shown(str(values[name]))}")
        if values[name] is None:
            continue
        if number:
            _check_limits(name, values[name])
        if name.endswith("_ms") and not 0 <= values[name] <= _LONGEST_MS:
            raise ValueError(f"its {name} is {values[name]}")


def _list_of_text(text: str) -> list[str]:
    content = json.loads(text)
    if not isinstance(content, list) or not all(isinstance(part, str) for part in content):
        raise ValueError(f"{shown(text)} is not a list of texts")
    return content
