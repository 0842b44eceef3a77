"""The runs in which words stand: in their own texts, in their plan, in their results.

SQLite's own search keeps an index, brought up to date when somebody searches and not while a run
is written down; it holds nothing that is not elsewhere. Where there is no such index, on a full
disk or in a SQLite without it, the texts are gone through.
"""

import sqlite3
from collections.abc import Sequence
from contextlib import suppress
from typing import Final

from darktimer.journal.refusal import JournalError
from darktimer.journal.store import Store

_MODULE: Final = "fts5"
# As bytes, since damaged text may not be text any more.
_RUN, _RESULT, _PLAN = (
    f"folded(CAST({texts} AS BLOB))"
    for texts in (
        "title || ' ' || film || ' ' || baths || ' ' || cue_set || ' ' || plan_source",
        "usable_for || ' ' || notes || ' ' || photographs",
        "text",
    )
)
#: An index, and the table, numbers and texts that go into it. A run's own texts have its number
#: with a part of 0, its results with theirs.
_INDEXED: Final = (
    ("run_words", "runs", "number << 20", _RUN),
    ("run_words", "results", "run << 20 | number", _RESULT),
    ("plan_words", "texts", "number", _PLAN),
)
_IN_INDEX: Final = """(
    number IN (SELECT rowid >> 20 FROM run_words WHERE run_words MATCH ?1)
    OR plan IN (SELECT rowid FROM plan_words WHERE plan_words MATCH ?1)
)"""
_IN_TEXTS: Final = f"""(
    instr({_RUN}, folded(?1))
    OR number IN (SELECT run FROM results WHERE instr({_RESULT}, folded(?1)))
    OR plan IN (SELECT number FROM texts WHERE instr({_PLAN}, folded(?1)))
)"""


def runs_with(store: Store, words: Sequence[str]) -> list[int]:
    """The numbers of the runs in which every word stands, or begins one; the latest first."""
    try:
        store.write(_bring_up_to_date)
        return _found(store, _IN_INDEX, [_begun(word) for word in words])
    except JournalError:
        with suppress(JournalError):
            forget(store)
        return _found(store, _IN_TEXTS, words)


def _begun(word: str) -> str:
    """What the index is asked for words that begin so."""
    plain = word.casefold().replace('"', '""')
    return f'"{plain}" *'


def forget(store: Store) -> None:
    """Deletes the index, which the next search makes anew; raises `JournalError`."""
    store.write(_drop)


def _found(store: Store, condition: str, words: Sequence[str]) -> list[int]:
    every = " AND ".join(condition.replace("?1", f"?{n}") for n in range(1, len(words) + 1))
    rows = store.read(f"SELECT number FROM runs WHERE {every} ORDER BY number DESC", words)
    return [number for (number,) in rows]


def _bring_up_to_date(connection: sqlite3.Connection) -> None:
    for index, table, number, text in _INDEXED:
        # Without its own copy of the texts.
        connection.execute(
            f"CREATE VIRTUAL TABLE IF NOT EXISTS {index} USING {_MODULE}(text, content = '')"
        )
        plans = "AND number IN (SELECT plan FROM runs)" if table == "texts" else ""
        connection.execute(
            f"INSERT INTO {index} (rowid, text) SELECT {number}, {text} FROM {table} "
            f"WHERE {number} NOT IN (SELECT rowid FROM {index}) {plans}"
        )


def _drop(connection: sqlite3.Connection) -> None:
    for index in {each[0] for each in _INDEXED}:
        connection.execute(f"DROP TABLE IF EXISTS {index}")
