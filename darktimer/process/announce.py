"""What should be said by sound, and when, before anything has to give way to anything else.

Knows the vocabulary and the layout. A request is (moment, meaning, index of the step it speaks of).
"""

from bisect import bisect_right
from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from darktimer.plan.kinds import HAND_KINDS
from darktimer.process import meanings

if TYPE_CHECKING:  # who takes up a run in the dark needs spacing, and has no time for plans
    from darktimer.plan.model import Plan
    from darktimer.plan.steps import AnyStep
    from darktimer.process.layout import Laid

#: A warning that follows a step's first cues at once would only confuse.
_QUIET_AFTER_START_MS = 3_000
#: A heartbeat just before the standing ends, or among the last pips, says nothing new.
_QUIET_BEFORE_END_MS = 6_000
#: In a short bout the ear is busy with the turns, so that the minutes are told after it.
_SHORT_BOUT_MS = 15_000
_MOST_MINUTES = 99
_UNCOUNTED_MS = (_MOST_MINUTES + 1) * 60_000


class CueRequest(NamedTuple):
    """A cue before its place is certain; ``acts`` where its moment is, whatever its meaning."""

    at_ms: int
    meaning: str
    step: int
    acts: bool = False


def announce(
    plan: "Plan", steps: "tuple[Laid, ...]", dark_ms: int | None, light_ms: int | None
) -> Iterator[CueRequest]:
    """Every cue that the plan calls for, in no order, one at a time: a day of them is many."""
    for index, step in enumerate(steps):
        yield from _beginning(plan, index, step, dark_ms)
        yield from _spans(plan, index, step)
        yield from _change(plan, index, step)
        yield from _pieces(plan, index, step, _bath_of_pieces(plan, step, steps))
        yield from _passing(plan, index, step)
        if light_ms is not None and step.start_ms < light_ms <= step.end_ms:
            yield CueRequest(light_ms, meanings.LIGHT_SAFE, index)


def without_room(plan: "Plan", steps: "tuple[Laid, ...]") -> list[str]:
    """Notes on warnings that are not given, since their steps are too short for them."""
    names: dict[int, list[str]] = {}
    for step in steps:
        for before, at in _warnings(plan, step):
            if at is None and step.source is not None:
                names.setdefault(before, []).append(step.name)
    none = "No room for the warning {:g} s before the end of: {}."
    return [none.format(before / 1000, some(short)) for before, short in names.items()]


def uncounted(plan: "Plan", steps: "tuple[Laid, ...]") -> Iterator[str]:
    """A note on steps that outlast the minutes that can be told."""
    longer = [
        step.name
        for step in steps
        if step.source is not None
        and step.kind not in HAND_KINDS
        and plan.habit(_written(plan, step), "tally")
        and step.change_ms - step.clock_ms > _UNCOUNTED_MS
    ]
    if longer:
        limit = f"Minutes are counted up to {_MOST_MINUTES}"
        yield f"{limit}; after that the count is silent, and the step goes on, in: {some(longer)}."


def some(names: list[str]) -> str:
    """The first three names, and how many more there are."""
    more = f" and {len(names) - 3} more" if len(names) > 3 else ""
    return ", ".join(names[:3]) + more


def _beginning(plan: "Plan", index: int, step: "Laid", dark_ms: int | None) -> Iterator[CueRequest]:
    by_order = plan.habits.baths_told_by == "order"  # which tells that the first is lights out
    if step.kind == "done":
        yield CueRequest(step.clock_ms, meanings.END, index)
    elif step.start_ms == dark_ms and not by_order:
        yield CueRequest(step.start_ms, meanings.LIGHTS_OUT, index)
    elif step.kind != "ready":
        yield CueRequest(step.start_ms, meanings.enter("" if by_order else step.sign), index)


def _spans(plan: "Plan", index: int, step: "Laid") -> Iterator[CueRequest]:
    """Begin, stop and lift fall on the first moment of the span that they call for."""
    calls = {"agitate": meanings.MOVE, "stand": meanings.STAND, "drain": meanings.LIFT}
    for kind, start, _end in step.spans:
        if kind in calls:
            yield CueRequest(start, calls[kind], index)
    # A sheet that changes baths does so at its own moment, or its time would not be that of others;
    # once it is fixed, the hands may keep their pace by themselves while light-safe sounds.
    kind, _start, changed = step.spans[0]
    strict = kind == "transfer" and not _fixed(plan, step)
    for moment, meaning in step.ticks:
        yield CueRequest(moment, meaning, index, acts=strict and moment < changed)


def _fixed(plan: "Plan", step: "Laid") -> bool:
    """Whether a step comes after the fix that makes light safe."""
    safe = plan.light_safe_after
    if safe is None or plan.steps[safe].kind != "fix":
        return False
    return step.kind == "done" or (step.source or 0) > safe


def _written(plan: "Plan", step: "Laid") -> "AnyStep":
    """The step of the plan whose habits hold: for an added step, the first one."""
    return plan.steps[step.source or 0]


def _begun_ms(step: "Laid") -> int:
    """When the film is in the bath, or the handwork has begun."""
    return (
        step.spans[0][2]
        if step.source is not None and step.kind not in HAND_KINDS
        else step.start_ms
    )


def _warnings(plan: "Plan", step: "Laid") -> Iterator[tuple[int, int | None]]:
    """How long before the change each warning is wanted, the last first, and where it has room."""
    if step.kind != "done":
        for before in sorted(plan.habit(_written(plan, step), "warnings")):
            at = step.change_ms - before
            yield before, at if at >= _begun_ms(step) + _QUIET_AFTER_START_MS else None


def _change(plan: "Plan", index: int, step: "Laid") -> Iterator[CueRequest]:
    """Warnings before the first act of leaving a step, pips before that and before the next."""
    if step.kind == "done":
        return
    for rank, (_before, at) in enumerate(_warnings(plan, step), start=1):
        if at is not None:
            yield CueRequest(at, meanings.ready(rank), index)
    pips = plan.habit(_written(plan, step), "countdown")
    for change in {step.change_ms, step.end_ms}:
        earliest = step.change_ms if change > step.change_ms else _begun_ms(step)
        yield from _pips(index, change, pips, earliest)


def _pieces(plan: "Plan", index: int, step: "Laid", sign: str) -> Iterator[CueRequest]:
    """A piece by itself: its number in place of a warning, pips before each act, and the acts."""
    written, free_ms = _written(plan, step), _begun_ms(step)
    pips = plan.habit(written, "countdown")
    for each in step.handled:
        warned = {each.start_ms - before for before in plan.habit(written, "warnings")}
        earliest = free_ms + _QUIET_AFTER_START_MS
        for at in {at for at in warned if at >= earliest} or {earliest for _ in warned}:
            yield CueRequest(at, meanings.piece(each.piece), index)
        yield from _pips(index, each.start_ms, pips, free_ms)
        if each.enters_ms > each.start_ms:
            yield CueRequest(each.start_ms, meanings.LIFT, index)
            yield from _pips(index, each.enters_ms, pips, each.start_ms)
        yield CueRequest(each.enters_ms, meanings.enter(sign), index)
        free_ms = each.end_ms


def _bath_of_pieces(plan: "Plan", step: "Laid", steps: "tuple[Laid, ...]") -> str:
    """What tells the bath that a piece of ``step`` enters by itself, where baths are told."""
    from darktimer.plan.piece_checks import holding_step

    pieces = getattr(_written(plan, step), "pieces", None)
    told_by = plan.habits.baths_told_by
    if not pieces or step.source is None or told_by == "order":
        return ""
    if not pieces.out:
        return step.sign
    holding = holding_step(plan, step.source, pieces)
    if holding is None:
        return "rinse" if told_by == "signature" else ""
    return next(each.sign for each in steps if each.source == holding)


def _pips(index: int, change_ms: int, pips: int, earliest: int) -> Iterator[CueRequest]:
    """A pip a second, as many as have room after ``earliest``."""
    for k in range(1, pips + 1):
        if change_ms - 1000 * k > earliest:
            yield CueRequest(change_ms - 1000 * k, meanings.PIP, index)


def _passing(plan: "Plan", index: int, step: "Laid") -> Iterator[CueRequest]:
    """The minutes gone, and the heartbeat of standing film."""
    if step.source is None or step.kind in HAND_KINDS:
        return
    written = _written(plan, step)
    tally_ms, heartbeat_ms = plan.habit(written, "tally"), plan.habit(written, "heartbeat")
    minutes = _minutes(step, tally_ms)
    for moment, gone in minutes.items():
        yield CueRequest(_after_turns(step, moment), meanings.tally(gone), index)
    if 0 < tally_ms <= heartbeat_ms:
        return  # the minutes counted are a sign of life themselves
    for moment in _beats(step, heartbeat_ms):
        if moment not in minutes:
            yield CueRequest(moment, meanings.HEARTBEAT, index)


def _minutes(step: "Laid", every_ms: int) -> dict[int, int]:
    """The moments at which minutes are told, and how many are gone by then."""
    until = min(step.change_ms - step.clock_ms, _UNCOUNTED_MS)
    counts = range(every_ms, until, every_ms) if every_ms else ()
    return {step.clock_ms + gone: gone // 60_000 for gone in counts}


def _after_turns(step: "Laid", moment: int) -> int:
    """The end of the short bout of turns that ``moment`` falls into, or the moment itself."""
    kind, start, end = step.spans[bisect_right(step.spans, moment, key=lambda span: span[1]) - 1]
    turning = kind == "agitate" and end - start <= _SHORT_BOUT_MS and step.ticks
    return end if turning else moment


def _beats(step: "Laid", every_ms: int) -> Iterator[int]:
    for kind, start, end in step.spans:
        if kind == "stand" and every_ms:
            yield from range(start + every_ms, end - _QUIET_BEFORE_END_MS, every_ms)
