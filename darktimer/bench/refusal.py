"""How the bench says no: an amount, a form or a temperature that nothing can be computed from.

Knows nothing of files; a reader that does gives the refusal its place.
"""

from math import inf

from darktimer.errors import UnreadableError


class BenchError(UnreadableError):
    """Something on the bench that cannot be: what it is about, what was found, and the mend."""

    def __init__(self, what: str, found: str, mend: str) -> None:
        super().__init__(f"{what}: {found}", mend)


def above_zero(what: str, value: float, unit: str) -> float:
    """``value`` itself, where it is finite and more than 0; ``unit`` is said in the error.

    Raises `BenchError` for 0, for less, and for what is not a finite number.
    """
    if 0 < value < inf:
        return value
    raise BenchError(what, f"{value:g} {unit}", "give more than 0")
