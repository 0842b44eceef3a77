"""Many runs at a glance: the latest ones, or those in which given words stand."""

from collections.abc import Sequence
from typing import Final, NamedTuple

from darktimer.journal.journal import Journal
from darktimer.journal.results import Result, results_of
from darktimer.journal.runs import Run
from darktimer.journal.words import runs_with

_REAL: Final = """
    SELECT number,
        (SELECT at_ms FROM events WHERE run = runs.number ORDER BY number DESC LIMIT 1)
    FROM runs WHERE number BETWEEN ? AND ?
"""
# In the words of the index that holds only faults and keys, so that no cue is looked at.
_COUNTS: Final = """
    SELECT run,
        sum(kind = 'fault' AND meaning <> 'back'), sum(kind = 'key' AND meaning = 'marked')
    FROM events WHERE kind IN ('fault', 'key') AND run BETWEEN ? AND ? GROUP BY run
"""


class RunLine(NamedTuple):
    """A run in one line. ``real_ms`` is the moment of its last event, None where it has none."""

    run: Run
    real_ms: int | None
    faults: int
    marks: int
    result: Result


def latest(journal: Journal, most: int | None = None) -> list[RunLine]:
    """The latest ``most`` runs, or all, the latest first."""
    limit = -1 if most is None else most
    return _lines(journal, journal.runs("ORDER BY number DESC LIMIT ?", (limit,)))


def search(journal: Journal, words: Sequence[str], most: int | None = None) -> list[RunLine]:
    """The latest ``most`` runs, or all, in whose texts, plan or results every word stands.

    Capital and small letters are alike; a word may be cut short at its end.
    """
    found = runs_with(journal.store, words)[:most]
    among = f"WHERE number IN ({', '.join(map(str, found))}) ORDER BY number DESC"
    return _lines(journal, journal.runs(among))


def _lines(journal: Journal, runs: list[Run]) -> list[RunLine]:
    if not runs:
        return []
    first, last = runs[-1].number, runs[0].number
    real_ms: dict[int, int | None] = dict(journal.store.read(_REAL, (first, last)))
    faults_and_marks = {row[0]: row[1:] for row in journal.store.read(_COUNTS, (first, last))}
    results = results_of(journal, first, last)
    lines = []
    for run in runs:
        faults, marks = faults_and_marks.get(run.number, (0, 0))
        result = results.get(run.number, Result())
        lines.append(RunLine(run, real_ms[run.number], faults, marks, result))
    return lines
