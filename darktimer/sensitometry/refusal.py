"""How this room says no: what the readings cannot bear, and what would help."""

from math import inf

from darktimer.errors import UnreadableError


class SensitometryError(UnreadableError):
    """Readings that nothing can be computed from: ``found``, and the remedy in ``remedy``."""


def above_zero(what: str, value: float) -> float:
    """``value`` itself, where it is finite and more than 0; else raises `SensitometryError`."""
    if 0 < value < inf:
        return value
    raise SensitometryError(f"{what} {value:g} is not above zero", "give more than 0")
