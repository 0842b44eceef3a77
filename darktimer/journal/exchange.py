"""The whole journal out into files and back in, without loss.

As JSON Lines it is one file: a line that names the version, then a line for each row. As CSV it is
a folder with a file for each table. What is read back and written again is the same, byte for
byte. Rows refer to each other by number; runs and baths are told apart by their key. Damaged rows
stay behind.
"""

import csv
import json
import re
from codecs import BOM_UTF8
from collections.abc import Callable, Collection, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any, Final

from darktimer.journal import schema
from darktimer.journal.journal import Journal
from darktimer.journal.merge import ImportedRow, Merged, merge
from darktimer.journal.refusal import JournalError
from darktimer.units import shown
from darktimer.whole_file import whole_text

_HEAD: Final = "darktimer journal"
_VERSION_FILE: Final = "version.txt"
_NUMBERS: Final = {"INTEGER": int, "REAL": float}
_LONGEST_FIELD: Final = 0x7FFF_FFFF  # what every system takes
#: The first version whose CSV marks text that a spreadsheet would take for a formula.
_MARKED_SINCE: Final = schema.SUMMED_SINCE
_MARK: Final = "'"
_RUN_BY_SPREADSHEETS: Final = tuple("=+-@\t\r\n＝＋－＠")
_AS_EXPORTED: Final = "give what darktimer journal export wrote"

_Rows = Callable[..., Iterator[tuple[Any, ...]]]


def export_json_lines(journal: Journal, target: Path) -> None:
    """Writes one file of JSON Lines; raises `OutputError`, and leaves what stood there."""
    encode = json.JSONEncoder(ensure_ascii=False, separators=(",", ":")).encode

    def write(rows: _Rows) -> None:
        with whole_text(target, force=True) as file:
            file.write(json.dumps({_HEAD: schema.VERSION}) + "\n")
            for table, names, found in _tables(rows):
                for row in found:
                    content = {"table": table, **dict(zip(names, row, strict=True))}
                    file.write(encode(content) + "\n")

    journal.store.snapshot(write)


def export_csv(journal: Journal, folder: Path) -> None:
    """Writes a CSV file for each table; raises `JournalError` for the folder, `OutputError`."""

    def write(rows: _Rows) -> None:
        with whole_text(folder / _VERSION_FILE, force=True) as file:
            file.write(f"{_HEAD} {schema.VERSION}\n")
        for table, names, found in _tables(rows):
            with whole_text(folder / f"{table}.csv", force=True) as file:
                writer = csv.writer(file)
                writer.writerow(names)
                writer.writerows(map(_as_cell, row) for row in found)

    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise _unusable(folder, error, "name another place") from None
    journal.store.snapshot(write)


def import_json_lines(journal: Journal, source: Path) -> Merged:
    """Reads what `export_json_lines` wrote; all of it, or with a `JournalError` nothing."""
    tables = schema.columns(version := _version(source))
    return merge(journal, version, lambda: _from_json(source, tables))


def import_csv(journal: Journal, folder: Path) -> Merged:
    """Reads what `export_csv` wrote; all of it, or with a `JournalError` nothing."""
    version = _version(folder / _VERSION_FILE)
    return merge(journal, version, lambda: _from_csv(folder, version))


def _tables(rows: _Rows) -> Iterator[tuple[str, list[str], Iterator[tuple[Any, ...]]]]:
    """Each table with the names of its columns, and its rows in order."""
    for table, columns in schema.columns(schema.VERSION).items():
        names = [column.name for column in columns]
        order = f"ORDER BY {schema.TABLES[table].ordered()}"
        yield table, names, rows(table, ", ".join(names), order)


def _version(source: Path) -> int:
    """The version that the first line names: this darktimer's, or an earlier one's."""
    head = next(_lines(source), "")
    found = re.fullmatch(rf"\W*{_HEAD.replace(' ', ' +')}\W+(\d{{1,9}})\W*", head)
    if not found or not 1 <= int(found[1]) <= schema.VERSION:
        begins = f"this begins with {shown(head.strip())}, not with {_HEAD} and a known version"
        raise JournalError(source, begins, _AS_EXPORTED)
    return int(found[1])


def _lines(source: Path) -> Iterator[str]:
    """The lines of a file in UTF-8, with their ends, and without a byte-order mark."""
    try:
        with source.open("rb") as file:
            for number, raw in enumerate(file, start=1):
                yield _decoded(f"{source}:{number}", raw.removeprefix(BOM_UTF8))
    except OSError as error:
        raise _unusable(source, error, "name what was exported") from None


def _unusable(path: Path, error: OSError, remedy: str) -> JournalError:
    return JournalError(path, (error.strerror or "it cannot be used").lower(), remedy)


def _decoded(place: str, raw: bytes) -> str:
    try:
        return raw.decode()
    except UnicodeDecodeError:
        raise JournalError(place, "this is not UTF-8 text", "save it as UTF-8") from None


def _from_json(source: Path, tables: Collection[str]) -> Iterator[ImportedRow]:
    for number, line in enumerate(_lines(source), start=1):
        if number > 1:
            yield _row(f"{source}:{number}", line, tables)


def _row(place: str, line: str, tables: Collection[str]) -> ImportedRow:
    with suppress(ValueError, KeyError, AttributeError, TypeError, RecursionError):
        content = json.loads(line)
        table = content.pop("table")
        if table in tables:
            return ImportedRow(place, table, content)
    raise JournalError(place, "this is not a row of a journal", _AS_EXPORTED)


def _from_csv(folder: Path, version: int) -> Iterator[ImportedRow]:
    before = csv.field_size_limit(_LONGEST_FIELD)
    try:
        for table, columns in schema.columns(version).items():
            source, kinds = folder / f"{table}.csv", {each.name: each.kind for each in columns}
            for line, cells in _csv_rows(source):
                row = {
                    name: _value(kinds.get(name, "TEXT"), cell, version >= _MARKED_SINCE)
                    for name, cell in cells.items()
                }
                yield ImportedRow(f"{source}:{line}", table, row)
    finally:
        csv.field_size_limit(before)


def _csv_rows(source: Path) -> Iterator[tuple[int, dict[str, Any]]]:
    reader = csv.DictReader(_lines(source), restkey="(beyond the last column)", strict=True)
    try:
        for content in reader:
            yield reader.line_num, content
    except csv.Error as error:
        place, found = f"{source}:{reader.line_num}", f"this is not CSV: {error}"
        raise JournalError(place, found, "look at quotes and commas") from None


def _as_cell(value: Any) -> Any:
    """Text that a spreadsheet would run is marked as text; so is text that begins with a mark."""
    runs = isinstance(value, str) and value.startswith((_MARK, *_RUN_BY_SPREADSHEETS))
    return f"{_MARK}{value}" if runs else value


def _value(kind: str, cell: Any, marked: bool) -> Any:
    """CSV holds text alone: a number is read as one, and an empty number is not known."""
    if not isinstance(cell, str):
        return cell  # the row is too short, or too long
    if kind == "TEXT":
        return cell.removeprefix(_MARK) if marked else cell
    with suppress(ValueError):  # refused, with its place, by its kind
        return _NUMBERS[kind](cell) if cell else None
    return cell
