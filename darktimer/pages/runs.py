"""Runs of the journal laid out, as a table and one in full, for people and for scripts."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from darktimer.journal.clocks import local_text, utc_text
from darktimer.journal.events import Event, fault_lines, found_text
from darktimer.journal.listing import RunLine
from darktimer.journal.results import WHOLE, Result, RunPart
from darktimer.journal.review import Review, StepReview
from darktimer.journal.runs import Run
from darktimer.plan.kinds import UNTIMED_KINDS
from darktimer.terminal.table import print_table
from darktimer.terminal.text import counted, print_json_rows, print_list, say
from darktimer.units import degrees, nearest_clock, whole_second

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
    run = line.run
    films, baths = (film.named for film in run.films), ", ".join(run.bath_names)
    return [
        str(run.number),
        local_text(run.started.wall_utc_ms).replace(" ", "\n"),
        "\n".join(filter(None, (run.title, *films, baths, _entered(run)))),
        f"{_clock(line.real_ms)}\nof {_clock(run.planned_ms)}",
        str(line.faults),
        str(line.marks),
        "\n".join(_results(line.results)) if run.state == "finished" else run.state,
    ]


def _results(results: Mapping[RunPart, Result]) -> Iterator[str]:
    """In words; of pieces, of which the run's own page tells, how many were looked at."""
    for part, result in results.items():
        named = part.name and f"{part.name}: "
        yield from (f"{named}{word}" for word in result.words() if not part.piece)
    if pieces := sum(bool(part.piece) for part in results):
        yield f"of {counted(pieces, 'piece')}"


def _entered(run: Run) -> str:
    """What marks a run that nobody led live."""
    if run.entered_utc_ms is None:
        return ""
    return f"entered afterwards, {local_text(run.entered_utc_ms)}"


def _entered_json(run: Run) -> str | None:
    return None if run.entered_utc_ms is None else utc_text(run.entered_utc_ms)


def _line_json(line: RunLine) -> dict[str, Any]:
    run = line.run
    return {
        "run": run.number,
        "began": utc_text(run.started.wall_utc_ms),
        "title": run.title,
        "film": run.film,
        "films": [film._asdict() for film in run.films],
        "baths": run.bath_names,
        "state": run.state,
        "entered": _entered_json(run),
        "planned_ms": run.planned_ms,
        "real_ms": line.real_ms,
        "faults": line.faults,
        "marks": line.marks,
        "result": line.result._asdict(),
        "results_of_parts": [
            {**part._asdict(), **each._asdict()} for part, each in line.results.items() if any(part)
        ],
    }


def print_review(found: Review) -> None:
    """Planned against real for each bath, then faults, marks and the result."""
    run = found.run
    say(f"Run {run.number}: {run.title}", bold=True)
    about = (local_text(run.started.wall_utc_ms), run.state, run.films_named or "no film named")
    say(", ".join(filter(None, (*about, _entered(run)))))
    say(f"{_clock(run.planned_ms)} planned, {_clock(found.real_ms)} real\n")
    columns = [
        ("Step", "left"), ("Bath", "left"), ("Temperature", "right"), ("Planned", "right"),
        ("Real", "right"), ("Off", "right"), ("Moving", "right"), ("Moved", "right"),
    ]  # fmt: skip
    steps = [step for step in found.steps if step.kind not in UNTIMED_KINDS]
    print_table(columns, map(_step, steps))
    print_list("Developed", developed(found))
    print_list("Faults", (f"{_clock(at)} {what}" for at, what in fault_lines(found.faults)))
    print_list("Marks", (f"{_clock(mark.at_ms)} {found_text(mark)}" for mark in found.marks))
    print_list("Noted of the film", (film.note for film in run.films if film.note))
    print_list("Result", found.result.lines())
    if found.run.pieces or found.results.keys() - {WHOLE} or found.result.densities:
        from darktimer.pages.parts import print_parts  # as seldom wanted as it is slow to load

        print_parts(found)


def review_json(found: Review, happened: Sequence[Event], plan_text: str) -> dict[str, Any]:
    """The whole run for scripts."""
    from darktimer.pages.parts import parts_json

    run = found.run
    return {
        "run": run.number,
        "began": utc_text(run.started.wall_utc_ms),
        "state": run.state,
        "entered": _entered_json(run),
        "exit": run.exit,
        "title": run.title,
        "film": run.film,
        "films": [film._asdict() for film in run.films],
        "film_area_m2": run.film_area_m2,
        "cue_set": run.cue_set,
        "planned_ms": run.planned_ms,
        "real_ms": found.real_ms,
        "steps": [step._asdict() for step in found.steps],
        "result": found.result._asdict(),
        "parts": parts_json(found),
        "events": [event._asdict() for event in happened],
        "plan": plan_text,
    }


def developed(found: Review) -> Iterator[str]:
    """What each develop really lasted by its own clock, and what that was worth.

    The temperature measured afterwards counts for every develop.
    """
    measured = found.result.celsius
    done_steps = {step.source: step for step in found.steps if step.real_ms is not None}
    for source, basis in found.bases.items():
        if source not in done_steps:
            continue
        name, lasted = done_steps[source].name, _clock(found.developed_ms(source))
        line = f"{name}: {lasted} of {_clock(basis.carried_ms)}"
        if basis.celsius is not None:
            line += f", planned at {degrees(basis.celsius)}"
        line += (
            ", no temperature measured" if measured is None else f", measured {degrees(measured)}"
        )
        done = found.worth(source)
        if done.celsius is not None:
            line += f"; worth {_clock(round(done.done_ms))} at {degrees(done.celsius)}"
        yield f"{line} ({basis.doubt})" if basis.doubt and measured is not None else line


def _step(step: StepReview) -> list[str]:
    differs = "-"
    if step.real_ms is not None:
        differs = off_by(step.planned_ms, step.real_ms)
    return [
        step.name,
        step.bath or "-",
        "-" if step.celsius is None else degrees(step.celsius),
        _clock(step.planned_ms),
        _clock(step.real_ms),
        differs,
        _share(step.planned_moving_ms, step.planned_ms),
        _share(step.real_moving_ms, step.real_ms),
    ]


def off_by(planned_ms: int, real_ms: int) -> str:
    """How much longer than planned, as both are shown."""
    seconds = (whole_second(real_ms) - whole_second(planned_ms)) // 1000
    return f"{seconds:+d} s" if seconds else "0 s"


def _share(moving_ms: int | None, whole_ms: int | None) -> str:
    return "-" if moving_ms is None or not whole_ms else f"{100 * moving_ms / whole_ms:.1f} %"


def _clock(ms: int | None) -> str:
    """To the second; nobody reads a real time more closely."""
    return "-" if ms is None else nearest_clock(ms)
