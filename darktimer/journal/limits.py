"""What a row from elsewhere may hold: the columns of its version, each a value of its kind.

The limits follow from a column's name, as units stand in names. They are wide: beyond them lie
values that would break something later, such as a moment that no calendar has.
"""

from collections.abc import Sequence
from typing import Any, Final

from darktimer.journal.schema import Column
from darktimer.units import shown

_KINDS: Final = {
    "INTEGER": ((int,), "a whole number"),
    "REAL": ((int, float), "a number"),
    "TEXT": ((str,), "text"),
}
_CALENDAR_END_MS: Final = 253_402_128_000_000  # two days before the year 10,000, in every time zone
_YEARS_MS: Final = 1_000_000_000_000  # thirty of them
#: The end of a column's name, and the least and greatest value; the first that fits holds.
_LIMITS: Final = (
    ("_utc_ms", 0, _CALENDAR_END_MS),
    ("_ms", -_YEARS_MS, _YEARS_MS),
    ("_m2", 0, 1_000_000),
    ("_ml", 0, 1_000_000_000),
    ("celsius", -273.15, 1_000),
    ("number", 1, 1_000_000_000),
    ("", -1_000_000_000, 1_000_000_000),
)


def check_columns(columns: Sequence[Column], row: dict[str, Any]) -> None:
    """Raises `ValueError` unless the row has just these columns, with values within limits."""
    names = [column.name for column in columns]
    for name in [*(each for each in names if each not in row), *(row.keys() - set(names))]:
        found = "is missing" if name in names else "is not known here"
        raise ValueError(f"{name!r} {found}: a row has {', '.join(names)}")
    for column in columns:
        if column.required or row[column.name] is not None:
            _check(column, row[column.name])


def _check(column: Column, value: Any) -> None:
    kinds, wanted = _KINDS[column.kind]
    if not isinstance(value, kinds) or isinstance(value, bool):
        raise ValueError(f"{column.name} is {shown(str(value))}, and should be {wanted}")
    if not isinstance(value, str):
        least, most = next(limits for end, *limits in _LIMITS if column.name.endswith(end))
        if not least <= value <= most:
            raise ValueError(f"{column.name} is {value}, and should be from {least} to {most}")
