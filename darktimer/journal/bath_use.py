"""Notes on baths that are used again, as rows: film run through, clearing times.

Knows how notes are written. What they say of a bath is the business of `baths`.
"""

import json
import sqlite3
from collections.abc import Iterator
from typing import NamedTuple

from darktimer.journal.connection import append
from darktimer.plan.baths import bath_key


class BathNote(NamedTuple):
    """Film that went through a bath (its area unknown where None), or a clearing time."""

    at_utc_ms: int
    run: int | None
    area_m2: float | None
    clearing_ms: int | None


def add_note(connection: sqlite3.Connection, bath: int, note: BathNote) -> None:
    """One more note on a bath."""
    append(connection, "bath_notes", {"bath": bath, **note._asdict()})


def note_run(connection: sqlite3.Connection, run: int, at_utc_ms: int) -> None:
    """Notes the film of a run, once, for each bath in use that it really went through."""
    of_run = "SELECT baths, film_area_m2 FROM runs WHERE number = ?"
    for baths, area_m2 in connection.execute(of_run, (run,)).fetchall():
        keys = set(_keys_of_entered(connection, run, json.loads(baths)))
        in_use = connection.execute(
            "SELECT number, name FROM baths WHERE discarded_utc_ms IS NULL "
            "AND number NOT IN (SELECT bath FROM bath_notes WHERE run = ?)",
            (run,),
        )
        for bath, name in in_use.fetchall():
            if bath_key(name) in keys:
                add_note(connection, bath, BathNote(at_utc_ms, run, area_m2, None))


def _keys_of_entered(connection: sqlite3.Connection, run: int, baths: list[str]) -> Iterator[str]:
    """Of the baths of each step, those whose step was begun."""
    begun = "SELECT DISTINCT step FROM events WHERE run = ? AND kind = 'step-begun'"
    for (step,) in connection.execute(begun, (run,)):
        if step is not None and 0 <= step < len(baths) and baths[step]:
            yield bath_key(baths[step])
