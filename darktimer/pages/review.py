"""A run of the journal in full, laid out for people and for scripts."""

from collections.abc import Iterator, Sequence
from typing import Any

from darktimer.journal.clocks import local_text, utc_text
from darktimer.journal.events import Event, fault_lines, found_text
from darktimer.journal.results import WHOLE
from darktimer.journal.review import Review, StepReview
from darktimer.pages.runs import entered, entered_json
from darktimer.plan.kinds import UNTIMED_KINDS
from darktimer.terminal.table import print_table
from darktimer.terminal.text import print_list, say
from darktimer.units import degrees, known_clock, seconds_off


def print_review(found: Review) -> None:
    """Planned against real for each bath, then faults, marks and the result."""
    run = found.run
    say(f"Run {run.number}: {run.title}", bold=True)
    about = (local_text(run.started.wall_utc_ms), run.state, run.films_named or "no film named")
    say(", ".join(filter(None, (*about, entered(run.entered_utc_ms)))))
    say(f"{known_clock(run.planned_ms)} planned, {known_clock(found.real_ms)} real\n")
    columns = [
        ("Step", "left"), ("Bath", "left"), ("Temperature", "right"), ("Planned", "right"),
        ("Real", "right"), ("Off", "right"), ("Moving", "right"), ("Moved", "right"),
    ]  # fmt: skip
    steps = [step for step in found.steps if step.kind not in UNTIMED_KINDS]
    print_table(columns, map(_step, steps))
    print_list("Developed", developed(found))
    print_list("Faults", (f"{known_clock(at)} {what}" for at, what in fault_lines(found.faults)))
    print_list("Marks", (f"{known_clock(mark.at_ms)} {found_text(mark)}" for mark in found.marks))
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
        "entered": entered_json(run.entered_utc_ms),
        "exit": run.exit,
        "title": run.title,
        "film": run.film,
        "films": [film._asdict() for film in run.films],
        "film_area_m2": run.film_area_m2,
        "cue_set": run.cue_set,
        "planned_ms": run.planned_ms,
        "real_ms": found.real_ms,
        "steps": [step._asdict() for step in found.steps],
        "result": found.result.as_json(),
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
        name, lasted = done_steps[source].name, known_clock(found.developed_ms(source))
        line = f"{name}: {lasted} of {known_clock(basis.carried_ms)}"
        if basis.celsius is not None:
            line += f", planned at {degrees(basis.celsius)}"
        line += (
            ", no temperature measured" if measured is None else f", measured {degrees(measured)}"
        )
        done = found.worth(source)
        if done.celsius is not None:
            line += f"; worth {known_clock(round(done.done_ms))} at {degrees(done.celsius)}"
        yield f"{line} ({basis.doubt})" if basis.doubt and measured is not None else line


def _step(step: StepReview) -> list[str]:
    differs = "-"
    if step.real_ms is not None:
        differs = off_by(step.planned_ms, step.real_ms)
    return [
        step.name,
        step.bath or "-",
        "-" if step.celsius is None else degrees(step.celsius),
        known_clock(step.planned_ms),
        known_clock(step.real_ms),
        differs,
        _share(step.planned_moving_ms, step.planned_ms),
        _share(step.real_moving_ms, step.real_ms),
    ]


def off_by(planned_ms: int, real_ms: int) -> str:
    """How much longer than planned, as both are shown."""
    seconds = seconds_off(planned_ms, real_ms)
    return f"{seconds:+d} s" if seconds else "0 s"


def _share(moving_ms: int | None, whole_ms: int | None) -> str:
    return "-" if moving_ms is None or not whole_ms else f"{100 * moving_ms / whole_ms:.1f} %"
