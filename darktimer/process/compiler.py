"""The compiler: a plan in, a timeline out. Pure, in whole milliseconds.

Lays the steps out, finds where the dark begins and ends, asks for cues, gives each its place, and
says in notes what a person should know of the result.
"""

from bisect import bisect_right
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Final

from darktimer.errors import Finding, FindingsError
from darktimer.plan.agitation import Inversions
from darktimer.plan.fixing import fixes_of
from darktimer.plan.kinds import HAND_KINDS
from darktimer.plan.model import Plan
from darktimer.plan.steps import Expose, Load
from darktimer.process import meanings
from darktimer.process.announce import announce, some, uncounted, without_room
from darktimer.process.darkness import dark_from_ms, safe_ms, split_at
from darktimer.process.layout import Laid, lay_out
from darktimer.process.light_safe import light_notes, pause_for_light_ms
from darktimer.process.piece_notes import piece_notes
from darktimer.process.spacing import Spaced, space
from darktimer.process.timeline import Cue, Span, Step, Timeline
from darktimer.units import clock, counted, next_second

#: A sound file rests this long after its last cue, so that no player cuts it short.
_REST_MS: Final = 2_000
#: A tick that is due as long before light-safe would not be over when that begins.
_AROUND_LIGHT_SAFE_MS: Final = 2_500


def compile_plan(
    plan: Plan,
    length_ms: Callable[[str], int],
    lights_out_after_ms: int | None = None,
    notes: Sequence[str] = (),
) -> Timeline:
    """The timeline of ``plan``, with the lengths of the sounds that ``length_ms`` gives.

    ``lights_out_after_ms`` overrides the plan's own habit. ``notes`` tell what became of the plan
    before; they follow the convention of time. Raises `FindingsError` for steps that do not fit,
    and for acts that follow each other faster than they can be told.
    """

    def placed(lights_on_ms: int = 0) -> tuple[tuple[Laid, ...], int | None, int | None, Spaced]:
        steps = lay_out(plan, lights_out_after_ms, lights_on_ms).steps
        dark, light = dark_from_ms(plan, steps), safe_ms(plan, steps)
        return steps, dark, light, space(announce(plan, steps, dark, light), length_ms)

    steps, dark, light, spaced = placed()
    if pause_ms := pause_for_light_ms(plan, steps, spaced.cues):
        steps, dark, light, spaced = placed(pause_ms)
    _refuse_lost_acts(steps, spaced)
    steps = _ended(steps, spaced.cues[-1])
    parts = [part for step in steps for part in split_at(step, light)]
    return Timeline(
        title=plan.title,
        duration_ms=steps[-1].end_ms,
        steps=tuple(_step(part, dark, light) for part in parts),
        spans=tuple(Span(k, *span) for k, part in enumerate(parts) for span in part.spans),
        cues=tuple(_within(parts, spaced.cues)),
        notes=(
            _convention(plan),
            *notes,
            *piece_notes(plan, steps),
            *_notes(plan),
            *light_notes(plan, light, steps, spaced.cues),
            *without_room(plan, steps),
            *_without_turns(plan, steps),
            *uncounted(plan, steps),
            *_left_out(steps, spaced),
        ),
        outside=tuple(_outside(plan)),
        pieces=tuple(p._replace(step=k) for k, part in enumerate(parts) for p in part.pieces),
    )


def _outside(plan: Plan) -> Iterator[str]:
    """The spans that are no part of a step's own time; sheets go in and out while it runs."""
    if plan.clock_starts == "full" and not plan.sheets:
        yield "transfer"
    if plan.drain_is == "after" and not plan.sheets:
        yield "drain"


def _ended(steps: tuple[Laid, ...], last: Cue) -> tuple[Laid, ...]:
    """The last step made long enough for the last cue and a rest, to the full second."""
    done = steps[-1]
    end_ms = next_second(max(done.end_ms, last.end_ms + _REST_MS))
    kind, start, _ = done.spans[-1]
    return (*steps[:-1], done.lasting((*done.spans[:-1], (kind, start, end_ms))))


def _step(step: Laid, dark_ms: int | None, light_ms: int | None) -> Step:
    after_dark_began = dark_ms is not None and step.start_ms >= dark_ms
    dark = after_dark_began and (light_ms is None or step.end_ms <= light_ms)
    return Step(step.name, step.kind, step.start_ms, step.end_ms, dark, step.source, step.sign)


def _within(parts: list[Laid], cues: Iterable[Cue]) -> Iterator[Cue]:
    """Each cue with the step in which it is heard, which may be later than the one it tells of."""
    starts = [part.start_ms for part in parts]
    for cue in cues:
        index = bisect_right(starts, cue.at_ms) - 1
        yield cue if index == cue.step else cue._replace(step=index)


def _notes(plan: Plan) -> Iterator[str]:
    for step in plan.steps:
        if step.kind in HAND_KINDS:
            allowed = clock(step.time_ms or plan.habits.loading)
            work = "Loading" if isinstance(step, Load) else step.called
            led = f"live runs and tracks wait, a single file allows {allowed}"
            yield f"{work} is work by hand: {led}."
    if plan.vessel.light == "open" and any(isinstance(step, Expose) for step in plan.steps):
        yield (
            "If the second exposure is called for before you have heard light-safe, keep the light "
            "off and hold the plan until you have."
        )
    fixes = [fix for _, fix in fixes_of(plan)]
    if fixes and not any(fix.clearing for fix in fixes):
        yield "The clearing time is not stated: find it in the light with a scrap of the same film."


def _without_turns(plan: Plan, steps: tuple[Laid, ...]) -> Iterator[str]:
    """Where the last turns of an interval would run into the drain, and are not asked for."""
    names = []
    for step in steps:
        scheme = None if step.source is None else plan.agitation(plan.steps[step.source])
        if isinstance(scheme, Inversions) and scheme.every:
            last = (step.change_ms - step.clock_ms - 1) // scheme.every * scheme.every
            at = step.clock_ms + last
            kind = next(kind for kind, start, end in step.spans if start <= at < end)
            if kind == "stand":
                names.append(f"{step.name} at {clock(last)}")
    if names:
        yield f"No room for a last bout of turns before the drain, in: {some(names)}."


def _convention(plan: Plan) -> str:
    if not plan.in_baths:
        return "A wait is timed from a few seconds after its sound, when all has been laid down."
    if plan.sheets:
        return (
            "Each sheet's time runs from its own tick in one bath to its own tick in the next; "
            "the drain is inside it."
        )
    starts = "the film is covered" if plan.clock_starts == "full" else "the pour or transfer begins"
    drain = "inside it" if plan.drain_is == "inside" else "after it"
    return f"A step's time starts when {starts}; the drain is {drain}."


def _left_out(steps: tuple[Laid, ...], spaced: Spaced) -> Iterator[str]:
    """One note for each family of cues that had to give way, and in which steps."""
    left_out = Counter(
        (meanings.family(request.meaning), request.step) for request in spaced.left_out
    )
    for family in dict.fromkeys(family for family, _ in left_out):
        places = sorted(index for each, index in left_out if each == family)
        count = sum(left_out[family, index] for index in places)
        named = some([steps[index].name for index in places])
        what = f"{_counted(family, count)}, in {named}"
        yield f"Not played, so that more important cues stay clear: {what}."


def _refuse_lost_acts(steps: tuple[Laid, ...], spaced: Spaced) -> None:
    """Whoever follows the sound does what the plan asks only where each act is told.

    Hands that shuffle or rotate go on at their pace while the long light-safe cue sounds.
    """
    light = [cue for cue in spaced.cues if cue.meaning == meanings.LIGHT_SAFE]
    lost = Counter(
        (meanings.family(request.meaning), request.step)
        for request in spaced.left_out
        if request.meaning in meanings.TICKS
        and not any(cue.at_ms - _AROUND_LIGHT_SAFE_MS < request.at_ms < cue.end_ms for cue in light)
    )
    faults = []
    for (family, index), count in lost.items():
        path = ("steps", steps[index].source or 0, steps[index].kind)
        found = f"{_counted(family, count)} cannot sound clear of the other cues"
        faults.append(Finding(path, found, "give each more time, or take shorter cues"))
    if faults:
        raise FindingsError(faults)


def _counted(family: str, count: int) -> str:
    return counted(count, *_WORDS.get(family, (family,)))


_WORDS: Final = {
    meanings.PIP: ("second of a countdown", "seconds of a countdown"),
    meanings.TURN: ("tick of a turn", "ticks of turns"),
    meanings.REVERSE: ("tick to turn round", "ticks to turn round"),
    meanings.SHEET: ("tick of a sheet", "ticks of sheets"),
    meanings.ROUND: ("tick of a round", "ticks of rounds"),
    meanings.HEARTBEAT: ("heartbeat of standing film", "heartbeats of standing film"),
    "ready": ("warning", "warnings"),
    "piece": ("warning of a piece", "warnings of pieces"),
    "tally": ("count of minutes", "counts of minutes"),
}
