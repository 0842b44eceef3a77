"""What a plan says of its films and develops, for the journal to be asked without reading plans.

It is written down when a run begins. For runs of earlier versions it is looked up in their plans
when somebody first asks.
"""

import sqlite3
from collections.abc import Iterator, Sequence
from itertools import groupby
from operator import itemgetter
from pathlib import Path
from typing import TYPE_CHECKING

from darktimer.errors import FileError
from darktimer.journal import films
from darktimer.journal.films import Development, RunFilm, RunPiece
from darktimer.journal.journal import Journal
from darktimer.journal.runs import Basis
from darktimer.process.timeline import Timeline
from darktimer.units import exposure_index

if TYPE_CHECKING:  # slow to load, and only wanted where a plan is at hand
    from darktimer.plan.model import Plan


def films_in(plan: "Plan") -> tuple[RunFilm, ...]:
    """The films of a plan."""
    from darktimer.bench.plan_inputs import load_of

    return tuple(
        RunFilm(
            stock=film.stock or "",
            exposed_at="" if film.exposed_at is None else exposure_index(film.exposed_at),
            note=film.note or "",
            format=film.format,
            words=film.words.removeprefix("1 x "),
            area_m2=load_of(film).area_m2,
        )
        for film in plan.films
    )


def pieces_in(timeline: Timeline) -> tuple[RunPiece, ...]:
    """The pieces that a film is cut into, by number."""
    from darktimer.plan.agitation import Stand

    last_ms = max((piece.end_ms for piece in timeline.pieces), default=0)
    return tuple(
        RunPiece(
            develop_ms=piece.time_ms,
            source=timeline.steps[piece.step].source,
            early=piece.end_ms < last_ms,
            agitation="" if piece.stands_ms is None else Stand.words,
        )
        for piece in timeline.pieces
    )


def developments_in(plan: "Plan", bases: Sequence[Basis]) -> tuple[Development, ...]:
    """Each develop of a plan; its time as carried out where ``bases`` tell it, else as written."""
    return tuple(_developments(plan, {basis.source: basis.carried_ms for basis in bases}))


def _developments(plan: "Plan", carried_ms: dict[int, int]) -> Iterator[Development]:
    from darktimer.plan.baths import bath_name
    from darktimer.plan.steps import Develop

    for source, step in enumerate(plan.steps):
        if isinstance(step, Develop):
            time_ms, scheme = carried_ms.get(source, step.develop), plan.agitation(step)
            agitation = scheme.words if scheme else ""
            development = Development(bath_name(step), time_ms, agitation, plan.celsius(step))
            yield from [development] * step.repeat


def look_up(journal: Journal) -> None:
    """Looks up what runs of earlier versions were of, and keeps it; raises `JournalError`.

    Of a plan that is none any more nothing is known but the film.
    """
    columns = "plan, number, film, film_area_m2, bases"
    rows = journal.store.rows("runs", columns, "WHERE developments = '' ORDER BY plan")
    found = [
        _looked_up(plan, *row)
        for number, runs in groupby(rows, itemgetter(0))
        for plan in [_plan(journal, number)]  # read once, however many runs there are of it
        for _, *row in runs
    ]
    sql = "UPDATE runs SET films = ?, developments = ? WHERE number = ? AND developments = ''"

    def write(connection: sqlite3.Connection) -> None:
        connection.executemany(sql, found)

    if found:
        journal.store.write(write)


def _looked_up(
    plan: "Plan | None", run: int, film: str, area_m2: float | None, bases: str
) -> tuple[str, str, int]:
    found = films_in(plan) if plan else films.film_called(film, area_m2)
    done = developments_in(plan, films.read(Basis, bases)) if plan else ()
    return films.written(found), films.written(done), run


def _plan(journal: Journal, number: int) -> "Plan | None":
    texts = journal.store.rows("texts", "text", "WHERE number = ?", (number,))
    return plan_of(texts[0][0]) if texts else None


def plan_of(text: str) -> "Plan | None":
    """A plan as a run keeps it; None where that is no plan to this version any more."""
    from darktimer.plan.reader import read_plan_text

    try:
        return read_plan_text(text, Path("plan")).plan
    except FileError:
        return None
