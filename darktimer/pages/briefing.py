"""The pages before the lights go out: the plan, the baths from left to right, what to mind.

Nothing here plays or waits; ``darktimer.pages.pager`` turns them.
"""

from collections.abc import Iterable, Iterator

from darktimer.plan.baths import bath_name
from darktimer.plan.model import Plan
from darktimer.plan.steps import AnyStep, Load
from darktimer.prepare.prepared import Prepared
from darktimer.process.timeline import Timeline
from darktimer.terminal.table import Table
from darktimer.terminal.text import console, print_list
from darktimer.units import clock

GESTURES = (
    "Space (or Enter, Page Down, Right): go on, where the plan waits; elsewhere it marks the "
    "moment. When the film is loaded, press it, wait for the question, press it again.",
    "Any other key: where am I? You hear the step's signature, then the time left in it.",
    "Any other key twice within 0.7 s: hold. Only in water, or before and while loading.",
    "One key held, or pressed five times within 2 s: abort. You hear the question; do it again.",
)
_DARK = (
    "From the next key on this screen is black and nothing more is shown until light is safe. "
    "The first key you press after the light-safe sound brings it back.",
    "A key press can wake a sleeping display: switch it off at its own switch, or cover it, or "
    "leave the computer outside and take only the speaker and a keypad into the dark.",
    "If the program or the machine stops, start it again with: darktimer run --resume",
)
_TRIAL = (
    "Press any key but space: you hear a signature and a time left, as in the dark.",
    "Turn the volume up from low until you hear it well where you will stand.",
    "Then press space: you hear a mark.",
)
_NEVER_SAFE = (
    "Nothing in this plan makes light safe. When it is over the screen stays black until one key "
    "is pressed five times within 2 s."
)


def print_head(timeline: Timeline) -> None:
    """A plan's title, and how long it is, whole and in the dark."""
    out = console()
    out.print(timeline.title, style="bold")
    whole, dark = clock(timeline.duration_ms), clock(timeline.dark_ms)
    out.print(f"{whole} in all, {dark} of it in the dark\n")


def print_plan(prepared: Prepared) -> None:
    """The first page: what will be done, with what, and what to mind."""
    prepared = prepared.with_recipes()
    out, plan = console(), prepared.plan
    print_head(prepared.timeline)
    out.print("The baths on the bench, from left to right:")
    columns = [("", "right"), ("Step", "left"), ("Bath", "left"), ("Time", "point")]
    out.print(Table(columns, _baths(plan)))
    print_list("Missing", missing(plan))
    print_doubts_and_notes(prepared)
    print_list("Cautions", prepared.cautions())


def print_doubts_and_notes(prepared: Prepared, first: Iterable[str] = ()) -> None:
    """What is doubtful in a plan as it is carried out, then ``first`` and all of its notes."""
    source = prepared.file.document.source
    print_list("Warnings", [fault.text(source) for fault in prepared.warnings()])
    print_list("Note", [*first, *prepared.remarks, *prepared.timeline.notes])


def print_trial() -> None:
    """How speaker and keys are tried."""
    print_list("Trial", _TRIAL)


def print_last(prepared: Prepared, warnings: list[str]) -> None:
    """The last page: what the keys do, and what happens next."""
    print_list("The keys", GESTURES)
    print_list("Now", _next(prepared))
    print_list("Mind", warnings)


def missing(plan: Plan) -> Iterator[str]:
    """What the plan does not say, though somebody may want to know it in the dark."""
    if plan.temperature is None and not all(step.temperature for step in _in_baths(plan)):
        yield "the temperature of the baths"
    unnamed = [s.called for s in _in_baths(plan) if s.bath is None and _chemical(s)]
    if unnamed:
        yield f"what is in the bath of: {', '.join(unnamed)}"
    if plan.vessel.volume is None:
        yield "how much bath the vessel takes"
    if plan.film is None:
        yield "which film it is"


def _in_baths(plan: Plan) -> list[AnyStep]:
    return [step for step in plan.steps if not isinstance(step, Load)]


def _chemical(step: AnyStep) -> bool:
    return step.kind not in ("soak", "rinse", "wash")


def _baths(plan: Plan) -> Iterator[list[str]]:
    """One row a bath; a step that is repeated takes a fresh one each time."""
    number = 0
    for step in _in_baths(plan):
        for _ in range(step.repeat):
            number += 1
            time = clock(step.time_ms or 0)
            yield [str(number), step.called, bath_name(step) or "-", time]


def _next(prepared: Prepared) -> Iterator[str]:
    steps = prepared.timeline.steps
    dark = next((step for step in steps if step.dark), None)
    if dark is None:
        yield "Nothing in this plan needs the dark; the screen stays on."
        return
    if dark.start_ms:
        yield f"Space starts a countdown of {clock(dark.start_ms)}, in sounds; then the dark."
    else:
        yield "Space starts it, and the dark begins at once."
    yield from _DARK
    if not any(cue.meaning == "light-safe" for cue in prepared.timeline.cues):
        yield _NEVER_SAFE
