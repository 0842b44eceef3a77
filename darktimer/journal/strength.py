"""Density and contrast: how much more or less to develop, and by time or by agitation.

One step of the scale is worth the same share of the development, whatever brings it about. What is
changed is what was really done, not what was planned: a bath that stood too warm, or a film that
was lifted late, is counted in.
"""

from collections.abc import Iterator
from fractions import Fraction
from itertools import takewhile
from typing import Final, NamedTuple

from darktimer.bench.rules_of_thumb import (
    CONTINUOUS_SHORTENS,
    INTERMITTENT,
    agitated_time,
    moving_share,
)
from darktimer.errors import KeyPath
from darktimer.journal.results import Result, word
from darktimer.journal.review import Review
from darktimer.journal.revise import Changes
from darktimer.journal.suggestion import COMMON, Suggestion, is_block, place_of, written
from darktimer.journal.worth import Worth, written_for
from darktimer.plan.agitation import Continuous, ShareOfTime
from darktimer.plan.model import Plan
from darktimer.plan.reader import PlanFile
from darktimer.plan.steps import Develop, Expose
from darktimer.units import clock, degrees, nearest_clock

_OF_A_POSITIVE: Final = ", of a positive: its first develop makes it thinner"
#: How much of the development one step of the scale is worth (common practice, no source).
STEP: Final = 0.15
#: Agitation does for a time where its effect is so near to what is wanted.
_NEAR: Final = 0.05
#: Two develops this close are one: no result tells them apart.
_ALIKE: Final = 0.025
_TO_MS: Final = 5_000
#: The usual shares of the time, from most to least.
_SHARES: Final = ("3/4", "1/2", "1/3", "1/4", "1/6", "1/8")


class _Way(NamedTuple):
    """Another agitation: what it is called, what to write for it, the share in which film moves."""

    called: str
    changes: Changes
    moving: float


def strength(found: Review, file: PlanFile) -> Iterator[Suggestion]:
    """What density and contrast ask for, for each develop of the plan."""
    result = found.result
    if result.density is None and result.contrast is None:
        return
    if any(isinstance(step, Expose) for step in file.plan.steps):
        yield from _of_a_positive(found, file)
        return
    density, contrast = result.figure("density"), result.figure("contrast")
    wanted = density if density * contrast >= 0 and density else contrast
    if density * contrast < 0:
        exposure = "less" if density > 0 else "more"
        yield Suggestion(
            f"{_figures(result)}: they point to different ends",
            f"give the film {exposure} exposure; the plan follows the contrast",
            f"{COMMON}: exposure makes density, development makes contrast",
            {},
        )
    for index, step in enumerate(file.plan.steps):
        if isinstance(step, Develop):
            contrast_alone = density * wanted <= 0
            yield from _for_develop(found, file, index, step, wanted, contrast_alone)


def _of_a_positive(found: Review, file: PlanFile) -> Iterator[Suggestion]:
    """What the first developer takes, no second one gives: the longer it works the thinner is the
    positive, while the second works to its end.
    """
    if found.result.density is None:
        remedy = "no rule is known for a positive: change the first developer, and make a test"
        yield Suggestion(_figures(found.result), remedy, COMMON, {})
        return
    first = takewhile(lambda step: not isinstance(step, Expose), file.plan.steps)
    for index, step in enumerate(first):
        if isinstance(step, Develop):
            wanted = -found.result.density
            yield from _for_develop(found, file, index, step, wanted, of=_OF_A_POSITIVE)


def _for_develop(
    found: Review,
    file: PlanFile,
    index: int,
    step: Develop,
    wanted: int,
    contrast_alone: bool = False,
    of: str = "",
) -> Iterator[Suggestion]:
    """What is ``wanted`` of a develop, in steps of the scale: of 0, what was done once more."""
    done, change = found.worth(index), -STEP * wanted
    target_ms, said = done.done_ms * (1 + change), _figures(found.result) + of + _done(done)
    if abs(target_ms / done.planned_ms - 1) < _ALIKE:
        if wanted:
            kept = "keep the plan, and keep to its times and temperatures: that alone is "
            yield Suggestion(said, f"{kept}{_percent(change)} development", COMMON, {})
        return
    uneven = found.result.figure("evenness") < 0
    as_planned = abs(done.done_ms / done.planned_ms - 1) < _ALIKE
    if contrast_alone and as_planned and not (uneven and change < 0):
        way = _agitation(file, index, step, change)
        if way:
            yield _by_agitation(said, file.plan, step, way)
            return
    yield _by_time(found, file, said, index, target_ms, change)


def _by_time(
    found: Review, file: PlanFile, said: str, index: int, target_ms: float, change: float
) -> Suggestion:
    basis, step = found.bases[index], file.plan.steps[index]
    assert isinstance(step, Develop)
    time_ms = max(1, round(written_for(basis, target_ms) / _TO_MS)) * _TO_MS
    at = f" as written for {degrees(basis.for_celsius)}" if basis.adjust else ""
    much = f"{_percent(change)} development" if change else "the same development again"
    remedy = f"{much}: {clock(time_ms)} in place of {clock(step.develop)}{at}"
    return Suggestion(said, remedy, COMMON, {("steps", index, "develop"): written(time_ms)})


def _by_agitation(said: str, plan: Plan, step: Develop, way: _Way) -> Suggestion:
    effect = _effect(plan, step, way)
    remedy = (
        f"{'less' if effect < 0 else 'more'} agitation, and the same time: {way.called} is worth "
        f"{_percent(effect)} development, where continuous agitation shortens by "
        f"{CONTINUOUS_SHORTENS:.0%}"
    )
    return Suggestion(said, remedy, COMMON, way.changes)


def _agitation(file: PlanFile, index: int, step: Develop, change: float) -> _Way | None:
    """The way of agitation whose effect is near the change wanted, by the rule of the bench."""
    scheme = file.plan.agitation(step)
    if not isinstance(scheme, Continuous | ShareOfTime):
        return None
    if moving_share(file.plan, step) < INTERMITTENT:  # no rule is known for standing film
        return None
    ways = _ways(file, place_of(file.plan, index, "agitation"))
    off = {abs(_effect(file.plan, step, way) - change): way for way in ways}
    return off[min(off)] if min(off) <= _NEAR else None


def _effect(plan: Plan, step: Develop, way: _Way) -> float:
    """How much more or less is developed in the same time, a plain fraction."""
    moving = moving_share(plan, step)
    return step.develop / agitated_time(step.develop, way.moving, moving) - 1


def _ways(file: PlanFile, place: KeyPath) -> Iterator[_Way]:
    """Continuous agitation, and the usual shares of the time that the rule holds for."""
    if is_block(file, place):
        place = (*place, "share")
    else:
        yield _Way("continuous agitation", {place: "continuous"}, 1.0)
    for share in _SHARES:
        yield _Way(f"moving {share} of the time", {place: share}, float(Fraction(share)))


def _figures(result: Result) -> str:
    """What asks for a change, or else what was right."""
    given = {"density": result.density, "contrast": result.contrast}
    found = {scale: value for scale, value in given.items() if value is not None}
    asking = {scale: value for scale, value in found.items() if value}
    return ", ".join(
        f"{scale} {_signed(value)} ({word(scale, value)})"
        for scale, value in (asking or found).items()
    )


def _signed(value: int) -> str:
    return f"{value:+d}" if value else "0"


def _done(done: Worth) -> str:
    """What was really done, where that is not what was planned."""
    if abs(done.done_ms / done.planned_ms - 1) < _ALIKE:
        return ""
    at = "" if done.celsius is None else f" at {degrees(done.celsius)}"
    worth, planned = nearest_clock(done.done_ms), nearest_clock(done.planned_ms)
    return f" after a develop worth {worth}{at}, where {planned} were planned"


def _percent(change: float) -> str:
    return f"{abs(change):.0%} {'less' if change < 0 else 'more'}".replace("%", " %")
