"""The closing page: what was planned, what happened, what to write down."""

from collections.abc import Iterator
from typing import Any, Final

from darktimer.live.planning import performed
from darktimer.live.session import Session
from darktimer.pages.review import off_by
from darktimer.plan.kinds import UNTIMED_KINDS
from darktimer.terminal.table import print_table
from darktimer.terminal.text import print_list, say
from darktimer.units import nearest_clock

FINISHED: Final = 0
WITH_FAULTS: Final = 3
ABORTED: Final = 4


def exit_status(session: Session, troubles: list[str]) -> int:
    """0 all went well, 3 something failed on the way, 4 the person ended it early."""
    if session.aborted:
        return ABORTED
    return WITH_FAULTS if session.troubles or troubles else FINISHED


def closing_json(session: Session, run: int, troubles: list[str]) -> dict[str, Any]:
    """The page for scripts."""
    return {
        "run": run or None,
        "title": session.conductor.timeline.title,
        "exit": exit_status(session, troubles),
        "steps": list(_steps(session)),
        "faults": [{"at_ms": at, "found": found} for at, found in session.troubles]
        + [{"at_ms": None, "found": found} for found in troubles],
        "marks": [each.at_ms for each in session.log if each.meaning == "marked"],
    }


def print_closing(session: Session, run: int, troubles: list[str]) -> None:
    """The page for people."""
    say(f"{session.conductor.timeline.title}: {_outcome(session, troubles)}", bold=True)
    columns = [("Step", "left"), ("Planned", "right"), ("Was", "right"), ("Off", "right")]
    print_table(columns, map(_row, _steps(session)))
    faults = [f"{nearest_clock(at)} {found}" for at, found in session.troubles]
    print_list("Faults", [*faults, *troubles])
    print_list("Waited", _waits(session))
    print_list("Marks", _marks(session))
    print_list("Write down", _to_write(session, run))


def _outcome(session: Session, troubles: list[str]) -> str:
    status = exit_status(session, troubles)
    return {FINISHED: "done", WITH_FAULTS: "done, with faults", ABORTED: "ended early"}[status]


def _steps(session: Session) -> Iterator[dict[str, Any]]:
    """Each bath's own time, by the plan's convention; None where it never came."""
    was = performed(session.conductor.state)
    over_ms = min(session.now().at_ms, was.duration_ms)
    timeline = session.conductor.timeline
    for index, (planned, real) in enumerate(zip(timeline.steps, was.steps, strict=True)):
        if planned.kind not in UNTIMED_KINDS:
            outside_ms = timeline.outside_ms(index)
            lasted_ms = min(real.end_ms, over_ms) - real.start_ms - outside_ms
            yield {
                "name": planned.name,
                "planned_ms": planned.end_ms - planned.start_ms - outside_ms,
                "real_ms": max(0, lasted_ms) if real.start_ms < over_ms else None,
            }


def _row(step: dict[str, Any]) -> list[str]:
    planned, real = step["planned_ms"], step["real_ms"]
    if real is None:
        return [step["name"], nearest_clock(planned), "-", "-"]
    return [step["name"], nearest_clock(planned), nearest_clock(real), off_by(planned, real)]


def _waits(session: Session) -> Iterator[str]:
    steps = session.conductor.timeline.steps
    for at_ms, _, kind, meaning, step, _, detail in session.log:
        late_ms = detail.get("late_ms", 0)
        if kind in ("gate", "hold") and meaning == "went on" and late_ms:
            word = "later" if late_ms > 0 else "earlier"
            held = ", held" if kind == "hold" else ""
            late = f"{nearest_clock(abs(late_ms))} {word} than planned{held}"
            yield f"{nearest_clock(at_ms)} {steps[step or 0].name}: went on {late}"


def _marks(session: Session) -> Iterator[str]:
    steps = session.conductor.timeline.steps
    for event in session.log:
        if event.meaning == "marked":
            yield f"{nearest_clock(event.at_ms)} {steps[event.step or 0].name}"


def _to_write(session: Session, run: int) -> Iterator[str]:
    if any(step.kind == "wait" for step in session.conductor.timeline.steps):
        yield "where you saw light come in"
        yield "once the scrap is developed, whether it is fogged beside what lay on it"
    else:
        yield "how warm the developer was at the end, and how many films it has now done"
        yield "what the film looks like: too thin, too dense, uneven, scratched"
    if run:
        yield f"both, in the journal: darktimer journal add-result {run}"
