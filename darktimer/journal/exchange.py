"""The whole journal out into files and back in, without loss.

As JSON Lines it is one file: a line that names the version, then a line for each row. As CSV it is
a folder with a file for each table. What is read back and written again is the same, byte for
byte. Rows refer to each other by number; runs and baths are told apart by their key.
"""

import csv
import json
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any, Final, NamedTuple

from darktimer.journal import schema
from darktimer.journal.journal import Journal
from darktimer.journal.merge import Merged, Row, merge
from darktimer.journal.refusal import JournalError
from darktimer.whole_file import whole_text

_HEAD: Final = "darktimer journal"
_VERSION_FILE: Final = "version.txt"
_READ: Final = {"INTEGER": int, "REAL": float, "TEXT": str}
_LONGEST_FIELD: Final = 2**31 - 1


class Column(NamedTuple):
    """A column of a table. Text is never NULL; a number is where it is not known."""

    name: str
    kind: str
    required: bool


def columns_of(journal: Journal) -> dict[str, list[Column]]:
    """The columns of each table, in the order in which they are written."""
    return {
        table: [
            Column(name, kind, bool(required or key))
            for _, name, kind, required, _, key in journal.store.read(f"PRAGMA table_info({table})")
        ]
        for table in schema.TABLES
    }


def export_json_lines(journal: Journal, target: Path) -> None:
    """Writes one file of JSON Lines; raises `OutputError`, and leaves what stood there."""
    with whole_text(target, force=True) as file:
        file.write(json.dumps({_HEAD: schema.VERSION}) + "\n")
        for table, columns in columns_of(journal).items():
            names = [column.name for column in columns]
            for row in _rows(journal, table, names):
                content = {"table": table, **dict(zip(names, row, strict=True))}
                file.write(json.dumps(content, ensure_ascii=False, separators=(",", ":")) + "\n")


def export_csv(journal: Journal, folder: Path) -> None:
    """Writes a CSV file for each table; raises `JournalError` for the folder, `OutputError`."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = (error.strerror or "cannot be made").lower()
        raise JournalError(folder, reason, "name another place") from None
    with whole_text(folder / _VERSION_FILE, force=True) as file:
        file.write(f"{_HEAD} {schema.VERSION}\n")
    for table, columns in columns_of(journal).items():
        names = [column.name for column in columns]
        with whole_text(folder / f"{table}.csv", force=True) as file:
            writer = csv.writer(file)
            writer.writerow(names)
            writer.writerows(_rows(journal, table, names))


def import_json_lines(journal: Journal, source: Path) -> Merged:
    """Reads what `export_json_lines` wrote; all of it, or with a `JournalError` nothing."""
    with _open_text(source) as file:
        lines = enumerate(file, start=1)
        _, head = next(lines, (1, ""))
        _check_version(source, head, json.dumps({_HEAD: schema.VERSION}))
        tables = columns_of(journal)
        return merge(journal, (_from_json(source, number, line, tables) for number, line in lines))


def import_csv(journal: Journal, folder: Path) -> Merged:
    """Reads what `export_csv` wrote; all of it, or with a `JournalError` nothing."""
    with _open_text(folder / _VERSION_FILE) as file:
        _check_version(folder, file.read(), f"{_HEAD} {schema.VERSION}")
    return merge(journal, _from_csv(folder, columns_of(journal)))


def _rows(journal: Journal, table: str, names: Sequence[str]) -> list[tuple[Any, ...]]:
    # The first two columns are a table's key, or begin with it.
    return journal.store.read(f"SELECT {', '.join(names)} FROM {table} ORDER BY 1, 2")


def _from_json(source: Path, number: int, line: str, tables: dict[str, list[Column]]) -> Row:
    place = f"{source}:{number}"
    try:
        content = json.loads(line)
        table = content.pop("table")
        columns = tables[table]
    except (ValueError, KeyError, AttributeError, TypeError):
        mend = "give a file as darktimer journal export writes it"
        raise JournalError(place, "this is no row of a journal", mend) from None
    return Row(place, table, _checked(place, columns, content))


def _from_csv(folder: Path, tables: dict[str, list[Column]]) -> Iterator[Row]:
    before = csv.field_size_limit(_LONGEST_FIELD)
    try:
        for table, columns in tables.items():
            source = folder / f"{table}.csv"
            with _open_text(source) as file:
                reader = csv.DictReader(file, restkey="(beyond the last column)", strict=True)
                for content in _csv_rows(source, reader):
                    place = f"{source}:{reader.line_num}"
                    yield Row(place, table, _checked(place, columns, _typed(columns, content)))
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


def _typed(columns: Iterable[Column], content: dict[str, Any]) -> dict[str, Any]:
    """CSV holds text alone: a number is read as one, and an empty number is not known."""
    typed = dict(content)
    for column in columns:
        text = content.get(column.name)
        if column.kind != "TEXT" and isinstance(text, str):
            typed[column.name] = _number(column, text) if text else None
    return typed


def _number(column: Column, text: str) -> Any:
    try:
        return _READ[column.kind](text)
    except ValueError:
        return text  # refused below, with its place


def _checked(place: str, columns: Sequence[Column], content: dict[str, Any]) -> dict[str, Any]:
    """The row, if it has just the columns it should, each with a value of its kind."""
    names = {column.name for column in columns}
    for name in [*(names - content.keys()), *(content.keys() - names)]:
        found = f"{name!r} is missing" if name in names else f"{name!r} is not known here"
        raise JournalError(place, found, f"a row has {', '.join(c.name for c in columns)}")
    for column in columns:
        value = content[column.name]
        kinds = (int, float) if column.kind == "REAL" else (_READ[column.kind],)
        if value is None and not column.required:
            continue
        if not isinstance(value, kinds) or isinstance(value, bool):
            found = f"{column.name}: {str(value)[:40]!r} stands here"
            raise JournalError(place, found, f"write {_KIND_WORDS[column.kind]}")
    return content


_KIND_WORDS: Final = {"INTEGER": "a whole number", "REAL": "a number", "TEXT": "text"}


def _check_version(source: Path, found: str, wanted: str) -> None:
    if found.strip() != wanted:
        mend = f"give what this darktimer exported: it begins with {wanted}"
        raise JournalError(source, f"this begins with {found.strip()[:40]!r}", mend)


@contextmanager
def _open_text(source: Path) -> Iterator[IO[str]]:
    try:
        with source.open(encoding="utf-8", newline="") as file:
            yield file
    except OSError as error:
        reason = (error.strerror or "cannot be read").lower()
        raise JournalError(source, reason, "name what was exported") from None
    except UnicodeDecodeError:
        raise JournalError(source, "this is not UTF-8 text", "name what was exported") from None
