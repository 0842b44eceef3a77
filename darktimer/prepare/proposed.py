"""Whether a proposed plan can be carried out, and the time nearest to its own that can be."""

from collections.abc import Iterator
from pathlib import Path
from typing import Final

from darktimer.cues.reader import load_cue_set
from darktimer.document.reader import parse_document
from darktimer.errors import FileError, KeyPath
from darktimer.journal.propose import Proposal
from darktimer.journal.revise import revise
from darktimer.journal.suggestion import written
from darktimer.plan.reader import read_plan_text
from darktimer.prepare.prepared import prepare_file
from darktimer.units import duration_ms

_BY_MS: Final = 5_000
_MOST_TRIES: Final = 120


def refusal(text: str, target: Path) -> str:
    """Why a plan cannot be carried out; empty where it can."""
    try:
        prepare_file(read_plan_text(text, target), load_cue_set("standard"))
    except FileError as error:
        return error.faults[0].text(target.name)
    return ""


def nearest_time(proposal: Proposal, target: Path) -> str:
    """The nearest develop that can be carried out in place of a proposed one; empty if none can."""
    document = parse_document(proposal.text, target)
    for path, time_ms in _develops(proposal):
        for other_ms in _nearest_first(time_ms):
            time = written(other_ms)
            if not refusal(revise(proposal.text, document, {path: time}), target):
                return f"a develop of {time} is the nearest time that can be carried out"
    return ""


def _develops(proposal: Proposal) -> Iterator[tuple[KeyPath, int]]:
    for suggestion in proposal.suggestions:
        for path, value in suggestion.changes.items():
            if path[-1] == "develop":
                yield path, duration_ms(value)


def _nearest_first(time_ms: int) -> Iterator[int]:
    for steps in range(1, _MOST_TRIES):
        yield time_ms + steps * _BY_MS
        if time_ms > steps * _BY_MS:
            yield time_ms - steps * _BY_MS
