"""Several runs side by side, with only what differs between them."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any, NamedTuple

from darktimer.document.reader import written_path
from darktimer.errors import FileError, KeyPath
from darktimer.journal.clocks import local_text
from darktimer.journal.journal import Journal
from darktimer.journal.results import SCALES, WHOLE, Result, word
from darktimer.journal.review import Review, review
from darktimer.journal.runs import Run
from darktimer.plan.kinds import UNTIMED_KINDS
from darktimer.units import clock, degrees


class Difference(NamedTuple):
    """One thing that is not the same in all runs: its name, and its value in each of them."""

    what: str
    values: tuple[str, ...]


def compare(
    journal: Journal, runs: Sequence[int], moment: Callable[[int], str] = local_text
) -> list[Difference]:
    """What differs, in the order: the film, the run, its plan, its times, its result.

    ``moment`` writes a moment given in UTC. What was measured stands there where all have it.
    """
    found = [review(journal, run) for run in runs]
    measured = [dict(_measured(each)) for each in found]
    shared = set.intersection(*map(set, measured))
    facts = [
        _facts(each, journal.plan_text(each.run.number), moment)
        | {name: value for name, value in figures.items() if name in shared}
        for each, figures in zip(found, measured, strict=True)
    ]
    names = dict.fromkeys(name for each in facts for name in each)
    rows = [Difference(name, tuple(each.get(name, "-") for each in facts)) for name in names]
    return [row for row in rows if len(set(row.values)) > 1]


def _facts(found: Review, plan_text: str, moment: Callable[[int], str]) -> dict[str, str]:
    run = found.run
    return {
        **_films(run),
        "started": moment(run.started.wall_utc_ms),
        "cue set": run.cue_set,
        "state": run.state,
        "entered": "-" if run.entered_utc_ms is None else moment(run.entered_utc_ms),
        **{f"plan: {path}": value for path, value in _plan(plan_text)},
        **dict(_times(found)),
        "faults": str(sum(each.meaning != "back" for each in found.faults)),  # as the list of runs
        "marks": str(len(found.marks)),
        **dict(_results(found)),
    }


def _films(run: Run) -> dict[str, str]:
    """Which stock it was, and how exposed; of several films one after another."""
    said = {
        "stock": [film.stock for film in run.films],
        "exposed at": [film.exposed_at for film in run.films],
    }
    return {what: "; ".join(each or "-" for each in found) or "-" for what, found in said.items()}


def _plan(text: str) -> Iterator[tuple[str, str]]:
    """Every value of a plan as it is written; nothing of a text that cannot be read."""
    from darktimer.document import parse_document

    with suppress(FileError):
        yield from _flat(parse_document(text, Path("plan")).content)


def _flat(content: Any, path: KeyPath = ()) -> Iterator[tuple[str, str]]:
    """Every scalar of a plan with its path, as errors write it."""
    if not isinstance(content, dict | list):
        yield written_path(path), content
        return
    for key, value in content.items() if isinstance(content, dict) else enumerate(content):
        yield from _flat(value, (*path, key))


def _times(found: Review) -> Iterator[tuple[str, str]]:
    for step in found.steps:
        if step.kind in UNTIMED_KINDS:
            continue
        yield f"{step.name}: real time", _clock(step.real_ms)
        if step.planned_moving_ms:
            yield f"{step.name}: really moved", _clock(step.real_moving_ms)


def _results(found: Review) -> Iterator[tuple[str, str]]:
    """What came of all of the run, then of each film or piece that somebody judged by itself."""
    yield from _result(found.result)
    for part, result in sorted(found.results.items(), key=lambda each: str(each[0].name)):
        if part != WHOLE:
            yield from ((f"{part.name}: {what}", value) for what, value in _result(result))


def _result(result: Result) -> Iterator[tuple[str, str]]:
    for scale in SCALES:
        value = getattr(result, scale)
        yield scale, "-" if value is None else f"{value:+d} {word(scale, value)}"
    yield "kept", "yes" if result.kept else "-"
    yield "measured at", "-" if result.celsius is None else degrees(result.celsius)
    yield "good for", result.usable_for or "-"
    yield "notes", result.notes or "-"
    yield "photographs", ", ".join(result.photographs) or "-"


def _measured(found: Review) -> Iterator[tuple[str, str]]:
    """What was measured of each part that was read, with its uncertainty."""
    from darktimer.journal.piece_times import parts_of
    from darktimer.sensitometry.measures import MEASURES, measures

    for each in parts_of(found):
        if strip := each.strip:
            figures = measures(strip)
            for field, name in MEASURES.items():
                if value := getattr(figures, field):
                    yield f"{each.part.name or 'strip'}: {name}", str(value)


def _clock(ms: int | None) -> str:
    return "-" if ms is None else clock(ms)
