"""Rows of another journal taken into this one, all or none.

A run or bath that is here already, by its key, is left as it is, with all that belongs to it. A
number that is taken here is replaced by a free one, wherever it stands; so is the name of a bath in
use.
"""

import sqlite3
from collections.abc import Callable, Iterable
from itertools import chain, count
from typing import Any, Final, NamedTuple

from darktimer.journal import schema
from darktimer.journal.connection import insert, number_of
from darktimer.journal.journal import Journal, text_sha256
from darktimer.journal.limits import check_columns, check_event, check_result, check_run
from darktimer.journal.refusal import JournalError
from darktimer.plan.baths import bath_key

#: What each table's rows are known by, whatever their number; other rows belong to one of these.
_KNOWN_BY: Final = {"texts": "sha256", "runs": "key", "baths": "key"}

#: A number beyond this is replaced too, so that numbers given after it stay fit for an import.
_MOST_KEPT: Final = 1_000_000

_UNFIT: Final = (sqlite3.IntegrityError, OverflowError, ValueError, TypeError, RecursionError)


class ImportedRow(NamedTuple):
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


def merge(journal: Journal, version: int, rows: Callable[[], Iterable[ImportedRow]]) -> Merged:
    """Takes in rows of a version, each after those it refers to, or raises `JournalError`.

    Nothing is kept then. The journal's notices say which baths got another name.
    """

    def take_all(connection: sqlite3.Connection) -> _Merging:
        merging = _Merging(connection, version)
        for row in rows():
            merging.take(row)
        return merging

    done = journal.store.write(take_all)
    journal.store.notices += done.renamed
    known = {table: len(numbers) for table, numbers in done.known.items()}
    new = {table: len(numbers) - known[table] for table, numbers in done.numbers.items()}
    return Merged(new["runs"], known["runs"], new["baths"], known["baths"])


class _Merging:
    """What has been taken in so far.

    ``numbers`` holds, for each table, the number that each number has here; ``known`` those of rows
    that were here before.
    """

    def __init__(self, connection: sqlite3.Connection, version: int) -> None:
        self.numbers: dict[str, dict[int, int]] = {table: {} for table in _KNOWN_BY}
        self.known: dict[str, set[int]] = {table: set() for table in _KNOWN_BY}
        self.renamed: list[str] = []
        self._connection = connection
        self._columns = schema.columns(version)
        self._references = {table: self._references_of(table) for table in schema.TABLES}

    def take(self, row: ImportedRow) -> None:
        """Takes one row in; what is wrong with it is said with its place."""
        try:
            check_columns(self._columns[row.table], row.columns)
            self._take(row.table, dict(row.columns))
        except KeyError as error:
            found = f"this refers to number {error}, which has not come yet"
            raise JournalError(row.place, found, "give the whole export, unsorted") from None
        except _UNFIT as error:
            remedy = "give the export as it was written"
            raise JournalError(row.place, f"this row cannot be kept: {error}", remedy) from None

    def _take(self, table: str, row: dict[str, Any]) -> None:
        references, owner = self._references[table], schema.TABLES[table].keys[0]
        if owner in references and row[owner] in self.known[references[owner]]:
            return
        for name, other in references.items():
            if row[name] is not None:
                row[name] = self.numbers[other][row[name]]
        self._check(table, row)
        if table in _KNOWN_BY:
            self._take_numbered(table, row)
        else:
            insert(self._connection, table, row)

    def _take_numbered(self, table: str, row: dict[str, Any]) -> None:
        """A row that others refer to."""
        number = row["number"]
        here = number_of(self._connection, table, _KNOWN_BY[table], row[_KNOWN_BY[table]])
        if here is not None:
            self.known[table].add(number)
        else:
            taken = number_of(self._connection, table, "number", number) is not None
            if taken or number > _MOST_KEPT:
                row["number"] = None
            if table == "baths" and row["discarded_utc_ms"] is None:
                row["name"] = self._free_name(row["name"])
            here = insert(self._connection, table, row)
        self.numbers[table][number] = here

    def _check(self, table: str, row: dict[str, Any]) -> None:
        if table == "texts":
            row["sha256"] = text_sha256(row["text"])
        elif table == "runs":
            check_run(row, self._text(row["plan"]), self._text(row["timeline"]))
        elif table == "events":
            check_event(row)
        elif table == "results":
            check_result(row)

    def _free_name(self, name: str) -> str:
        """The name, with a number where a bath in use has it here, so that both are kept."""
        sql = "SELECT name FROM baths WHERE discarded_utc_ms IS NULL"
        in_use = {bath_key(used) for (used,) in self._connection.execute(sql)}
        numbered = (f"{name} ({turn})" for turn in count(2))
        free = next(each for each in chain([name], numbered) if bath_key(each) not in in_use)
        if free != name:
            self.renamed.append(f"a bath {name!r} is in use here: {free!r} came in")
        return free

    def _references_of(self, table: str) -> dict[str, str]:
        """The columns that hold the number of a row elsewhere, each with the table of that."""
        found = self._connection.execute(f"PRAGMA foreign_key_list({table})")
        return {column: other for _, _, other, column, *_ in found}

    def _text(self, number: int) -> str:
        sql = "SELECT text FROM texts WHERE number = ?"
        (text,) = self._connection.execute(sql, (number,)).fetchone()
        return str(text)
