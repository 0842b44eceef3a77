"""A checksum beside each row, so that what the disk changed is found when the row is next read.

Triggers of the connection keep the sums, made for the columns that the tables have: nobody who
writes a row need think of them, nor who adds a column.
"""

import sqlite3
import zlib
from typing import Any

from darktimer.journal import schema


def keep_checksums(connection: sqlite3.Connection) -> dict[str, str]:
    """Has every row that is written from now on summed; returns each table's sum in SQL."""
    connection.create_function("row_crc32", -1, crc32, deterministic=True)
    return {table: _kept(connection, table) for table in schema.TABLES}


def without_checksums(connection: sqlite3.Connection) -> None:
    """Takes the sums of whole rows away before their table is changed; damaged ones keep theirs."""
    for table, total in keep_checksums(connection).items():
        connection.execute(f"UPDATE {table} SET {schema.SUM} = NULL WHERE {schema.SUM} IS {total}")
        for act in ("INSERT", "UPDATE"):
            connection.execute(f"DROP TRIGGER sum_{act}_{table}")


def with_checksums(connection: sqlite3.Connection) -> None:
    """Sums the rows that have no sum."""
    for table, total in keep_checksums(connection).items():
        connection.execute(f"UPDATE {table} SET {schema.SUM} = {total} WHERE {schema.SUM} IS NULL")


def crc32(*values: Any) -> int:
    """The sum of a row's other values, text as bytes in UTF-8."""
    return zlib.crc32(repr(values).encode())


def _kept(connection: sqlite3.Connection, table: str) -> str:
    info = connection.execute(f"PRAGMA table_info({table})")
    summed = [name for _, name, *_ in info if name != schema.SUM]
    here = " AND ".join(f"{key} = NEW.{key}" for key in schema.TABLES[table].keys)
    sets = f"BEGIN UPDATE {table} SET {schema.SUM} = {_sum(summed)} WHERE {here}; END"
    # A row that is damaged already stays so, whatever is changed in it.
    for act, columns, condition in (
        ("INSERT", "", f"NEW.{schema.SUM} IS NULL"),
        ("UPDATE", f"OF {', '.join(summed)}", f"OLD.{schema.SUM} IS {_sum(summed, 'OLD.')}"),
    ):
        connection.execute(
            f"CREATE TEMP TRIGGER IF NOT EXISTS sum_{act}_{table} "
            f"AFTER {act} {columns} ON main.{table} WHEN {condition} {sets}"
        )
    return _sum(summed)


def _sum(columns: list[str], row: str = "") -> str:
    """In SQL. Text goes as bytes, since damaged text may not be text any more; no row has bytes."""
    values = (
        f"CASE typeof({row}{each}) WHEN 'text' THEN CAST({row}{each} AS BLOB) "
        f"WHEN 'blob' THEN 'bytes' ELSE {row}{each} END"
        for each in columns
    )
    return f"row_crc32({', '.join(values)})"
