"""A run that this program did not lead, written down afterwards by what a person says of it."""

import sqlite3
from collections.abc import Sequence

from darktimer.journal.bath_use import note_run
from darktimer.journal.clocks import read_clocks
from darktimer.journal.connection import append
from darktimer.journal.events import Event, row_of
from darktimer.journal.journal import Journal, insert_run
from darktimer.journal.results import Result, result_row
from darktimer.journal.runs import FINISHED, RunStart


def enter_run(journal: Journal, start: RunStart, events: Sequence[Event], result: Result) -> int:
    """Writes down a whole run, finished, in one commit; returns its number.

    Baths in use that its plan names get its film noted. The moment at which it was entered marks
    it, so that nobody takes it for one that was heard. Raises `JournalError`.
    """
    now_ms, ended_ms = read_clocks().wall_utc_ms, events[-1].wall_utc_ms
    row = start.row() | {"state": FINISHED, "exit": 0, "ended_utc_ms": ended_ms}

    def write(connection: sqlite3.Connection) -> int:
        run = insert_run(connection, row | {"entered_utc_ms": now_ms})
        for event in events:
            append(connection, "events", {"run": run, **row_of(event)})
        note_run(connection, run, ended_ms)
        if result != Result():
            append(connection, "results", result_row(run, result, now_ms))
        return run

    return journal.store.write(write)
