"""What to change in a plan after a run, by rules of thumb, each with where it is from.

One thing is changed at a time where one will do, and what one finding asks for is weighed against
the others. Nothing here was measured on the user's own film: a suggestion is a start for the next
test, never a promise.
"""

from collections.abc import Iterator, Sequence
from math import ceil
from typing import Final, NamedTuple

from darktimer.errors import KeyPath
from darktimer.journal.contradictions import contradictions
from darktimer.journal.from_pieces import READINGS, from_pieces
from darktimer.journal.of_films import as_one, disagreements
from darktimer.journal.piece_times import Wanted
from darktimer.journal.results import Result, word
from darktimer.journal.review import Review, StepReview
from darktimer.journal.shorter_agitation import shorter_agitation
from darktimer.journal.strength import strength
from darktimer.journal.suggestion import COMMON, NAVY, Suggestion, place_of, written
from darktimer.plan.agitation import Inversions, ShareOfTime, Stand, Still
from darktimer.plan.model import Plan
from darktimer.plan.reader import PlanFile
from darktimer.plan.steps import Develop
from darktimer.units import clock, duration_ms

_MANUAL_OPENING_MS: Final = 30_000
_LONG_OPENING_MS: Final = 60_000
_SHORT_DEVELOP_MS: Final = 300_000
_LATE_MS: Final = 2_000
#: Later than this is no slow pair of hands: something happened.
_HELD_UP_MS: Final = 30_000
_HABIT: Final = 2  # once is no habit
_TO_MS: Final = 5_000


class _Timed(NamedTuple):
    """A develop of the plan, its place, and the time that it had and will have.

    Pieces had times of their own: what is written for the longest of them is not shortened by one.
    """

    place: int
    step: Develop
    had_ms: int
    time_ms: int


class _Late(NamedTuple):
    """A step of the plan whose change came late."""

    name: str
    source: int
    late_ms: int


def suggest(found: Review, file: PlanFile, wanted: Wanted | None = None) -> list[Suggestion]:
    """Everything that the result and the times of a run suggest for its plan.

    ``wanted`` is what densities that were read are to come to; the usual where nothing is said.
    Raises `SensitometryError` where the readings do not tell a time for it.
    """
    apart = list(disagreements(found))
    found = as_one(found)
    strong = list(from_pieces(found, wanted))
    if not found.run.pieces:
        strong += strength(found, file)
    telling = next((each.source for each in strong if each.changes), "")
    used = telling and ("readings" if telling == READINGS else "words")
    develops = list(_develops(file.plan, strong))
    longer = any(each.time_ms > each.had_ms for each in develops)
    return [
        *apart,
        *strong,
        *_agitation_in_less(found, file, develops),
        *contradictions(found, used),
        *_evenness(found.result, file.plan, develops),
        *_lateness(found.steps, file.plan),
        *_fog_and_grain(found.result, file.plan, longer=longer),
    ]


def _develops(plan: Plan, strong: Sequence[Suggestion]) -> Iterator[_Timed]:
    changes = {path: value for each in strong for path, value in each.changes.items()}
    for index, step in enumerate(plan.steps):
        if isinstance(step, Develop):
            changed = changes.get(("steps", index, "develop"))
            time_ms = duration_ms(changed) if changed else step.develop
            yield _Timed(index, step, time_ms if step.pieces else step.develop, time_ms)


def _agitation_in_less(
    found: Review, file: PlanFile, develops: Sequence[_Timed]
) -> Iterator[Suggestion]:
    for each in develops:
        if each.time_ms < each.step.develop:
            carried_ms = found.bases[each.place].carried_ms
            if shorter := shorter_agitation(file, each.place, carried_ms, each.time_ms):
                yield shorter


def _evenness(result: Result, plan: Plan, develops: Sequence[_Timed]) -> Iterator[Suggestion]:
    for each in develops:
        if result.figure("evenness") < 0:
            yield from _more_even(result, plan, each.place, each.step)
        yield from _too_quick(result, each.had_ms, each.time_ms)


def _more_even(result: Result, plan: Plan, index: int, step: Develop) -> Iterator[Suggestion]:
    found, opening = _uneven(result), plan.habit(step, "opening")
    longer = _MANUAL_OPENING_MS if opening < _MANUAL_OPENING_MS else _LONG_OPENING_MS
    if isinstance(plan.agitation(step), Still):
        changes = {place_of(plan, index, "agitation"): "stand"}
        yield Suggestion(
            found, "move it at the start, and let it stand after that", COMMON, changes
        )
    elif not isinstance(plan.agitation(step), ShareOfTime | Inversions | Stand):
        remedy = (
            "it moves all the time already: move it another way each time, now turned, now "
            "tilted, and soak it in water before the developer"
        )
        yield Suggestion(found, remedy, COMMON, {})
    elif opening < longer <= step.develop:
        source = NAVY if longer == _MANUAL_OPENING_MS else COMMON
        remedy = f"agitate for {clock(longer)} at the start, not {clock(opening)}"
        yield Suggestion(found, remedy, source, {place_of(plan, index, "opening"): written(longer)})
    else:
        remedy = "soak it in water before the developer, and cover the whole of it at once"
        yield Suggestion(found, remedy, COMMON, {})


def _too_quick(result: Result, had_ms: int, time_ms: int) -> Iterator[Suggestion]:
    """A short develop, or one made shorter though it was uneven: weaker and longer serves both."""
    uneven, shorter = result.figure("evenness") < 0, time_ms < had_ms
    short = time_ms < _SHORT_DEVELOP_MS
    if not (uneven or shorter) or not (short or (shorter and uneven)):
        return
    after = clock(min(time_ms, had_ms))
    found = f"{after} is short"
    if shorter and not short:
        found = f"{clock(time_ms)} in place of {clock(had_ms)} makes film less even"
    if uneven:
        found = f"{_uneven(result)}, and {found}"
    remedy = "a weaker developer for a longer time does the same more evenly: make a test"
    yield Suggestion(found, remedy, COMMON, {})


def _uneven(result: Result) -> str:
    evenness = result.figure("evenness")
    return f"evenness {evenness} ({word('evenness', evenness)})"


def _lateness(steps: Sequence[StepReview], plan: Plan) -> Iterator[Suggestion]:
    """Changes that came late: now and then it is an event, again and again a habit of the hands."""
    late = [
        _Late(step.name, step.source, step.late_ms)
        for step in steps
        if step.source is not None and step.late_ms is not None and step.late_ms >= _LATE_MS
    ]
    habit = [step for step in late if step.late_ms < _HELD_UP_MS]
    if len(habit) < _HABIT or plan.sheets:  # whose transfer is a pace from sheet to sheet
        habit = []
    yield from _longer_transfers(habit, plan)
    if events := [step for step in late if step not in habit]:
        remedy = (
            "leave the plan as it is: it was late once, and the longer develop is already counted"
        )
        yield Suggestion(f"held up: {_lates(events)}", remedy, COMMON, {})


def _longer_transfers(late: Sequence[_Late], plan: Plan) -> Iterator[Suggestion]:
    wanted: dict[KeyPath, list[_Late]] = {}
    for step in late:
        wanted.setdefault(place_of(plan, step.source, "transfer"), []).append(step)
    for place, steps in wanted.items():
        transfer_ms = max(
            plan.habit(plan.steps[step.source], "transfer") + ceil(step.late_ms / _TO_MS) * _TO_MS
            for step in steps
        )
        remedy = f"allow {written(transfer_ms)} for a transfer, and lay things ready sooner"
        found = f"changes came late: {_lates(steps)}"
        yield Suggestion(found, remedy, COMMON, {place: written(transfer_ms)})


def _lates(steps: Sequence[_Late]) -> str:
    return ", ".join(f"{step.name} {step.late_ms / 1000:.0f} s late" for step in steps)


def _fog_and_grain(result: Result, plan: Plan, *, longer: bool) -> Iterator[Suggestion]:
    if result.figure("fog") > 0:
        remedy = (
            "test the dark with a coin on a scrap of film for as long as the longest open step: "
        )
        remedy += "darktimer check room-for-light"
        if plan.vessel.kind == "room":
            remedy = "close what lets light in, and test the room once more"
        yield Suggestion(f"fog {result.fog:+d}", remedy, COMMON, {})
    if result.figure("grain") > 0:
        remedy = "keep all baths and the wash at one temperature"
        if longer:
            remedy += "; the longer time will make it coarser, and density goes first"
        else:
            remedy += ", and do not develop too far"
        yield Suggestion(f"grain {result.grain:+d}", remedy, COMMON, {})
