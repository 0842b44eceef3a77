"""What the journal knows of stocks in developers, as a table, in a sentence and for scripts."""

from collections.abc import Iterator, Sequence
from typing import Any, Final

from darktimer.journal.known import Known, Outcome
from darktimer.terminal.table import print_table
from darktimer.terminal.text import print_json_rows, say
from darktimer.units import clock, counted, degrees

#: So many times of one process are told one by one.
_MOST_TIMES: Final = 12
_NONE: Final = (
    "No finished run is known; a plan names its film with stock: in its block film, and its "
    "developer with bath: in its develop."
)


def print_known(found: Sequence[Known], as_json: bool, asked: str = "") -> None:
    """Each process with its runs and what came of each time; ``asked`` is what was looked for."""
    if as_json:
        print_json_rows(map(_known_json, found))
    elif not found:
        say(f"No finished run matches: {asked}." if asked else _NONE)
    else:
        columns = [
            ("Stock, developer, way", "left"),
            ("Runs", "right"),
            ("Time and result", "left"),
        ]
        print_table(columns, map(_row, found))


def sentence(found: Sequence[Known]) -> str:
    """All processes of one stock in one developer: how many runs, and the one to repeat.

    Such as ``meadow in nettle: 3 runs; kept: 11:00 at 20.0 °C, half agitation, density right (run
    12)``; the latest run where none is kept.
    """
    runs = len({each.run for known in found for each in known.outcomes})
    kept = [(each, known) for known in found if (each := known.kept)]
    latest = [(known.outcomes[-1], known) for known in found]
    best, known = max(kept or latest, key=lambda each: each[0].run)
    process, which = known.process, "kept" if kept else "the latest"
    at = f" at {degrees(process.celsius)}" if process.celsius is not None else ""
    exposed = best.film.exposed_at and f"exposed at {best.film.exposed_at}"
    words = (f"{_times(best)}{at}", process.agitation, exposed, _result(best))
    named = f"{process.stock} in {process.developer}: {counted(runs, 'run')}"
    return f"{named}; {which}: {', '.join(filter(None, words))} ({_of(best)})"


def _row(known: Known) -> list[str]:
    process = known.process
    celsius = degrees(process.celsius) if process.celsius is not None else ""
    way = ", ".join(filter(None, (process.agitation, celsius)))
    named = [process.stock or "(no stock named)", process.developer, way]
    return ["\n".join(named), str(known.runs), "\n".join(_lines(known))]


def _lines(known: Known) -> Iterator[str]:
    if kept := known.kept:
        yield f"kept: {_time(kept)}, {_of(kept)}"
    alike = known.by_time()
    for outcomes in alike[:_MOST_TIMES]:
        runs = len({each.run for each in outcomes})
        last = next((each for each in reversed(outcomes) if _figures(each)), outcomes[-1])
        which = f"{counted(runs, 'run')}, {_of(last)}" if runs > 1 else _of(last)
        yield f"{_time(last)}, {which}: {_result(last)}"
    if more := len(alike[_MOST_TIMES:]):
        yield f"and {more} times more"


def _time(outcome: Outcome) -> str:
    exposed = f" exposed at {outcome.film.exposed_at}" if outcome.film.exposed_at else ""
    return f"{_times(outcome)}{exposed}"


def _times(outcome: Outcome) -> str:
    return " + ".join(map(clock, outcome.times_ms))


def _of(outcome: Outcome) -> str:
    piece = f", piece {outcome.part.piece}" if outcome.part.piece else ""
    return f"run {outcome.run}{piece}"


def _result(outcome: Outcome) -> str:
    return ", ".join(_figures(outcome)) or "no figures yet"


def _figures(outcome: Outcome) -> list[str]:
    return outcome.result._replace(kept=None).words()


def _known_json(known: Known) -> dict[str, Any]:
    return {
        **known.process._asdict(),
        "runs": known.runs,
        "kept": known.kept and _outcome_json([known.kept]),
        "times": [_outcome_json(outcomes) for outcomes in known.by_time()],
    }


def _outcome_json(outcomes: Sequence[Outcome]) -> dict[str, Any]:
    """Those of one time, by the latest of them."""
    last = outcomes[-1]
    return {
        "times_ms": last.times_ms,
        "exposed_at": last.film.exposed_at,
        "runs": sorted({each.run for each in outcomes}),
        "piece": last.part.piece,
        "result": last.result.as_json(),
    }
