"""Notes on baths that are used again, as rows: film run through, clearing times.

Knows how notes are written. What they say of a bath is the business of `baths`.
"""

import json
import sqlite3

from darktimer.plan.baths import bath_key


def note_run(connection: sqlite3.Connection, run: int, at_utc_ms: int) -> None:
    """Notes the film of a run, once, for each bath in use that it really went through."""
    found = connection.execute(
        "SELECT baths, film_area_m2 FROM runs WHERE number = ?", (run,)
    ).fetchone()
    if not found:
        return
    names, area_m2 = json.loads(found[0]), found[1]
    begun = connection.execute(
        "SELECT DISTINCT step FROM events WHERE run = ? AND kind = 'step-begun'", (run,)
    ).fetchall()
    entered = {names[step] for (step,) in begun if step is not None and 0 <= step < len(names)}
    keys = {bath_key(name) for name in entered if name}
    for bath, name in connection.execute(
        "SELECT number, name FROM baths WHERE discarded_utc_ms IS NULL "
        "AND NOT EXISTS (SELECT 1 FROM bath_notes WHERE bath = baths.number AND run = ?) "
        "ORDER BY number",
        (run,),
    ).fetchall():
        if bath_key(name) in keys:
            add_note(connection, bath, at_utc_ms, run, area_m2, None)


def add_note(
    connection: sqlite3.Connection,
    bath: int,
    at_utc_ms: int,
    run: int | None,
    area_m2: float | None,
    clearing_ms: int | None,
) -> None:
    """One note: film that went through, with its run if it is known, or a clearing time."""
    connection.execute(
        "INSERT INTO bath_notes (bath, number, at_utc_ms, run, area_m2, clearing_ms) "
        "SELECT ?1, coalesce(max(number), 0) + 1, ?2, ?3, ?4, ?5 "
        "FROM bath_notes WHERE bath = ?1",
        (bath, at_utc_ms, run, area_m2, clearing_ms),
    )
