"""The pages before the lights go out: the plan, the baths from left to right, what to mind.

Nothing here plays or waits; ``darktimer.pages.pager`` turns them.
"""

from collections.abc import Iterable, Iterator

import click

from darktimer.plan.baths import WATER_KINDS, bath_name, places
from darktimer.plan.model import Plan
from darktimer.prepare.prepared import Prepared
from darktimer.process.keys import KEYS
from darktimer.process.light_safe import light_notes
from darktimer.process.meanings import LIGHT_SAFE
from darktimer.process.timeline import Timeline
from darktimer.terminal.table import print_table
from darktimer.terminal.text import print_list, say
from darktimer.units import clock

_TRIAL = (
    "Try them now; each answers as in the dark. Turn the volume up from low until you hear them "
    "well where you will stand."
)
_TRIAL_ENDS = "Then press space: you hear the question. Press it again: you hear a mark."
_KNOCKS = (
    "You hear the first of them in four short tones. Knock it three times with a knuckle, where "
    "and as you will in the dark, with a second of quiet between; nearer to the microphone where "
    "it is not heard. Space leaves this out: then all knocks count, not yours alone."
)
_BLACK = (
    "This screen is black from then on. The first key that you press after the light-safe sound "
    "brings it back."
)
_STOPPED = "If the program or the machine stops: darktimer run --resume"
_NEVER_SAFE = (
    "Nothing in this plan makes light safe. When it is over the screen stays black until one key "
    "is pressed five times within 2 s."
)


def print_head(timeline: Timeline) -> None:
    """A plan's title, and how long it is, whole and in the dark."""
    say(timeline.title, bold=True)
    whole, dark = clock(timeline.duration_ms), clock(timeline.dark_ms)
    say(f"{whole} in all, {dark} of it in the dark\n")


def print_plan(prepared: Prepared, machine: Iterable[str] = ()) -> None:
    """What will be done, with what, and what to mind, of the ``machine`` too.

    The rest of it is on the card and in `check`.
    """
    prepared = prepared.with_recipes()
    plan = prepared.plan
    print_head(prepared.timeline)
    say("The baths on the bench, from left to right:")
    columns = [("", "right"), ("Step", "left"), ("Bath", "left"), ("Time", "point")]
    print_table(columns, _baths(plan))
    print_list("Missing", missing(plan))
    _print_warnings(prepared)
    print_list("Note", [*prepared.changes, *prepared.remarks])
    print_list("This machine", machine)
    print_list("Cautions", prepared.cautions())


def print_warnings_and_notes(prepared: Prepared, first: Iterable[str] = ()) -> None:
    """What is doubtful in a plan as it is carried out, then ``first`` and all of its notes."""
    _print_warnings(prepared)
    print_list("Note", [*first, *prepared.remarks, *prepared.timeline.notes])


def _print_warnings(prepared: Prepared) -> None:
    source = prepared.file.document.source
    print_list("Warnings", [fault.text(source) for fault in prepared.warnings()])


def print_keys() -> None:
    """What the keys do, and how they and the speaker are tried."""
    print_list("The keys", KEYS)
    click.echo()
    say(_TRIAL)
    say(_TRIAL_ENDS)


def print_knocks() -> None:
    """What knocks mean."""
    from darktimer.knocks.patterns import IN_WORDS

    print_list("Knocks on the bench", [f"{words}: {what}" for what, words in IN_WORDS.items()])
    click.echo()


def print_learning() -> None:
    """How a person's own knock is learnt where somebody reads."""
    print_knocks()
    say(_KNOCKS)


def print_learning_by_sound(within_s: int) -> None:
    """How it is learnt while the plan waits to begin."""
    print_knocks()
    say(
        f"Until it begins, knock go on three times within {within_s} s, and your own knock is "
        "learnt: each is answered by a mark, the third by the question."
    )


def print_last(prepared: Prepared) -> None:
    """What happens next, and how the dark ends."""
    print_list("Now", _next(prepared))


def known_words(plan: Plan) -> list[str]:
    """What the journal knows of each stock of a plan in its developer, a sentence for each."""
    from darktimer.prepare.known_films import known_of

    if not (found := known_of(plan)):
        return []
    from darktimer.pages.known import sentence  # slow to load, and only wanted where there is some

    return [*map(sentence, found)]


def missing(plan: Plan) -> Iterator[str]:
    """What the plan does not say, though somebody may want to know it in the dark."""
    if plan.temperature is None and not all(step.temperature for step in plan.in_baths):
        yield "the temperature of the baths"
    unnamed = [s.called for s in plan.in_baths if s.bath is None and s.kind not in WATER_KINDS]
    if unnamed:
        yield f"what is in the bath of: {', '.join(unnamed)}"
    if plan.vessel.volume is None and plan.in_baths:
        yield "how much bath the vessel takes"
    if not plan.films and plan.in_baths:
        yield "which film it is"


def _baths(plan: Plan) -> Iterator[list[str]]:
    """One row a step, with the place of its bath that "where am I?" is answered by."""
    for step, place in zip(plan.steps, places(plan.steps), strict=True):
        if step.in_bath:
            each = f" x {step.repeat}" if step.repeat > 1 else ""
            name, time = bath_name(step) or "-", clock(step.time_ms or 0)
            yield [str(place or "-"), f"{step.called}{each}", name, time]


def _next(prepared: Prepared) -> Iterator[str]:
    plan, timeline = prepared.plan, prepared.timeline
    dark = [step for step in timeline.steps if step.dark]
    if not dark:
        yield "Nothing in this plan needs the dark; the screen stays on."
        return
    if begins_ms := dark[0].start_ms:
        yield f"It begins with a countdown of {clock(begins_ms)}, in sounds; then the dark."
    else:
        yield "The dark begins at once."
    yield _BLACK
    if any(cue.meaning == LIGHT_SAFE for cue in timeline.cues):
        yield from light_notes(plan, dark[-1].end_ms, timeline.steps, timeline.cues)
    else:
        yield _NEVER_SAFE
    yield _STOPPED
