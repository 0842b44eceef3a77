"""Runs of the journal laid out in a table, for people and for scripts."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from darktimer.journal.clocks import local_text, utc_text
from darktimer.journal.listing import RunLine
from darktimer.journal.results import Result, RunPart
from darktimer.journal.runs import FINISHED
from darktimer.terminal.table import print_table
from darktimer.terminal.text import print_json_rows, say
from darktimer.units import counted, known_clock

_NONE_YET = (
    "There is no run yet; darktimer run writes each into the journal, darktimer journal add enters "
    "one that a sound file led."
)


def print_runs(lines: Sequence[RunLine], as_json: bool, where_none: str = _NONE_YET) -> None:
    """Runs as a table, or as JSON; ``where_none`` is said to people where there are none."""
    if as_json:
        print_json_rows(map(_line_json, lines))
    elif not lines:
        say(where_none)
    else:
        columns = [
            ("Run", "right"), ("Began", "left"), ("Plan, film, baths", "left"),
            ("Real", "right"), ("Faults", "right"), ("Marks", "right"), ("Result", "left"),
        ]  # fmt: skip
        print_table(columns, map(_line, lines))


def _line(line: RunLine) -> list[str]:
    """A run on two lines or more, so that a row fits a terminal of 80 columns."""
    films, baths = (film.named for film in line.films), ", ".join(line.baths)
    return [
        str(line.number),
        local_text(line.began_utc_ms).replace(" ", "\n"),
        "\n".join(filter(None, (line.title, *films, baths, entered(line.entered_utc_ms)))),
        f"{known_clock(line.real_ms)}\nof {known_clock(line.planned_ms)}",
        str(line.faults),
        str(line.marks),
        "\n".join(_results(line.results)) if line.state == FINISHED else line.state,
    ]


def _results(results: Mapping[RunPart, Result]) -> Iterator[str]:
    """In words; of pieces, of which the run's own page tells, how many were looked at."""
    for part, result in results.items():
        if not part.piece:
            named = f"{part.name}: " if part.film else ""
            yield from [f"{named}{word}" for word in result.words()]
    if pieces := sum(bool(part.piece) for part in results):
        yield f"of {counted(pieces, 'piece')}"


def entered(utc_ms: int | None) -> str:
    """What marks a run that nobody led live."""
    return "" if utc_ms is None else f"entered afterwards, {local_text(utc_ms)}"


def entered_json(utc_ms: int | None) -> str | None:
    """The same for scripts."""
    return None if utc_ms is None else utc_text(utc_ms)


def _line_json(line: RunLine) -> dict[str, Any]:
    return {
        "run": line.number,
        "began": utc_text(line.began_utc_ms),
        "title": line.title,
        "film": line.film,
        "films": [film._asdict() for film in line.films],
        "baths": line.baths,
        "state": line.state,
        "entered": entered_json(line.entered_utc_ms),
        "planned_ms": line.planned_ms,
        "real_ms": line.real_ms,
        "faults": line.faults,
        "marks": line.marks,
        "result": line.result.as_json(),
        "results_of_parts": [
            {**part._asdict(), **each.as_json()} for part, each in line.results.items() if any(part)
        ],
    }
