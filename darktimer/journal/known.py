"""What a journal knows: how each stock came out of each developer, in which time, and what is kept.

A stock, a developer, a way of agitation and a temperature make one process. What was said of a
tank holds for each film in it, unless a film has its own; what was said of a run holds for no piece
that was cut. Only runs that were finished count.
"""

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from typing import NamedTuple

from darktimer.journal.developments import look_up
from darktimer.journal.films import Development, RunFilm, RunPiece, developer_of, read
from darktimer.journal.journal import Journal
from darktimer.journal.narrowing import Only
from darktimer.journal.results import WHOLE, Result, RunPart, joined, results_of
from darktimer.plan.baths import bath_key

_Key = tuple[str, str, str, float | None]


class Outcome(NamedTuple):
    """One film or piece, and what came of it. ``times_ms`` are its develops one after another."""

    run: int
    part: RunPart
    film: RunFilm
    times_ms: tuple[int, ...]
    result: Result


class Process(NamedTuple):
    """A stock in a developer, moved in one way, at one temperature; names as first written.

    Several develops are one process. ``celsius`` is None and text empty where it is not known.
    """

    stock: str
    developer: str
    agitation: str
    celsius: float | None

    @property
    def key(self) -> _Key:
        """What is alike in all runs of it."""
        celsius = self.celsius if self.celsius is None else round(self.celsius, 1)
        return self.stock.casefold(), bath_key(self.developer), self.agitation, celsius


class Known(NamedTuple):
    """What came of a process, the latest run last."""

    process: Process
    outcomes: list[Outcome]

    @property
    def runs(self) -> int:
        """In how many runs."""
        return len({each.run for each in self.outcomes})

    @property
    def kept(self) -> Outcome | None:
        """The one marked to be repeated; the latest of several."""
        return next((each for each in reversed(self.outcomes) if each.result.kept), None)

    def by_time(self) -> list[list[Outcome]]:
        """Those of one time and exposure together, the shortest time first."""
        found: dict[tuple[int, tuple[int, ...], str], list[Outcome]] = {}
        for each in self.outcomes:
            key = sum(each.times_ms), each.times_ms, each.film.exposed_at
            found.setdefault(key, []).append(each)
        return [found[key] for key in sorted(found)]


def known(journal: Journal, only: Only = Only()) -> list[Known]:  # noqa: B008 (it is frozen)
    """Everything that is known of what ``only`` asks for, by name; raises `JournalError`."""
    look_up(journal)
    which, names = only.in_sql()
    columns = "number, films, pieces, developments"
    which = f"WHERE state = 'finished' AND {which} ORDER BY number"
    rows = journal.store.rows("runs", columns, which, names)
    results = results_of(journal, rows[0][0], rows[-1][0]) if rows else {}
    found: dict[_Key, Known] = {}
    for run, *texts in rows:
        of_run = results.get(run, {})
        for key, process, film, part, times_ms in _tried(*texts):
            if only.fits(film, process.developer):
                outcome = Outcome(run, part, film, times_ms, _result(of_run, part))
                found.setdefault(key, Known(process, [])).outcomes.append(outcome)
    return sorted(found.values(), key=lambda each: (*each.process.key[:2], -each.runs))


def _result(results: Mapping[RunPart, Result], part: RunPart) -> Result:
    whole = Result() if part.piece else results.get(WHOLE, Result())
    own = results.get(part)
    return joined(whole, own) if own else whole


_Tried = tuple[_Key, Process, RunFilm, RunPart, tuple[int, ...]]


@lru_cache(256)  # of ten thousand runs most say the same
def _tried(films: str, pieces: str, developments: str) -> tuple[_Tried, ...]:
    """Each film or piece of a run, with its process and times."""
    develops, tried = read(Development, developments), list[_Tried]()
    for index, film in enumerate(read(RunFilm, films) or (RunFilm(),) if develops else (), 1):
        for part, done in _parts(index, read(RunPiece, pieces), develops):
            process = _process(film, done)
            times_ms = tuple(each.time_ms for each in done)
            tried.append((process.key, process, film, part, times_ms))
    return tuple(tried)


def _process(film: RunFilm, develops: Sequence[Development]) -> Process:
    agitation = " then ".join(dict.fromkeys(each.agitation for each in develops))
    return Process(film.stock, developer_of(develops), agitation, develops[0].celsius)


def _parts(
    film: int, pieces: Sequence[RunPiece], develops: Sequence[Development]
) -> Iterator[tuple[RunPart, Sequence[Development]]]:
    """Each piece with its own in place of the longest develop; the film where none is cut.

    A develop that was longer than its longest piece was to be, was so for all that were in it.
    """
    if not pieces:
        yield RunPart(film=film), develops
        return
    cut = max(range(len(develops)), key=lambda index: develops[index].time_ms)
    longer_ms = develops[cut].time_ms - max(piece.develop_ms for piece in pieces)
    for number, piece in enumerate(pieces, 1):
        agitation = piece.agitation or develops[cut].agitation
        time_ms = piece.develop_ms + (0 if piece.early else longer_ms)
        own = develops[cut]._replace(time_ms=time_ms, agitation=agitation)
        yield RunPart(piece=number), (*develops[:cut], own, *develops[cut + 1 :])
