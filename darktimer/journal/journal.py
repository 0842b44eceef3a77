"""The journal: runs begun, what happened in them, how they ended, and what is left unfinished.

Each call that writes is one commit that is on the disk when it returns. Every trouble is one
`JournalError`, after which the journal may be used on: what failed was not kept, the rest was.
"""

import hashlib
import json
import sqlite3
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final
from uuid import uuid4

from darktimer.journal.bath_use import note_run
from darktimer.journal.clocks import Reading, read_clocks
from darktimer.journal.events import Event, detail_of, detail_text
from darktimer.journal.folder import home
from darktimer.journal.refusal import JournalError
from darktimer.journal.runs import FINISHED, Basis, Run, RunStart, State, timeline_of
from darktimer.journal.store import FILE_NAME, Row, Store
from darktimer.process.timeline import Timeline

#: How long a call waits for another process that is writing.
PATIENCE_MS: Final = 2_000

_RUN_COLUMNS: Final = (
    "number, key, started_utc_ms, started_boot_ms, boot_id, title, planned_ms, plan_source, "
    "cue_set, light, film, film_area_m2, baths, bases, state, ended_utc_ms, exit"
)


class Journal:
    """An open journal, to be used in a ``with`` block or closed by `close`."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self._begun: tuple[int, str, RunStart] | None = None
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
        return tuple(self.store.notices)

    def close(self) -> None:
        """Ends the use of the journal."""
        self.store.close()

    def __enter__(self) -> "Journal":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def begin_run(self, start: RunStart) -> int:
        """Writes down that a run begins, unfinished; returns its number."""
        key = uuid4().hex
        with self.store.writing() as connection:
            number = _insert_run(connection, None, key, start)
        self._begun, self._generation = (number, key, start), self.store.generation
        return number

    def record(self, run: int, event: Event) -> None:
        """Writes down one event of a run: one commit, on the disk when this returns.

        Where the file was found damaged and a new one begun, the run that this journal began is
        written into the new one first, under the same number.
        """
        try:
            detail = detail_text(event.detail)
        except ValueError as error:
            found = f"a detail cannot be written: {error}"
            raise JournalError(self.store.path, found, "give plain JSON") from None
        with self.store.writing() as connection:
            self._keep_begun(connection)
            connection.execute(
                "INSERT INTO events SELECT ?1, coalesce(max(number), 0) + 1, "
                "?2, ?3, ?4, ?5, ?6, ?7, ?8 FROM events WHERE run = ?1",
                (run, *event[:-1], detail),
            )
        self._generation = self.store.generation

    def finish_run(self, run: int, state: State = FINISHED, exit_status: int = 0) -> None:
        """Writes down how a run ended: "finished" or "aborted", and the exit status.

        Baths in use that the run's plan names get its film noted, where their step was begun.
        """
        ended_utc_ms = read_clocks().wall_utc_ms
        with self.store.writing() as connection:
            self._keep_begun(connection)
            connection.execute(
                "UPDATE runs SET state = ?, exit = ?, ended_utc_ms = ? WHERE number = ?",
                (state, exit_status, ended_utc_ms, run),
            )
            note_run(connection, run, ended_utc_ms)
        self._generation = self.store.generation

    def unfinished_run(self) -> Run | None:
        """The latest run that has not ended, to be taken up again; None where all have."""
        found = self.runs("WHERE state = 'unfinished' ORDER BY started_utc_ms DESC LIMIT 1")
        return found[0] if found else None

    def run(self, number: int) -> Run:
        """One run; raises `JournalError` where there is none of that number."""
        found = self.runs("WHERE number = ?", (number,))
        if not found:
            mend = "darktimer journal lists those there are"
            raise JournalError(f"run {number}", "there is none of that number", mend)
        return found[0]

    def plan_text(self, run: int) -> str:
        """The plan of a run, as it was written then."""
        return self._text(run, "plan")

    def timeline(self, run: int) -> Timeline:
        """The timeline of a run, as it was compiled then."""
        return timeline_of(self._text(run, "timeline"))

    def events(self, run: int) -> list[Event]:
        """Everything that happened in a run, in the order in which it was written down."""
        rows = self.store.read(
            "SELECT at_ms, wall_utc_ms, kind, meaning, step, planned_ms, detail "
            "FROM events WHERE run = ? ORDER BY number",
            (run,),
        )
        return [Event(*row)._replace(detail=detail_of(row[-1])) for row in rows]

    def runs(self, condition: str, values: Sequence[Any] = ()) -> list[Run]:
        """The runs that ``condition`` chooses and orders, in SQL that follows ``FROM runs``."""
        rows = self.store.read(f"SELECT {_RUN_COLUMNS} FROM runs {condition}", values)
        return [_run(row) for row in rows]

    def _text(self, run: int, column: str) -> str:
        rows = self.store.read(
            f"SELECT text FROM texts JOIN runs ON texts.number = runs.{column} "
            "WHERE runs.number = ?",
            (run,),
        )
        return str(rows[0][0]) if rows else str(self.run(run))

    def _keep_begun(self, connection: sqlite3.Connection) -> None:
        if self._begun and self._generation != self.store.generation:
            _insert_run(connection, *self._begun)


def _insert_run(
    connection: sqlite3.Connection, number: int | None, key: str, start: RunStart
) -> int:
    timeline = json.dumps(start.timeline.as_json(), ensure_ascii=False, separators=(",", ":"))
    values = {
        "number": number,
        "key": key,
        "started_utc_ms": start.started.wall_utc_ms,
        "started_boot_ms": start.started.boot_ms,
        "boot_id": start.started.boot_id,
        "title": start.timeline.title,
        "planned_ms": start.timeline.duration_ms,
        "plan_source": start.plan_source,
        "plan": keep_text(connection, start.plan_text),
        "cue_set": start.cue_set,
        "timeline": keep_text(connection, timeline),
        "light": start.light,
        "film": start.film,
        "film_area_m2": start.film_area_m2,
        "baths": json.dumps(start.baths, ensure_ascii=False, separators=(",", ":")),
        "bases": json.dumps([basis._asdict() for basis in start.bases], ensure_ascii=False),
        "state": "unfinished",
    }
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
