"""How this room says no: what the readings cannot bear, and what would help."""

from collections.abc import Iterator, Mapping
from math import inf

from darktimer.errors import UnreadableError


class SensitometryError(UnreadableError):
    """Readings that nothing can be computed from: ``found``, and the remedy in ``remedy``."""


def by_reason(missing: Mapping[str, str]) -> Iterator[tuple[str, list[str]]]:
    """Each reason once, with the names of all that are missing for it."""
    for why in dict.fromkeys(missing.values()):
        yield why, [name for name, its in missing.items() if its == why]


def above_zero(what: str, value: float) -> float:
    """``value`` itself, where it is finite and more than 0; else raises `SensitometryError`."""
    if 0 < value < inf:
        return value
    raise SensitometryError(f"{what} {value:g} is not above zero", "give more than 0")
