"""The whole journal out into files and back in, without loss.

As JSON Lines it is one file: a line that names the version, then a line for each row. As CSV it is
a folder with a file for each table. What is read back and written again is the same, byte for
byte. Rows refer to each other by number; runs and baths are told apart by their key. Damaged rows
stay behind.
"""

import csv
import json
from codecs import BOM_UTF8
from collections.abc import Iterable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any, Final, NoReturn

from darktimer.journal import schema
from darktimer.journal.journal import Journal
from darktimer.journal.limits import checked
from darktimer.journal.merge import Merged, Row, merge
from darktimer.journal.refusal import JournalError
from darktimer.journal.schema import Column
from darktimer.whole_file import whole_text

_HEAD: Final = "darktimer journal"
_VERSION_FILE: Final = "version.txt"
_READ: Final = {"INTEGER": int, "REAL": float}
_LONGEST_FIELD: Final = 2**31 - 1
#: The first version whose CSV marks text that a spreadsheet would take for a formula.
_MARKED_SINCE: Final = schema.SUMMED_SINCE
_MARK: Final = "'"
_RUN_BY_SPREADSHEETS: Final = tuple("=+-@\t\r\n＝＋－＠")


def export_json_lines(journal: Journal, target: Path) -> None:
    """Writes one file of JSON Lines; raises `OutputError`, and leaves what stood there."""
    encode = json.JSONEncoder(ensure_ascii=False, separators=(",", ":")).encode
    with whole_text(target, force=True) as file, journal.store.snapshot() as rows:
        file.write(json.dumps({_HEAD: schema.VERSION}) + "\n")
        for table, columns in schema.columns(schema.VERSION).items():
            names = [column.name for column in columns]
            for row in rows(table, ", ".join(names), _ordered(table)):
                content = {"table": table, **dict(zip(names, row, strict=True))}
                file.write(encode(content) + "\n")


def export_csv(journal: Journal, folder: Path) -> None:
    """Writes a CSV file for each table; raises `JournalError` for the folder, `OutputError`."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = (error.strerror or "cannot be made").lower()
        raise JournalError(folder, reason, "name another place") from None
    with whole_text(folder / _VERSION_FILE, force=True) as file:
        file.write(f"{_HEAD} {schema.VERSION}\n")
    with journal.store.snapshot() as rows:
        for table, columns in schema.columns(schema.VERSION).items():
            names = [column.name for column in columns]
            with whole_text(folder / f"{table}.csv", force=True) as file:
                writer = csv.writer(file)
                writer.writerow(names)
                for row in rows(table, ", ".join(names), _ordered(table)):
                    writer.writerow(map(_as_cell, row))


def import_json_lines(journal: Journal, source: Path) -> Merged:
    """Reads what `export_json_lines` wrote; all of it, or with a `JournalError` nothing."""
    lines = enumerate(_lines(source), start=1)
    _, head = next(lines, (1, ""))
    version = None
    with suppress(ValueError, RecursionError, KeyError, TypeError):
        version = json.loads(head)[_HEAD]
    tables = schema.columns(_known(source, version, head, json.dumps({_HEAD: schema.VERSION})))
    return merge(journal, (_from_json(f"{source}:{n}", line, tables) for n, line in lines))


def import_csv(journal: Journal, folder: Path) -> Merged:
    """Reads what `export_csv` wrote; all of it, or with a `JournalError` nothing."""
    head = "".join(_lines(folder / _VERSION_FILE))
    *words, number = head.split() or [""]
    version = int(number) if " ".join(words) == _HEAD and number.isdecimal() else None
    return merge(journal, _from_csv(folder, _known(folder, version, head, _HEAD)))


def _ordered(table: str) -> str:
    return f"ORDER BY {schema.TABLES[table].ordered()}"


def _known(source: Path, version: object, head: str, wanted: str) -> int:
    """The version, if it is this darktimer's or an earlier one's."""
    if isinstance(version, int) and 1 <= version <= schema.VERSION:
        return version
    mend = f"give what this darktimer, or an earlier one, exported: it begins with {wanted}"
    raise JournalError(source, f"this begins with {head.strip()[:40]!r}", mend)


def _lines(source: Path) -> Iterator[str]:
    """The lines of a file in UTF-8, with their ends, and without a byte-order mark."""
    try:
        with source.open("rb") as file:
            for number, raw in enumerate(file, start=1):
                yield _decoded(f"{source}:{number}", raw.removeprefix(BOM_UTF8))
    except OSError as error:
        reason = (error.strerror or "cannot be read").lower()
        raise JournalError(source, reason, "name what was exported") from None


def _decoded(place: str, raw: bytes) -> str:
    try:
        return raw.decode()
    except UnicodeDecodeError:
        raise JournalError(place, "this is not UTF-8 text", "save it as UTF-8") from None


def _from_json(place: str, line: str, tables: dict[str, list[Column]]) -> Row:
    try:
        content = json.loads(line, parse_constant=_no_number)
        table = content.pop("table")
        columns = tables[table]
    except (ValueError, KeyError, AttributeError, TypeError, RecursionError):
        mend = "give a file as darktimer journal export writes it"
        raise JournalError(place, "this is no row of a journal", mend) from None
    return Row(place, table, checked(place, columns, content))


def _no_number(word: str) -> NoReturn:
    raise ValueError(f"{word} is no number")


def _from_csv(folder: Path, version: int) -> Iterator[Row]:
    before = csv.field_size_limit(_LONGEST_FIELD)
    try:
        for table, columns in schema.columns(version).items():
            source = folder / f"{table}.csv"
            reader = csv.DictReader(_lines(source), restkey="(beyond the last column)", strict=True)
            for content in _csv_rows(source, reader):
                place = f"{source}:{reader.line_num}"
                typed = _typed(columns, content, marked=version >= _MARKED_SINCE)
                yield Row(place, table, checked(place, columns, typed))
    finally:
        csv.field_size_limit(before)


def _csv_rows(source: Path, reader: "csv.DictReader[str]") -> Iterator[dict[str, Any]]:
    try:
        yield from reader
    except csv.Error as error:
        place = f"{source}:{reader.line_num}"
        raise JournalError(
            place, f"this is not CSV: {error}", "look at quotes and commas"
        ) from None


def _as_cell(value: Any) -> Any:
    """Text that a spreadsheet would run is marked as text; so is text that begins with a mark."""
    runs = isinstance(value, str) and value.startswith((_MARK, *_RUN_BY_SPREADSHEETS))
    return f"{_MARK}{value}" if runs else value


def _typed(columns: Iterable[Column], content: dict[str, Any], *, marked: bool) -> dict[str, Any]:
    """CSV holds text alone: a number is read as one, and an empty number is not known."""
    typed = dict(content)
    for column in columns:
        text = content.get(column.name)
        if column.kind == "TEXT" and marked and isinstance(text, str):
            typed[column.name] = text.removeprefix(_MARK)
        elif column.kind != "TEXT" and isinstance(text, str):
            typed[column.name] = _number(column, text) if text else None
    return typed


def _number(column: Column, text: str) -> Any:
    try:
        return _READ[column.kind](text)
    except ValueError:
        return text  # refused, with its place, by its kind
