"""Runs of one stock, one developer or one format, told without reading their plans."""

import json
from typing import NamedTuple

from darktimer.journal.films import RunFilm


class Only(NamedTuple):
    """Parts of the names that a run must have, whatever its capitals; empty where any will do.

    Stock and format are asked of the same film.
    """

    stock: str = ""
    developer: str = ""
    format: str = ""

    def fits(self, film: RunFilm, developer: str) -> bool:
        """Whether a film in a developer is one of those."""
        names = (film.stock, developer, film.format)
        return all(a.casefold() in b.casefold() for a, b in zip(self, names, strict=True))

    def in_sql(self) -> tuple[str, list[str]]:
        """What SQL asks of the JSON as it stands, so that few rows are read; its values."""
        columns = ("films", "developments", "films")
        asked = [
            (column, _in_json(part)) for column, part in zip(columns, self, strict=True) if part
        ]
        has = [f"instr(folded(CAST({column} AS BLOB)), ?)" for column, _ in asked]
        return " AND ".join(["1", *has]), [part for _, part in asked]


def _in_json(name: str) -> str:
    return json.dumps(name, ensure_ascii=False)[1:-1].casefold()
