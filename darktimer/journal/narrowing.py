"""Runs of one stock, one developer or one format, found without reading their plans."""

import json
from collections.abc import Iterator
from typing import NamedTuple

from darktimer.journal.developments import look_up
from darktimer.journal.films import Development, RunFilm, read
from darktimer.journal.journal import Journal


class Only(NamedTuple):
    """Parts of the names that a run must have, whatever its capitals; empty where any will do.

    Stock and format are asked of the same film.
    """

    stock: str = ""
    developer: str = ""
    format: str = ""


def narrowed(journal: Journal, only: Only) -> Iterator[int]:
    """The numbers of the runs that have all of it, the latest first; raises `JournalError`."""
    look_up(journal)
    which, names = of_names(only)
    rows = journal.store.rows(
        "runs", "number, films, developments", f"WHERE {which} ORDER BY number DESC", names
    )
    for number, films, developments in rows:
        if _fits(only, read(RunFilm, films), read(Development, developments)):
            yield number


def of_names(only: Only) -> tuple[str, list[str]]:
    """What SQL asks of the JSON as it stands, so that few rows are read; and the values for it."""
    asked = [("films", only.stock), ("films", only.format), ("developments", only.developer)]
    has = [(f"instr(folded(CAST({c} AS BLOB)), ?)", _in_json(name)) for c, name in asked if name]
    return " AND ".join(["1", *(sql for sql, _ in has)]), [name for _, name in has]


def within(part: str, name: str) -> bool:
    """Whether a name has that part, whatever their capitals."""
    return part.casefold() in name.casefold()


def _fits(only: Only, films: tuple[RunFilm, ...], developments: tuple[Development, ...]) -> bool:
    films = films or (RunFilm(),)
    of_film = any(within(only.stock, f.stock) and within(only.format, f.format) for f in films)
    developers = [each.developer for each in developments] or [""]
    return of_film and any(within(only.developer, each) for each in developers)


def _in_json(name: str) -> str:
    return json.dumps(name, ensure_ascii=False)[1:-1].casefold()
