"""What a row from elsewhere may hold: the columns of its version, each a value of its kind.

The limits follow from a column's name, as units stand in names. They are wide: beyond them lie
values that would break something later, such as a moment that no calendar has.
"""

from collections.abc import Sequence
from typing import Any, Final

from darktimer.journal.refusal import JournalError
from darktimer.journal.schema import Column

_KINDS: Final = {"INTEGER": (int,), "REAL": (int, float), "TEXT": (str,)}
_KIND_WORDS: Final = {"INTEGER": "a whole number", "REAL": "a number", "TEXT": "text"}
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


def checked(place: str, columns: Sequence[Column], content: dict[str, Any]) -> dict[str, Any]:
    """The row, if it has just the columns it should and values within limits.

    Raises `JournalError` with the place.
    """
    names = {column.name for column in columns}
    for name in [*(names - content.keys()), *(content.keys() - names)]:
        found = f"{name!r} is missing" if name in names else f"{name!r} is not known here"
        raise JournalError(place, found, f"a row has {', '.join(c.name for c in columns)}")
    for column in columns:
        value = content[column.name]
        if value is None and not column.required:
            continue
        if not isinstance(value, _KINDS[column.kind]) or isinstance(value, bool):
            found = f"{column.name}: {str(value)[:40]!r} stands here"
            raise JournalError(place, found, f"write {_KIND_WORDS[column.kind]}")
        if not isinstance(value, str):
            _check_limits(place, column.name, value)
    return content


def _check_limits(place: str, name: str, value: float) -> None:
    least, most = next(limits for end, *limits in _LIMITS if name.endswith(end))
    if not least <= value <= most:
        found = f"{name}: {value} is out of range"
        raise JournalError(place, found, f"write a number from {least} to {most}")
