"""What to change in a plan after a run, by rules of thumb, each with where it is from.

One thing is changed at a time where one will do, and what one finding asks for is weighed against
the others. Nothing here was measured on the user's own film: a suggestion is a start for the next
test, never a promise.
"""

from collections.abc import Iterator, Sequence
from typing import Final

from darktimer.errors import KeyPath
from darktimer.journal.results import Result, word
from darktimer.journal.review import Review, StepReview
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


def suggest(found: Review, file: PlanFile) -> list[Suggestion]:
    """Everything that the result and the times of a run suggest for its plan."""
    strong = list(strength(found, file))
    times = dict(_times(file.plan, strong))
    longer = any(times[index] > (file.plan.steps[index].time_ms or 0) for index in times)
    return [
        *strong,
        *_evenness(found.result, file.plan, times),
        *_lateness(found.steps, file.plan),
        *_fog_and_grain(found.result, longer=longer),
    ]


def _times(plan: Plan, strong: Sequence[Suggestion]) -> Iterator[tuple[int, int]]:
    """The time that each develop will have, by its index."""
    changes = {path: value for each in strong for path, value in each.changes.items()}
    for index, step in enumerate(plan.steps):
        if isinstance(step, Develop):
            changed = changes.get(("steps", index, "develop"))
            yield index, duration_ms(changed) if changed else step.develop


def _evenness(result: Result, plan: Plan, times: dict[int, int]) -> Iterator[Suggestion]:
    for index, time_ms in times.items():
        step = plan.steps[index]
        assert isinstance(step, Develop)
        if (result.evenness or 0) < 0:
            yield from _more_even(result, plan, index, step)
        yield from _too_quick(result, step, time_ms)


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
        remedy = f"agitate for {longer // 1000} s at the start, not {opening // 1000} s"
        yield Suggestion(found, remedy, source, {place_of(plan, index, "opening"): written(longer)})
    else:
        remedy = "soak it in water before the developer, and cover the whole of it at once"
        yield Suggestion(found, remedy, COMMON, {})


def _too_quick(result: Result, step: Develop, time_ms: int) -> Iterator[Suggestion]:
    """A short develop, or one made shorter though it was uneven: weaker and longer serves both."""
    uneven, shorter = (result.evenness or 0) < 0, time_ms < step.develop
    short = time_ms < _SHORT_DEVELOP_MS
    if not (uneven or shorter) or not (short or (shorter and uneven)):
        return
    after = clock(time_ms) if shorter else clock(step.develop)
    found = f"{after} is short"
    if shorter and not short:
        found = f"{clock(time_ms)} in place of {clock(step.develop)} makes film less even"
    if uneven:
        found = f"{_uneven(result)}, and {found}"
    remedy = "a weaker developer for a longer time does the same more evenly: make a test"
    yield Suggestion(found, remedy, COMMON, {})


def _uneven(result: Result) -> str:
    return f"evenness {result.evenness} ({word('evenness', result.evenness or 0)})"


def _lateness(steps: Sequence[StepReview], plan: Plan) -> Iterator[Suggestion]:
    """Changes that came late: now and then it is an event, again and again a habit of the hands."""
    late = [step for step in steps if step.source is not None and (step.late_ms or 0) >= _LATE_MS]
    slow = [step for step in late if (step.late_ms or 0) < _HELD_UP_MS]
    if plan.sheets:  # there a transfer is the pace from sheet to sheet, not a lead
        slow = []
    habit = slow if len(slow) >= _HABIT else []
    yield from _longer_transfers(habit, plan)
    events = [step for step in late if step not in habit]
    if events:
        remedy = "leave the plan: this is no habit, and a develop that it lengthened is counted so"
        yield Suggestion(f"held up: {_lates(events)}", remedy, COMMON, {})


def _longer_transfers(late: Sequence[StepReview], plan: Plan) -> Iterator[Suggestion]:
    wanted: dict[KeyPath, list[StepReview]] = {}
    for step in late:
        wanted.setdefault(place_of(plan, step.source or 0, "transfer"), []).append(step)
    for place, steps in wanted.items():
        transfer_ms = max(
            plan.habit(plan.steps[step.source or 0], "transfer")
            + -(-(step.late_ms or 0) // 5_000) * 5_000
            for step in steps
        )
        remedy = f"allow {transfer_ms // 1000} s for a transfer, and lay things ready sooner"
        found = f"changes came late: {_lates(steps)}"
        yield Suggestion(found, remedy, COMMON, {place: written(transfer_ms)})


def _lates(steps: Sequence[StepReview]) -> str:
    return ", ".join(f"{step.name} {(step.late_ms or 0) / 1000:.0f} s late" for step in steps)


def _fog_and_grain(result: Result, *, longer: bool) -> Iterator[Suggestion]:
    if (result.fog or 0) > 0:
        remedy = "test the dark with a coin on a scrap of film for as long as the longest open step"
        yield Suggestion(f"fog {result.fog:+d}", remedy, COMMON, {})
    if (result.grain or 0) > 0:
        remedy = "keep all baths and the wash at one temperature"
        if longer:
            remedy += "; the longer time will make it coarser, and density goes first"
        else:
            remedy += ", and do not develop too far"
        yield Suggestion(f"grain {result.grain:+d}", remedy, COMMON, {})
