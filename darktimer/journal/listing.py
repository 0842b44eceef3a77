"""Many runs at a glance: the latest ones, or those in which given words stand."""

from collections.abc import Sequence
from typing import Any, Final, NamedTuple

from darktimer.journal.journal import Journal
from darktimer.journal.results import Result, results_of
from darktimer.journal.runs import COLUMNS, Run, run_of
from darktimer.journal.search import runs_with

# Faults and keys in the words of the index that holds them alone, so that no cue is looked at.
_COUNTS: Final = """
    (SELECT at_ms FROM events WHERE run = runs.number ORDER BY number DESC LIMIT 1),
    (SELECT count(*) FROM events WHERE run = runs.number AND kind IN ('fault', 'key')
        AND kind = 'fault' AND meaning <> 'back'),
    (SELECT count(*) FROM events WHERE run = runs.number AND kind IN ('fault', 'key')
        AND kind = 'key' AND meaning = 'marked')
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
    return _lines(journal, "ORDER BY number DESC LIMIT ?", (-1 if most is None else most,))


def search(journal: Journal, words: Sequence[str], most: int | None = None) -> list[RunLine]:
    """The latest ``most`` runs, or all, in whose texts, plan or results every word stands.

    Capital and small letters are alike; a word may be cut short at its end.
    """
    found = runs_with(journal.store, words)[:most]
    which = f"WHERE number IN ({', '.join(map(str, found))})"
    return _lines(journal, f"{which} ORDER BY number DESC")


def _lines(journal: Journal, which: str, values: Sequence[Any] = ()) -> list[RunLine]:
    rows = journal.store.rows("runs", f"{COLUMNS}, {_COUNTS}", which, values)
    results = results_of(journal, rows[-1][0], rows[0][0]) if rows else {}
    return [
        RunLine._make((run_of(row[:-3]), *row[-3:], results.get(row[0], Result()))) for row in rows
    ]
