"""The journal: runs begun, what happened in them, how they ended, and what is left unfinished.

Each call that writes is one commit that is on the disk when it returns. Every trouble is one
`JournalError`, after which the journal may be used on: what failed was not kept, the rest was.
"""

import hashlib
import json
import sqlite3
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, Final
from uuid import uuid4

from darktimer.journal import schema
from darktimer.journal.bath_use import note_run
from darktimer.journal.clocks import Reading, read_clocks
from darktimer.journal.events import Event, detail_of, detail_text
from darktimer.journal.folder import FILE_NAME, home
from darktimer.journal.refusal import JournalError
from darktimer.journal.runs import FINISHED, Basis, Run, RunStart, State, timeline_of
from darktimer.journal.store import Row, Store
from darktimer.process.timeline import Timeline

#: How long a call waits for another process that is writing.
PATIENCE_MS: Final = 2_000
_NO_RUN: Final = ("there is none of that number", "darktimer journal lists those there are")
_DAMAGED_RUN: Final = ("it is damaged", "darktimer journal check names all that is")
#: So many damaged rows are named one by one.
_NAMED: Final = 10

_RUN_COLUMNS: Final = (
    "number, key, started_utc_ms, started_boot_ms, boot_id, title, planned_ms, plan_source, "
    "cue_set, light, film, film_area_m2, baths, bases, state, ended_utc_ms, exit"
)


class Journal:
    """An open journal, to be used in a ``with`` block or closed by `close`."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self._begun: dict[str, Any] = {}
        self._moved: dict[int, int] = {}  # from the number a run began with to the one it has now
        self._generation = store.generation

    @classmethod
    def open(cls, folder: Path | None = None, patience_ms: int = PATIENCE_MS) -> "Journal":
        """Opens the journal in ``folder``, or in the user's own; makes it where there is none.

        A damaged file is set aside and a new one begun; an older one is brought up to date after
        a backup; `notices` says so. Raises `JournalError`.
        """
        return cls(Store((folder or home()) / FILE_NAME, patience_ms))

    @property
    def notices(self) -> tuple[str, ...]:
        """What the user must be told of the file: that it was damaged, or brought up to date."""
        damage = [f"{self.store.path}: left out, as it is damaged: {row}" for row in self._told()]
        return (*self.store.notices, *damage)

    def _told(self) -> list[str]:
        """The damaged rows that were met, the first of them by name."""
        met = list(self.store.damage)
        more = f"{len(met) - _NAMED} more, which darktimer journal check names"
        return [*met[:_NAMED], more] if len(met) > _NAMED else met

    def close(self) -> None:
        """Ends the use of the journal."""
        self.store.close()

    def __enter__(self) -> "Journal":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def begin_run(self, start: RunStart) -> int:
        """Writes down that a run begins, unfinished; returns its number."""
        row = _row(start)
        number = self.store.write(lambda connection: _insert_run(connection, row))
        self._begun, self._generation = {**row, "number": number}, self.store.generation
        return number

    def record(self, run: int, *events: Event) -> None:
        """Writes down events of a run: one commit, on the disk when this returns.

        Where the file was found damaged and a new one begun, the run that this journal began or
        took up is written into the new one first. What can never be written is a `JournalError`
        whose cause is "unwritable".
        """
        rows = [(run, *event[:-1], self._detail_text(event)) for event in events]

        def write(connection: sqlite3.Connection) -> None:
            here = self._here(connection, run)
            connection.executemany(
                "INSERT INTO events (run, number, at_ms, wall_utc_ms, kind, meaning, step, "
                "planned_ms, detail) SELECT ?1, coalesce(max(number), 0) + 1, "
                "?2, ?3, ?4, ?5, ?6, ?7, ?8 FROM events WHERE run = ?1",
                ((here, *row[1:]) for row in rows),
            )

        self._write(write)

    def finish_run(self, run: int, state: State = FINISHED, exit_status: int = 0) -> None:
        """Writes down how a run ended: "finished" or "aborted", and the exit status.

        Baths in use that the run's plan names get its film noted, where their step was begun.
        """
        ended_utc_ms = read_clocks().wall_utc_ms

        def write(connection: sqlite3.Connection) -> None:
            here = self._here(connection, run)
            connection.execute(
                "UPDATE runs SET state = ?, exit = ?, ended_utc_ms = ? WHERE number = ?",
                (state, exit_status, ended_utc_ms, here),
            )
            note_run(connection, here, ended_utc_ms)

        self._write(write)

    def unfinished_run(self) -> Run | None:
        """The latest run that has not ended, to be taken up again; None where all have.

        It is remembered as one that this journal began, should the file be damaged later.
        """
        found = self.runs("WHERE state = 'unfinished' ORDER BY started_utc_ms DESC")
        if not found:
            return None
        self._begun, self._generation = self._as_begun(found[0].number), self.store.generation
        return found[0]

    def run(self, number: int) -> Run:
        """One run; raises `JournalError` where there is none of that number."""
        runs = self.runs("WHERE number = ?", (number,))
        if not runs:
            there = self.store.read("SELECT 1 FROM runs WHERE number = ?", (number,))
            raise JournalError(f"run {number}", *(_DAMAGED_RUN if there else _NO_RUN))
        return runs[0]

    def plan_text(self, run: int) -> str:
        """The plan of a run, as it was written then."""
        return self._text(run, "plan")

    def timeline(self, run: int) -> Timeline:
        """The timeline of a run, as it was compiled then."""
        return timeline_of(self._text(run, "timeline"))

    def events(self, run: int) -> list[Event]:
        """Everything that happened in a run, in the order in which it was written down."""
        columns = "at_ms, wall_utc_ms, kind, meaning, step, planned_ms, detail"
        rows = self.store.rows("events", columns, "WHERE run = ? ORDER BY number", (run,))
        return [Event(*row)._replace(detail=detail_of(row[-1])) for row in rows]

    def runs(self, condition: str, values: Sequence[Any] = ()) -> list[Run]:
        """The runs that ``condition`` chooses and orders, in SQL that follows ``FROM runs``."""
        return [_run(row) for row in self.store.rows("runs", _RUN_COLUMNS, condition, values)]

    def _text(self, run: int, column: str) -> str:
        which = f"WHERE number = (SELECT {column} FROM runs WHERE number = ?)"
        found = self.store.rows("texts", "text", which, (run,))
        if not found:
            self.run(run)
            raise JournalError(f"run {run}", f"its {column} is damaged", _DAMAGED_RUN[1])
        return str(found[0][0])

    def _detail_text(self, event: Event) -> str:
        try:
            return detail_text(event.detail)
        except (ValueError, RecursionError) as error:
            found, mend = f"a detail cannot be written: {error}", "give plain JSON"
            raise JournalError(self.store.path, found, mend, "unwritable") from None

    def _write(self, work: Callable[[sqlite3.Connection], None]) -> None:
        self.store.write(work)
        self._generation = self.store.generation

    def _as_begun(self, number: int) -> dict[str, Any]:
        """A run as its row, with its texts in place of their numbers; nothing if it is damaged."""
        try:
            texts = {"plan": self.plan_text(number), "timeline": self._text(number, "timeline")}
        except JournalError:
            return {}
        columns = schema.columns(schema.VERSION)["runs"]
        kept = [column.name for column in columns if column.name not in texts]
        found = self.store.rows("runs", ", ".join(kept), "WHERE number = ?", (number,))
        return {**dict(zip(kept, found[0], strict=True)), **texts} if found else {}

    def _here(self, connection: sqlite3.Connection, run: int) -> int:
        """The number of a run in the file as it is now, which may be another than was begun with.

        A run that this journal began or took up is written into the new file first, if it could
        not be read from the old one.
        """
        if run != self._begun.get("number") or self._generation == self.store.generation:
            return self._moved.get(run, run)
        sql = "SELECT number FROM runs WHERE key = ?"
        found = connection.execute(sql, (self._begun["key"],)).fetchone()
        self._moved[run] = int(found[0]) if found else _insert_run(connection, self._begun)
        return self._moved[run]


def _row(start: RunStart) -> dict[str, Any]:
    """The row of a run that begins, with its texts in place of their numbers."""
    return {
        "number": None,
        "key": uuid4().hex,
        "started_utc_ms": start.started.wall_utc_ms,
        "started_boot_ms": start.started.boot_ms,
        "boot_id": start.started.boot_id,
        "title": start.timeline.title,
        "planned_ms": start.timeline.duration_ms,
        "plan_source": start.plan_source,
        "plan": start.plan_text,
        "cue_set": start.cue_set,
        "timeline": json.dumps(start.timeline.as_json(), ensure_ascii=False, separators=(",", ":")),
        "light": start.light,
        "film": start.film,
        "film_area_m2": start.film_area_m2,
        "baths": json.dumps(start.baths, ensure_ascii=False, separators=(",", ":")),
        "bases": json.dumps([basis._asdict() for basis in start.bases], ensure_ascii=False),
        "state": "unfinished",
    }


def _insert_run(connection: sqlite3.Connection, row: dict[str, Any]) -> int:
    """Writes a run, under its number where that is free; returns the number it has."""
    texts = {name: keep_text(connection, row[name]) for name in ("plan", "timeline")}
    taken = connection.execute("SELECT 1 FROM runs WHERE number = ?", (row["number"],)).fetchone()
    values = {**row, **texts, "number": None if taken else row["number"]}
    names, marks = ", ".join(values), ", ".join("?" * len(values))
    cursor = connection.execute(
        f"INSERT INTO runs ({names}) VALUES ({marks})", tuple(values.values())
    )
    return int(cursor.lastrowid or 0)


def keep_text(connection: sqlite3.Connection, text: str, number: int | None = None) -> int:
    """The number under which ``text`` is kept, once however often it is used.

    ``number`` is wished for; a text that is kept already has its own.
    """
    digest = hashlib.sha256(text.encode()).hexdigest()
    connection.execute(
        "INSERT OR IGNORE INTO texts (number, sha256, text) VALUES (?, ?, ?)",
        (number, digest, text),
    )
    found = connection.execute("SELECT number FROM texts WHERE sha256 = ?", (digest,)).fetchone()
    return int(found[0])


def _run(row: Row) -> Run:
    number, key, *clocks = row[:5]
    *middle, baths, bases = row[5:-3]
    started = Reading(*clocks)
    lists = tuple(json.loads(baths)), tuple(Basis(**each) for each in json.loads(bases))
    return Run._make((number, key, started, *middle, *lists, *row[-3:]))
