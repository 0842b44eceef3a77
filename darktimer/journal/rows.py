"""Rows written into the tables, and the numbers that they get."""

import sqlite3
from collections.abc import Mapping
from typing import Any

from darktimer.journal import schema


def insert(
    connection: sqlite3.Connection, table: str, row: Mapping[str, Any], act: str = "INSERT"
) -> int:
    """Writes a row, None for what the table is to choose; returns its number."""
    names, marks = ", ".join(row), ", ".join("?" * len(row))
    sql = f"{act} INTO {table} ({names}) VALUES ({marks})"
    return connection.execute(sql, tuple(row.values())).lastrowid or 0


def append(connection: sqlite3.Connection, table: str, row: Mapping[str, Any]) -> None:
    """Writes a row under the next number of the run, or bath, that it belongs to."""
    owner = schema.TABLES[table].keys[0]
    last = f"SELECT coalesce(max(number), 0) FROM {table} WHERE {owner} = ?"
    (number,) = connection.execute(last, (row[owner],)).fetchone()
    insert(connection, table, {**row, "number": number + 1})


def number_of(connection: sqlite3.Connection, table: str, column: str, value: Any) -> int | None:
    """The number of the row of which a column has this value; None where there is none."""
    sql = f"SELECT number FROM {table} WHERE {column} = ?"
    for (number,) in connection.execute(sql, (value,)).fetchall():
        return int(number)
    return None
