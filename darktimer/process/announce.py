"""What should be said by sound, and when, before anything has to give way to anything else.

Knows the vocabulary and the layout. A wish is (moment, meaning, index of the step it speaks of).
"""

from collections.abc import Iterator
from itertools import chain
from typing import NamedTuple

from darktimer.plan.model import Plan
from darktimer.plan.steps import AnyStep
from darktimer.process import meanings
from darktimer.process.layout import Laid

#: A warning that follows a step's first cues at once would only confuse.
_QUIET_AFTER_START_MS = 3_000
#: A heartbeat just before the standing ends says nothing that the next cue does not say.
_QUIET_BEFORE_END_MS = 2_000
_MOST_TOLD_MINUTES = 99


class Wish(NamedTuple):
    """A cue before its place is certain."""

    at_ms: int
    meaning: str
    step: int


class Wishes(NamedTuple):
    """All wishes of a plan, in no order, and notes on what was not even wished for."""

    cues: list[Wish]
    notes: list[str]


def announce(
    plan: Plan, steps: tuple[Laid, ...], dark_ms: int | None, light_ms: int | None
) -> Wishes:
    """Every cue that the plan calls for."""
    notes: list[str] = []
    told = chain.from_iterable(
        chain(
            _beginning(index, step, dark_ms),
            _spans(index, step),
            _change(plan, index, step, notes),
            _passing(plan, index, step),
        )
        for index, step in enumerate(steps)
    )
    cues = list(told)
    if light_ms is not None:
        index = max(i for i, step in enumerate(steps) if step.start_ms < light_ms)
        cues.append(Wish(light_ms, meanings.LIGHT_SAFE, index))
    return Wishes(cues, notes)


def _beginning(index: int, step: Laid, dark_ms: int | None) -> Iterator[Wish]:
    if step.kind == "done":
        yield Wish(step.clock_ms, meanings.END, index)
    elif step.start_ms == dark_ms:
        yield Wish(step.start_ms, meanings.LIGHTS_OUT, index)
    elif step.kind != "ready":
        yield Wish(step.start_ms, meanings.enter(step.kind), index)


def _spans(index: int, step: Laid) -> Iterator[Wish]:
    """Begin, stop and lift fall on the first moment of the span that they call for."""
    calls = {"agitate": meanings.MOVE, "stand": meanings.STAND, "drain": meanings.LIFT}
    for kind, start, _end in step.spans:
        if kind in calls:
            yield Wish(start, calls[kind], index)
    for moment, meaning in step.ticks:
        yield Wish(moment, meaning, index)


def _written(plan: Plan, step: Laid) -> AnyStep:
    """The step of the plan whose habits hold: for an added step, the first one."""
    return plan.steps[step.source or 0]


def _change(plan: Plan, index: int, step: Laid, notes: list[str]) -> Iterator[Wish]:
    """Warnings before the first act of leaving a step, pips before that and before the next."""
    if step.kind == "done":
        return
    written = _written(plan, step)
    begun = step.spans[0][2] if step.source is not None and step.kind != "load" else step.start_ms
    for rank, before in enumerate(sorted(plan.habit(written, "warnings")), start=1):
        at = step.change_ms - before
        if at >= begun + _QUIET_AFTER_START_MS:
            yield Wish(at, meanings.ready(rank), index)
        elif step.source is not None:
            notes.append(f"{step.name} is too short for a warning {before / 1000:g} s before.")
    for change in {step.change_ms, step.end_ms}:
        yield from _pips(index, change, plan.habit(written, "countdown"), step, begun)


def _pips(index: int, change_ms: int, pips: int, step: Laid, begun_ms: int) -> Iterator[Wish]:
    """A pip a second, as many as have room, none before the step has begun or at its lift."""
    earliest = step.change_ms if change_ms > step.change_ms else begun_ms
    for k in range(1, pips + 1):
        if change_ms - 1000 * k > earliest:
            yield Wish(change_ms - 1000 * k, meanings.PIP, index)


def _passing(plan: Plan, index: int, step: Laid) -> Iterator[Wish]:
    """The minutes gone, and the heartbeat of standing film."""
    if step.source is None or step.kind == "load":
        return
    written = _written(plan, step)
    tally = plan.habit(written, "tally")
    for gone in range(tally, step.change_ms - step.clock_ms, tally) if tally else ():
        if gone <= _MOST_TOLD_MINUTES * 60_000:
            yield Wish(step.clock_ms + gone, meanings.tally(gone // 60_000), index)
    heartbeat = plan.habit(written, "heartbeat")
    for kind, start, end in step.spans:
        if kind == "stand" and heartbeat:
            last = end - _QUIET_BEFORE_END_MS
            for moment in range(start + heartbeat, last, heartbeat):
                yield Wish(moment, meanings.HEARTBEAT, index)
