"""The journal: runs begun, what happened in them, how they ended, and what is left unfinished.

Each call that writes is one commit that is on the disk when it returns. Every trouble is one
`JournalError`, after which the journal may be used on: what failed was not kept, the rest was.
"""

import hashlib
import sqlite3
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any, Final

from darktimer.journal import schema
from darktimer.journal.bath_use import note_run
from darktimer.journal.clocks import read_clocks
from darktimer.journal.connection import append, insert, number_of
from darktimer.journal.events import Event, detail_of, row_of
from darktimer.journal.folder import FILE_NAME, home
from darktimer.journal.refusal import JournalError
from darktimer.journal.runs import COLUMNS, FINISHED, Run, RunStart, RunState, run_of, timeline_of
from darktimer.journal.store import Store
from darktimer.process.timeline import Timeline

#: How long a call waits for another process that is writing.
PATIENCE_MS: Final = 2_000
_NO_RUN: Final = ("there is none of that number", "darktimer journal lists those there are")
_DAMAGED: Final = "darktimer journal check names all that is"
#: So many damaged rows are named one by one.
_NAMED: Final = 10


class Journal:
    """An open journal, to be used in a ``with`` block or closed by `close`."""

    def __init__(self, store: Store) -> None:
        self.store = store
        #: The rows of the runs that this journal began or took up, by number.
        self._begun: dict[int, dict[str, Any]] = {}

    @classmethod
    def open(cls, folder: Path | None = None, patience_ms: int = PATIENCE_MS) -> "Journal":
        """Opens the journal in ``folder``, or in the user's own; makes it where there is none.

        A damaged file is set aside and a new one begun; an older one is brought up to date after
        a backup; `notices` says so. Raises `JournalError`.
        """
        return cls(Store((folder or home()) / FILE_NAME, patience_ms))

    @property
    def notices(self) -> tuple[str, ...]:
        """What the user must know of the file: that it was damaged, or brought up to date."""
        damaged = list(self.store.damage)
        if more := len(damaged[_NAMED:]):
            damaged[_NAMED:] = [f"{more} more, which darktimer journal check names"]
        says = f"{self.store.path}: left out, as it is damaged: "
        return (*self.store.notices, *(says + row for row in damaged))

    def close(self) -> None:
        """Ends the use of the journal."""
        self.store.close()

    def __enter__(self) -> "Journal":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def begin_run(self, start: RunStart) -> int:
        """Writes down that a run begins, unfinished; returns its number."""
        row = start.row()
        number = self.store.write(lambda connection: insert_run(connection, row))
        self._begun[number] = {**row, "number": number}
        return number

    def record(self, run: int, *events: Event) -> None:
        """Writes down events of a run: one commit, on the disk when this returns.

        Where the file was found damaged and a new one begun, the run that this journal began or
        took up is written into the new one first. What can never be written is a `JournalError`
        whose cause is "unwritable".
        """
        rows = [*map(row_of, events)]

        def write(connection: sqlite3.Connection) -> None:
            here = self._here(connection, run)
            for row in rows:
                append(connection, "events", {"run": here, **row})

        self.store.write(write)

    def finish_run(self, run: int, state: RunState = FINISHED, exit_status: int = 0) -> None:
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

        self.store.write(write)

    def unfinished_run(self) -> Run | None:
        """The run begun last of those that have not ended; None where all have.

        No clock tells which that is: it may have been set since, or be another machine's. It is
        remembered as one that this journal began, should the file be damaged later.
        """
        for run in self.runs("WHERE state = 'unfinished' ORDER BY number DESC"):
            with suppress(JournalError):  # its texts are damaged: it cannot be written again
                self._begun[run.number] = self._row(run.number)
            return run
        return None

    def run(self, number: int) -> Run:
        """One run; raises `JournalError` where there is none of that number."""
        for run in self.runs("WHERE number = ?", (number,)):
            return run
        there = self.store.read("SELECT 1 FROM runs WHERE number = ?", (number,))
        found, remedy = ("it is damaged", _DAMAGED) if there else _NO_RUN
        raise JournalError(f"run {number}", found, remedy)

    def plan_text(self, run: int) -> str:
        """The plan of a run, as it was written then."""
        return self._text(run, "plan")

    def timeline(self, run: int) -> Timeline:
        """The timeline of a run, as it was compiled then."""
        return timeline_of(self._text(run, "timeline"))

    def events(self, run: int) -> list[Event]:
        """Everything that happened in a run, in the order in which it was written down."""
        columns = ", ".join(Event._fields)
        rows = self.store.rows("events", columns, "WHERE run = ? ORDER BY number", (run,))
        return [Event(*row)._replace(detail=detail_of(row[-1])) for row in rows]

    def runs(self, condition: str, values: Sequence[Any] = ()) -> list[Run]:
        """The runs that ``condition`` chooses and orders, in SQL that follows ``FROM runs``."""
        return [run_of(row) for row in self.store.rows("runs", COLUMNS, condition, values)]

    def _text(self, run: int, column: str) -> str:
        which = f"WHERE number = (SELECT {column} FROM runs WHERE number = ?)"
        for (text,) in self.store.rows("texts", "text", which, (run,)):
            return str(text)
        self.run(run)
        raise JournalError(f"run {run}", f"its {column} is damaged", _DAMAGED)

    def _row(self, run: int) -> dict[str, Any]:
        """A run's row, with its texts in place of their numbers."""
        names = [column.name for column in schema.columns(schema.VERSION)["runs"]]
        (row,) = self.store.rows("runs", ", ".join(names), "WHERE number = ?", (run,))
        texts = {name: self._text(run, name) for name in ("plan", "timeline")}
        return {**dict(zip(names, row, strict=True)), **texts}

    def _here(self, connection: sqlite3.Connection, run: int) -> int:
        """The number of a run in the file as it is now, which may be another than it began with.

        A run that this journal began or took up is written into a new file, if it could not be read
        from the old one.
        """
        row = self._begun.get(run)
        if row is None:
            return run
        return number_of(connection, "runs", "key", row["key"]) or insert_run(connection, row)


def insert_run(connection: sqlite3.Connection, row: dict[str, Any]) -> int:
    """Writes a run, under its number where that is free; returns the number it has."""
    texts: dict[str, int | None] = {
        name: keep_text(connection, row[name]) for name in ("plan", "timeline")
    }
    if number_of(connection, "runs", "number", row["number"]):
        texts["number"] = None
    return insert(connection, "runs", row | texts)


def keep_text(connection: sqlite3.Connection, text: str) -> int:
    """The number under which ``text`` is kept, once however often it is used."""
    digest = text_sha256(text)
    return number_of(connection, "texts", "sha256", digest) or insert(
        connection, "texts", {"sha256": digest, "text": text}
    )


def text_sha256(text: str) -> str:
    """By which texts are told apart."""
    return hashlib.sha256(text.encode()).hexdigest()
