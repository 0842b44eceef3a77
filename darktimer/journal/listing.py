"""Many runs at a glance: the latest ones, or those in which given words stand.

Words are looked for in a run's own texts, in its plan and in its results. SQLite's own search keeps
an index, brought up to date when somebody searches and not while a run is written down; it holds
nothing that is not elsewhere. Where there is no such index, on a full disk or in a SQLite without
it, the texts are gone through.
"""

import sqlite3
from collections.abc import Mapping, Sequence
from contextlib import suppress
from typing import Any, Final, NamedTuple

from darktimer.journal.journal import Journal
from darktimer.journal.narrowing import Only, narrowed
from darktimer.journal.refusal import JournalError
from darktimer.journal.results import WHOLE, Result, RunPart, results_of
from darktimer.journal.runs import COLUMNS, Run, run_of
from darktimer.journal.store import Store

# Faults and keys in the words of the index that holds them alone, so that no cue is looked at.
_COUNTS: Final = """
    (SELECT at_ms FROM events WHERE run = runs.number ORDER BY number DESC LIMIT 1),
    (SELECT count(*) FROM events WHERE run = runs.number AND kind IN ('fault', 'key')
        AND kind = 'fault' AND meaning <> 'back'),
    (SELECT count(*) FROM events WHERE run = runs.number AND kind IN ('fault', 'key')
        AND kind = 'key' AND meaning = 'marked')
"""
_MODULE: Final = "fts5"
_ANY: Final = Only()
# As bytes, since damaged text may not be text any more.
_RUN: Final = """folded(CAST(title || ' ' || film || ' ' || baths || ' ' || cue_set || ' ' ||
    plan_source || ' ' || coalesce((SELECT text FROM texts WHERE texts.number = plan), '')
    AS BLOB))"""
_RESULT: Final = "folded(CAST(usable_for || ' ' || notes || ' ' || photographs AS BLOB))"
#: A table, the number of each row in the index, and its text. A run has its own number, shifted,
#: with a part of 0; its results have theirs.
_INDEXED: Final = (("runs", "number << 20", _RUN), ("results", "run << 20 | number", _RESULT))
_IN_INDEX: Final = "number IN (SELECT rowid >> 20 FROM words WHERE words MATCH ?1)"
_IN_TEXTS: Final = f"""(
    instr({_RUN}, folded(CAST(?1 AS BLOB)))
    OR number IN (SELECT run FROM results WHERE instr({_RESULT}, folded(CAST(?1 AS BLOB))))
)"""


class RunLine(NamedTuple):
    """A run in one line. ``real_ms`` is the moment of its last event, None where it has none.

    ``results`` are those of the run and of its parts, where there are any.
    """

    run: Run
    real_ms: int | None
    faults: int
    marks: int
    results: Mapping[RunPart, Result]

    @property
    def result(self) -> Result:
        """That of the whole run."""
        return self.results.get(WHOLE, Result())


def latest(journal: Journal, most: int | None = None) -> list[RunLine]:
    """The latest ``most`` runs, or all, the latest first."""
    return _lines(journal, "ORDER BY number DESC LIMIT ?", (-1 if most is None else most,))


def search(
    journal: Journal, words: Sequence[str], most: int | None = None, only: Only = _ANY
) -> list[RunLine]:
    """The latest ``most`` runs, or all, in whose texts, plan or results every word stands.

    Capital and small letters are alike; a word may be cut short at its end. ``only`` narrows them.
    """
    if only == _ANY:
        found = _runs_with(journal.store, words)
    else:
        found = list(narrowed(journal, only))
        if words:
            with_words = set(_runs_with(journal.store, words))
            found = [number for number in found if number in with_words]
    found = found[:most]
    which = f"WHERE number IN ({', '.join(map(str, found))})"
    return _lines(journal, f"{which} ORDER BY number DESC")


def _lines(journal: Journal, which: str, values: Sequence[Any] = ()) -> list[RunLine]:
    rows = journal.store.rows("runs", f"{COLUMNS}, {_COUNTS}", which, values)
    results = results_of(journal, rows[-1][0], rows[0][0]) if rows else {}
    return [RunLine._make((run_of(row[:-3]), *row[-3:], results.get(row[0], {}))) for row in rows]


def _runs_with(store: Store, words: Sequence[str]) -> list[int]:
    """The numbers of the runs in which every word stands, or begins one; the latest first."""
    try:
        store.write(_bring_up_to_date)
        return _found(store, _IN_INDEX, [_begun(word) for word in words])
    except JournalError:
        with suppress(JournalError):
            forget(store)
        return _found(store, _IN_TEXTS, words)


def forget(store: Store) -> None:
    """Deletes the index, which the next search makes anew; raises `JournalError`."""
    store.write(lambda connection: connection.execute("DROP TABLE IF EXISTS words"))


def _begun(word: str) -> str:
    """What the index is asked for words that begin so."""
    plain = word.casefold().replace('"', '""')
    return f'"{plain}" *'


def _found(store: Store, condition: str, words: Sequence[str]) -> list[int]:
    every = " AND ".join(condition.replace("?1", f"?{n}") for n in range(1, len(words) + 1))
    rows = store.read(f"SELECT number FROM runs WHERE {every} ORDER BY number DESC", words)
    return [number for (number,) in rows]


def _bring_up_to_date(connection: sqlite3.Connection) -> None:
    # Without its own copy of the texts.
    connection.execute(
        f"CREATE VIRTUAL TABLE IF NOT EXISTS words USING {_MODULE}(text, content = '')"
    )
    for table, number, text in _INDEXED:
        connection.execute(
            f"INSERT INTO words (rowid, text) SELECT {number}, {text} FROM {table} "
            f"WHERE {number} NOT IN (SELECT rowid FROM words)"
        )
