"""Many runs at a glance: the latest ones, or those in which given words stand.

Words are looked for in a run's own texts, in its plan and in its results. SQLite's own search keeps
an index, brought up to date when somebody searches and not while a run is written down; it holds
nothing that is not elsewhere. Where there is no such index, on a full disk or in a SQLite without
it, the texts are gone through.
"""

import json
import sqlite3
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from functools import lru_cache
from itertools import islice
from typing import Final, NamedTuple

from darktimer.journal.developments import look_up
from darktimer.journal.films import Development, RunFilm, developer_of, films_of, read
from darktimer.journal.journal import Journal
from darktimer.journal.narrowing import Only
from darktimer.journal.refusal import JournalError
from darktimer.journal.results import WHOLE, Result, RunPart, results_of
from darktimer.journal.runs import RunState
from darktimer.journal.store import Row, Store
from darktimer.plan.baths import bath_key, is_water

# Only what a line shows is read of each run. Faults and keys are counted in the words of the index
# that holds them alone, so that no cue is looked at.
_COLUMNS: Final = """
    number, started_utc_ms, title, film, planned_ms, state, entered_utc_ms,
    (SELECT at_ms FROM events WHERE run = runs.number ORDER BY number DESC LIMIT 1),
    (SELECT count(*) FROM events WHERE run = runs.number AND kind IN ('fault', 'key')
        AND kind = 'fault' AND meaning <> 'back'),
    (SELECT count(*) FROM events WHERE run = runs.number AND kind IN ('fault', 'key')
        AND kind = 'key' AND meaning = 'marked'),
    film_area_m2, baths, films, developments
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

    ``film`` is all of its film in words. ``entered_utc_ms`` is None where nobody entered it
    afterwards. ``baths`` holds each bath once; ``results`` those of the run and of its parts.
    """

    number: int
    began_utc_ms: int
    title: str
    film: str
    planned_ms: int
    state: RunState
    entered_utc_ms: int | None
    real_ms: int | None
    faults: int
    marks: int
    films: tuple[RunFilm, ...]
    baths: tuple[str, ...]
    results: Mapping[RunPart, Result]

    @property
    def result(self) -> Result:
        """That of the whole run."""
        return self.results.get(WHOLE) or Result()


def latest(journal: Journal, most: int | None = None) -> list[RunLine]:
    """The latest ``most`` runs, or all, the latest first."""
    return search(journal, (), most)


def search(
    journal: Journal, words: Sequence[str], most: int | None = None, only: Only = _ANY
) -> list[RunLine]:
    """The latest ``most`` runs, or all, in whose texts, plan or results every word stands.

    Capital and small letters are alike; a word may be cut short at its end. ``only`` narrows them.
    """
    if any(only):
        look_up(journal)
    if not words:
        return _lines(journal, "1", (), most, only)
    try:
        journal.store.write(_bring_up_to_date)
        return _lines(journal, _IN_INDEX, [_begun(word) for word in words], most, only)
    except JournalError:
        with suppress(JournalError):
            forget(journal.store)
        return _lines(journal, _IN_TEXTS, words, most, only)


def _lines(
    journal: Journal, has_word: str, words: Sequence[str], most: int | None, only: Only
) -> list[RunLine]:
    each = [has_word.replace("?1", f"?{n}") for n in range(1, len(words) + 1)]
    which, names = only.in_sql()
    condition = f"WHERE {' AND '.join([*each, which])} ORDER BY number DESC"

    def chosen(rows: Callable[..., Iterator[Row]]) -> list[Row]:
        found = rows("runs", _COLUMNS, condition, (*words, *names))
        if any(only):
            found = (row for row in found if _fits(only, *row[-2:]))
        return list(islice(found, most))

    rows = journal.store.snapshot(chosen)
    results = results_of(journal, rows[-1][0], rows[0][0]) if rows else {}
    return [_line(row, results.get(row[0], {})) for row in rows]


@lru_cache(256)  # of ten thousand runs most say the same
def _fits(only: Only, films: str, developments: str) -> bool:
    developer = developer_of(read(Development, developments))
    return any(only.fits(film, developer) for film in read(RunFilm, films) or (RunFilm(),))


def _line(row: Row, results: Mapping[RunPart, Result]) -> RunLine:
    *shown, area_m2, baths, films, _ = row
    named = films_of(films, row[3], area_m2), bath_names(baths)
    return RunLine._make((*shown, *named, results))


@lru_cache(256)  # of ten thousand runs most say the same
def bath_names(baths: str) -> tuple[str, ...]:
    """Each bath of a run once, in the order of its first use, but for plain water.

    Of a JSON list that names the bath of each step.
    """
    first: dict[str, str] = {}
    for name in json.loads(baths):
        if name and not is_water(name):
            first.setdefault(bath_key(name), name)
    return tuple(first.values())


def forget(store: Store) -> None:
    """Deletes the index, which the next search makes anew; raises `JournalError`."""
    store.write(lambda connection: connection.execute("DROP TABLE IF EXISTS words"))


def _begun(word: str) -> str:
    """What the index is asked for words that begin so."""
    plain = word.casefold().replace('"', '""')
    return f'"{plain}" *'


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
