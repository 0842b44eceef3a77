"""Small wrong changes of a file, one at a time, by the operators of cosmic-ray."""

import re
from collections.abc import Iterator, Sequence
from itertools import count
from typing import NamedTuple

from cosmic_ray.mutating import mutate_code
from cosmic_ray.plugins import get_operator

#: What says nothing about what the program does: lines for the type checker, how a record protects
#: itself, and what `Delete_Not` makes as well.
_PASSED_OVER = re.compile(r"^if .*TYPE_CHECKING:|^@dataclass|\bnot not\b")


class Mutant(NamedTuple):
    """A file with one change: the number of the line, the line before and after, the whole text."""

    file: str
    line: int
    was: str
    becomes: str
    text: str


def mutants(file: str, text: str, operators: Sequence[str]) -> list[Mutant]:
    """Every mutant of a file, in order of its lines; each changed text once."""
    made: dict[str, Mutant] = {}
    for name in operators:
        for changed in _changed(text, name):
            mutant = _mutant(file, text, changed)
            if not _PASSED_OVER.search(mutant.becomes):
                made.setdefault(changed, mutant)
    return sorted(made.values())


def _changed(text: str, name: str) -> Iterator[str]:
    operator = get_operator(f"core/{name}")()
    for occurrence in count():
        changed = mutate_code(text, operator, occurrence)
        if changed is None:
            return
        yield changed


def _mutant(file: str, text: str, changed: str) -> Mutant:
    lines = list(zip(text.splitlines(), changed.splitlines(), strict=False))
    place = next(k for k, (was, becomes) in enumerate(lines) if was != becomes)
    was, becomes = lines[place]
    return Mutant(file, place + 1, was.strip(), becomes.strip(), changed)
