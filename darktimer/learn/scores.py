"""The scores of drills that were done, one JSON object a line, in the user's data folder."""

import json
import os
from collections.abc import Iterable
from dataclasses import astuple
from pathlib import Path
from typing import Any, BinaryIO, Final, NamedTuple

from darktimer.errors import OutputError
from darktimer.journal.clocks import read_clocks, utc_ms, utc_text
from darktimer.journal.folder import home
from darktimer.learn.drill import Drill, Standing

_FILE: Final = "drills.jsonl"
#: No calendar reaches much further.
_LATEST_MS: Final = utc_ms("3000-01-01T00:00:00.000Z")


class Done(NamedTuple):
    """A drill that was done: when, of which set and lesson, and how each word went."""

    at: str
    cue_set: str
    lesson: str
    ready: bool
    scores: dict[str, Standing]


def done(drill: Drill, cue_set: str, lesson: str) -> Done:
    """What is kept of a drill, at this moment."""
    at = utc_text(read_clocks().wall_utc_ms)
    return Done(at, cue_set, lesson, drill.ready, drill.scores)


def keep(one: Done) -> Path:
    """Adds a drill to the file, and returns its path; raises `OutputError`."""
    path = home() / _FILE
    words = {word: [s.asked, s.right] for word, s in one.scores.items() if s.asked}
    line = json.dumps({**one._asdict(), "scores": words}, ensure_ascii=False)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("ab+") as file:
            file.write(_end_of_torn(file) + line.encode() + b"\n")
    except OSError as error:
        raise _unusable(path, error) from None
    return path


def kept() -> list[Done]:
    """Every drill in the file, the first first; a line that was torn is passed over."""
    path = home() / _FILE
    try:
        lines = path.read_text(encoding="utf-8", errors="replace").split("\n")
    except FileNotFoundError:
        return []
    except OSError as error:
        raise _unusable(path, error) from None
    return [read for line in lines if (read := _read(line))]


def totals(drills: Iterable[Done]) -> dict[str, Standing]:
    """The score of each word over several drills."""
    summed: dict[str, Standing] = {}
    for drill in drills:
        for word, score in drill.scores.items():
            total = summed.setdefault(word, Standing())
            total.asked += score.asked
            total.right += score.right
    return summed


def _end_of_torn(file: BinaryIO) -> bytes:
    """What ends a last line that a kill or a full disk has cut short."""
    if not file.seek(0, os.SEEK_END):
        return b""
    file.seek(-1, os.SEEK_END)
    return b"" if file.read(1) == b"\n" else b"\n"


def _read(line: str) -> Done | None:
    try:
        found: dict[str, Any] = json.loads(line)
        if found.pop("over", "tap") != "tap":
            return None  # of two drills, as they once were, the first
        scores = {word: Standing(*counts[:2]) for word, counts in found["scores"].items()}
        one = Done(**{**found, "scores": scores})
        known = 0 <= utc_ms(one.at) < _LATEST_MS
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError, OverflowError):
        return None
    return one if known and _is_of_its_kinds(one) else None


def _is_of_its_kinds(one: Done) -> bool:
    """Whether what may be damaged by hand or disk is still words, counts and a yes or no."""
    counts = [count for score in one.scores.values() for count in astuple(score)]
    return (
        isinstance(one.ready, bool)
        and all(isinstance(word, str) for word in (one.cue_set, one.lesson))
        and all(type(count) is int and count >= 0 for count in counts)
    )


def _unusable(path: Path, error: OSError) -> OutputError:
    reason = (error.strerror or "it cannot be used").lower()
    return OutputError(str(path), reason, "set DARKTIMER_HOME to a folder of your own")
