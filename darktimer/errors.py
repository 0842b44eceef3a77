"""Every error the program raises on purpose. Each composes its own text.

An error names the place, what was found, and the remedy. None of them carries a traceback to the
user: the command line prints ``str(error)`` and exits with status 1.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

#: Where something stands in a file: keys, and indices into lists that count from 0.
KeyPath = tuple[str | int, ...]


def nearest(found: str, known: Iterable[str], cutoff: float = 0.6) -> str:
    """The one of those ``known`` that goes on from ``found``, else the most like it, or empty."""
    from difflib import get_close_matches

    words = list(known)
    longer = (word for word in words if found and word.startswith(f"{found} "))
    return next(longer, "") or next(iter(get_close_matches(found, words, n=1, cutoff=cutoff)), "")


def did_you_mean(found: str, known: Iterable[str], cutoff: float = 0.6) -> str:
    """``did you mean 'fix'? ``, empty where none of those ``known`` is near."""
    near = nearest(found, known, cutoff)
    return f"did you mean {near!r}? " if near else ""


class DarktimerError(Exception):
    """Anything that is wrong with what the user gave, or with where it should go."""


class UnreadableError(DarktimerError, ValueError):
    """A value that cannot be taken: what was found, and what may be written instead.

    It is a `ValueError` too, so that validation gathers it with the other faults of a file.
    """

    def __init__(self, found: str, remedy: str) -> None:
        super().__init__(f"{found}; {remedy}")
        self.found = found
        self.remedy = remedy


@dataclass(frozen=True, slots=True)
class Fault:
    """A fault, or a warning, at one place of a file.

    ``line`` and ``column`` count from 1. ``key`` is the path to the place, such as
    ``steps[2].fix.clearing``, empty for the whole file.
    """

    line: int
    column: int
    key: str
    found: str
    remedy: str

    def text(self, source: str) -> str:
        """The fault as one line: place, key, what was found, the remedy."""
        key = f"{self.key}: " if self.key else ""
        return f"{source}:{self.line}:{self.column}: {key}{self.found}; {self.remedy}"


class FileError(DarktimerError):
    """Every fault of one file, in the order of its lines."""

    def __init__(self, source: str, faults: Sequence[Fault]) -> None:
        self.source = source
        self.faults = tuple(sorted(faults, key=lambda fault: (fault.line, fault.column)))
        super().__init__("\n".join(fault.text(source) for fault in self.faults))


class NotFoundError(DarktimerError):
    """A plan, recipe or cue set that is neither a file nor a shipped name."""

    def __init__(self, kind: str, name: str, shipped: Sequence[str]) -> None:
        own = "; write one of your own with darktimer new" if kind == "plan" else ""
        there_are = f"{did_you_mean(name, shipped)}those that come with it: {', '.join(shipped)}"
        super().__init__(
            f"no {kind} {name!r}: there is no such file here, and none of that name comes with "
            f"the program; {there_are}{own}"
        )


class OutputError(DarktimerError):
    """A file that could not be written; whatever stood there before still stands."""

    def __init__(self, target: str, reason: str, remedy: str) -> None:
        super().__init__(f"{target}: {reason}; {remedy}")
        self.reason = reason
        self.remedy = remedy


class Finding(NamedTuple):
    """A fault of a plan, or a warning, at a path of keys and indices into its file."""

    path: KeyPath
    found: str
    remedy: str


class FindingsError(DarktimerError):
    """What is wrong with a plan that reads well but cannot be carried out."""

    def __init__(self, findings: Sequence[Finding]) -> None:
        self.findings = tuple(findings)
        super().__init__("\n".join(f"{each.found}; {each.remedy}" for each in findings))
