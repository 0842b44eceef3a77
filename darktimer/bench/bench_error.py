"""How the bench says no: an amount, a form or a temperature that nothing can be computed from.

Knows nothing of files; a reader that does gives the refusal its place.
"""

from collections.abc import Iterator
from contextlib import contextmanager

from darktimer.errors import Finding, FindingsError, UnreadableError


class BenchError(UnreadableError):
    """Something on the bench that cannot be: what it is about, what was found, and the remedy."""

    def __init__(self, what: str, found: str, remedy: str) -> None:
        super().__init__(f"{what}: {found}", remedy)


@contextmanager
def blamed_on(*path: str | int) -> Iterator[None]:
    """A refusal inside becomes a `FindingsError` at ``path`` of the plan, which has a line."""
    try:
        yield
    except BenchError as error:
        raise FindingsError([Finding(path, error.found, error.remedy)]) from None
