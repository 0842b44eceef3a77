"""Rows of another journal taken into this one, all or none.

A run or bath that is here already, by its key, is left as it is, with all that belongs to it. A
number that is taken here is replaced by a free one, wherever it stands; so is the name of a bath in
use.
"""

import json
import sqlite3
from collections.abc import Callable, Iterable
from itertools import chain, count
from pathlib import Path
from typing import Any, NamedTuple, get_type_hints

from darktimer.document import parse_document
from darktimer.errors import FileError
from darktimer.journal.events import detail_of
from darktimer.journal.journal import Journal, keep_text
from darktimer.journal.refusal import JournalError
from darktimer.journal.runs import Basis, timeline_of
from darktimer.plan.baths import bath_key
from darktimer.process.timeline import Cue, Span, Step, Timeline

_LONGEST_MS = 1_000_000_000  # eleven days; no plan lasts longer than two


class Row(NamedTuple):
    """A row of another journal: the place it was read at, its table, its columns."""

    place: str
    table: str
    columns: dict[str, Any]


class Merged(NamedTuple):
    """How many runs and baths were taken in, and how many were here already."""

    runs: int
    runs_known: int
    baths: int
    baths_known: int


def merge(journal: Journal, rows: Iterable[Row]) -> Merged:
    """Takes rows in, each after those it refers to; raises `JournalError` with nothing kept.

    The journal's notices say which baths got another name.
    """
    with journal.store.writing() as connection:
        merging = _Merging(connection)
        for row in rows:
            merging.take(row)
    journal.store.notices += merging.renamed
    return merging.merged()


class _Merging:
    """What has been taken in so far, and the numbers it has here."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self.renamed: list[str] = []
        self._connection = connection
        self._texts: dict[int, int] = {}
        self._plans: set[int] = set()
        self._steps: dict[int, int] = {}  # of each timeline that was looked at
        self._numbers: dict[str, dict[int, int]] = {"runs": {}, "baths": {}}
        self._known: dict[str, set[int]] = {"runs": set(), "baths": set()}
        self._takes: dict[str, Callable[[dict[str, Any]], None]] = {
            "texts": self._take_text,
            "runs": self._take_run,
            "events": self._take_event,
            "results": self._take_result,
            "baths": self._take_bath,
            "bath_notes": self._take_bath_note,
        }

    def take(self, row: Row) -> None:
        """Takes one row in; what is wrong with it is said with its place."""
        try:
            self._takes[row.table](dict(row.columns))
        except KeyError as error:
            found = f"this refers to number {error.args[0]}, which has not come yet"
            raise JournalError(row.place, found, "give the whole export, unsorted") from None
        except (
            sqlite3.IntegrityError,
            OverflowError,
            ValueError,
            TypeError,
            RecursionError,
        ) as error:
            mend = "give the export as it was written"
            raise JournalError(row.place, f"this row cannot be kept: {error}", mend) from None

    def merged(self) -> Merged:
        """What it came to."""
        known = {table: len(numbers) for table, numbers in self._known.items()}
        new = {table: len(numbers) - known[table] for table, numbers in self._numbers.items()}
        return Merged(new["runs"], known["runs"], new["baths"], known["baths"])

    def _take_text(self, columns: dict[str, Any]) -> None:
        number = self._free("texts", columns["number"])
        self._texts[columns["number"]] = keep_text(self._connection, columns["text"], number)

    def _take_run(self, columns: dict[str, Any]) -> None:
        for name in ("plan", "timeline"):
            columns[name] = self._texts[columns[name]]
        self._check_plan(columns["plan"])
        baths, steps = _list_of_text(columns["baths"]), self._steps_of(columns["timeline"])
        if len(baths) != steps:
            raise ValueError(f"it has {len(baths)} baths for {steps} steps")
        for each in json.loads(columns.get("bases", "[]")):
            _check_kinds(Basis(**each))
        self._take_owner("runs", columns)

    def _take_event(self, columns: dict[str, Any]) -> None:
        if not isinstance(detail_of(columns["detail"]), dict):
            raise ValueError(f"{columns['detail'][:40]!r} is no detail")
        self._take_part("events", "runs", "run", columns)

    def _take_result(self, columns: dict[str, Any]) -> None:
        _list_of_text(columns["photographs"])
        self._take_part("results", "runs", "run", columns)

    def _take_bath(self, columns: dict[str, Any]) -> None:
        """A name that a bath in use has here is given a number, and both are kept."""
        known = self._number_of("baths", "key", columns["key"]) is not None
        if not known and columns["discarded_utc_ms"] is None:
            name = columns["name"]
            columns["name"] = self._free_name(name)
            if columns["name"] != name:
                self.renamed.append(f"a bath {name!r} is in use here: {columns['name']!r} came in")
        self._take_owner("baths", columns)

    def _free_name(self, name: str) -> str:
        sql = "SELECT name FROM baths WHERE discarded_utc_ms IS NULL"
        in_use = {bath_key(used) for (used,) in self._connection.execute(sql)}
        numbered = (f"{name} ({turn})" for turn in count(2))
        return next(each for each in chain([name], numbered) if bath_key(each) not in in_use)

    def _take_owner(self, table: str, columns: dict[str, Any]) -> None:
        """A run or a bath, which other rows refer to."""
        number = columns["number"]
        known = self._number_of(table, "key", columns["key"])
        if known is not None:
            self._known[table].add(number)
        else:
            columns["number"] = self._free(table, number)
            known = self._insert(table, columns)
        self._numbers[table][number] = known

    def _check_plan(self, number: int) -> None:
        """Raises `ValueError` where the text of that number is no plan.

        One that an earlier version of this program took may have words that are none any more.
        """
        if number in self._plans:
            return
        try:
            content = parse_document(self._text(number), Path("plan")).content
        except FileError as error:
            raise ValueError(f"its plan cannot be read: {error.faults[0].found}") from None
        if not isinstance(content, dict) or not isinstance(content.get("steps"), list):
            raise ValueError("its plan is none")
        self._plans.add(number)

    def _steps_of(self, number: int) -> int:
        """How many steps a timeline has; raises `ValueError` where that text is none."""
        if number not in self._steps:
            try:
                timeline = timeline_of(self._text(number))
                _check_timeline(timeline)
            except (ValueError, KeyError, TypeError, RecursionError):
                raise ValueError("its timeline cannot be read") from None
            self._steps[number] = len(timeline.steps)
        return self._steps[number]

    def _text(self, number: int) -> str:
        sql = "SELECT text FROM texts WHERE number = ?"
        return str(self._connection.execute(sql, (number,)).fetchone()[0])

    def _take_part(self, table: str, owners: str, name: str, columns: dict[str, Any]) -> None:
        """A row that belongs to a run or a bath, and stays away with it."""
        if columns[name] not in self._known[owners]:
            columns[name] = self._numbers[owners][columns[name]]
            self._insert(table, columns)

    def _take_bath_note(self, columns: dict[str, Any]) -> None:
        if columns["run"] is not None:
            columns["run"] = self._numbers["runs"][columns["run"]]
        self._take_part("bath_notes", "baths", "bath", columns)

    def _insert(self, table: str, columns: dict[str, Any]) -> int:
        names, marks = ", ".join(columns), ", ".join("?" * len(columns))
        cursor = self._connection.execute(
            f"INSERT INTO {table} ({names}) VALUES ({marks})", tuple(columns.values())
        )
        return int(cursor.lastrowid or 0)

    def _free(self, table: str, number: int) -> int | None:
        """The number if nothing has it here, else None, which lets the table choose."""
        return None if self._number_of(table, "number", number) is not None else number

    def _number_of(self, table: str, column: str, value: Any) -> int | None:
        sql = f"SELECT number FROM {table} WHERE {column} = ?"
        found = self._connection.execute(sql, (value,)).fetchone()
        return None if found is None else int(found[0])


def _check_timeline(timeline: Timeline) -> None:
    """Raises `ValueError` where a part is not of its kind, or at no time."""
    parts: tuple[Step | Span | Cue, ...] = (*timeline.steps, *timeline.spans, *timeline.cues)
    for part in parts:
        _check_kinds(part)
    texts = (timeline.title, *timeline.notes)
    if not isinstance(timeline.duration_ms, int) or not all(isinstance(t, str) for t in texts):
        raise ValueError("its head is not of its kind")
    if not all(0 <= span.step < len(timeline.steps) for span in timeline.spans):
        raise ValueError("a span has no step")


def _check_kinds(part: NamedTuple) -> None:
    """Raises `ValueError` where a value is not of its field's kind, or is a time that none is."""
    values = part._asdict()
    for name, kind in get_type_hints(type(part)).items():
        if not isinstance(values[name], kind if kind is not float else float | int):
            raise ValueError(f"its {name} is {str(values[name])[:40]!r}")
        if name.endswith("_ms") and not 0 <= values[name] <= _LONGEST_MS:
            raise ValueError(f"its {name} is {values[name]}")


def _list_of_text(text: str) -> list[str]:
    """Raises `ValueError` for anything but a JSON list of texts."""
    content = json.loads(text)
    if not isinstance(content, list) or not all(isinstance(part, str) for part in content):
        raise ValueError(f"{text[:40]!r} is no list of texts")
    return content
