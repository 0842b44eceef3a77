"""What to change in a plan after a run, by rules of thumb, each with where it is from.

One thing is changed at a time where one will do. Nothing here was measured on the user's own film:
a suggestion is a start for the next test, never a promise.
"""

from collections.abc import Iterator
from fractions import Fraction
from typing import Any, Final, NamedTuple

from darktimer.document.reader import Path_
from darktimer.journal.results import Result, word
from darktimer.journal.review import Review, StepReview
from darktimer.journal.revise import Changes
from darktimer.plan.agitation import Continuous, Inversions, ShareOfTime, Stand
from darktimer.plan.model import Plan
from darktimer.plan.steps import AnyStep, Develop
from darktimer.units import clock

COMMON: Final = "common practice, no source"
_NAVY: Final = "Navy training manual 14209"

#: How much of the developing time one step of the scale is worth (common practice, no source).
_STEP_OF_TIME: Final = 0.15
#: The usual steps of agitation, from most to least.
_SHARES: Final = tuple(map(Fraction, ("1", "3/4", "1/2", "1/3", "1/4", "1/6", "1/8")))
_MANUAL_OPENING_MS: Final = 30_000
_LONG_OPENING_MS: Final = 60_000
_SHORT_DEVELOP_MS: Final = 300_000
_LATE_MS: Final = 2_000
_OFF_CELSIUS: Final = 1.0


class Suggestion(NamedTuple):
    """What was found, what to do about it, where that rule is from, and what it changes.

    ``changes`` is empty where the mend lies outside the plan.
    """

    found: str
    mend: str
    source: str
    changes: Changes


def suggest(found: Review, plan: Plan) -> list[Suggestion]:
    """Everything that the result and the times of a run suggest for its plan."""
    return [
        *_strength(found, plan),
        *_evenness(found.result, plan),
        *_lateness(found.steps, plan),
        *_fog_and_grain(found.result),
    ]


def _strength(found: Review, plan: Plan) -> Iterator[Suggestion]:
    """Density and contrast: by the bath's warmth, by time, or by agitation, in this order."""
    result = found.result
    density, contrast = result.density or 0, result.contrast or 0
    wanted = density if density * contrast >= 0 and density else contrast
    if not wanted:
        return
    off = _off_celsius(found)
    if off * wanted > 0:
        yield Suggestion(
            f"{_said(result)}; the developer was {abs(off):g} C {'warm' if off > 0 else 'cold'}",
            "keep the plan and mend the temperature first",
            COMMON,
            {},
        )
        return
    if density * contrast < 0:
        mend = f"give the film {'less' if density > 0 else 'more'} exposure"
        yield Suggestion(
            f"{_said(result)}: they point to different ends",
            f"{mend}; the plan follows the contrast",
            f"{COMMON}: exposure makes density, development makes contrast",
            {},
        )
    for index, step in enumerate(plan.steps):
        if isinstance(step, Develop):
            by_time = bool(density) and density * contrast >= 0
            yield (
                _by_time(result, index, step, wanted)
                if by_time
                else _by_agitation(result, plan, index, step, wanted)
            )


def _by_time(result: Result, index: int, step: Develop, wanted: int) -> Suggestion:
    time_ms = round(step.develop * (1 - _STEP_OF_TIME * wanted) / 5_000) * 5_000
    verb = "shorter" if wanted > 0 else "longer"
    return Suggestion(
        _said(result),
        f"develop {abs(wanted) * _STEP_OF_TIME:.0%} {verb}: "
        f"{clock(time_ms)} in place of {clock(step.develop)}",
        COMMON,
        {("steps", index, "develop"): written(time_ms)},
    )


def _by_agitation(result: Result, plan: Plan, index: int, step: Develop, wanted: int) -> Suggestion:
    scheme, place = plan.agitation(step), _place(plan, index, "agitation")
    less, changes = wanted > 0, None
    if isinstance(scheme, Continuous) and less:
        changes = {place: "1/2"}
    elif isinstance(scheme, Stand) and not less:
        changes = {place: "1/4"}
    elif isinstance(scheme, ShareOfTime) and (share := _next_share(scheme.share, less)):
        changes = {_place_of_share(plan, place): str(share)}
    elif isinstance(scheme, Inversions) and scheme.every:
        every_ms = scheme.every * 2 if less else scheme.every // 2
        if scheme.within + 1_000 <= every_ms <= step.develop:
            changes = {(*place, "every"): written(every_ms)}
    if changes is None:
        return _by_time(result, index, step, wanted)
    (value,) = changes.values()
    mend = f"{'less' if less else 'more'} agitation: {value}, and the same time"
    return Suggestion(_said(result), mend, COMMON, changes)


def _next_share(share: Fraction, less: bool) -> Fraction | None:
    """The usual share next to ``share`` on the side asked for."""
    if less:
        return next((each for each in _SHARES if each < share), None)
    return next((each for each in reversed(_SHARES) if each > share), None)


def _evenness(result: Result, plan: Plan) -> Iterator[Suggestion]:
    if (result.evenness or 0) >= 0:
        return
    found = f"evenness {result.evenness} ({word('evenness', result.evenness or 0)})"
    for index, step in enumerate(plan.steps):
        if not isinstance(step, Develop):
            continue
        opening = plan.habit(step, "opening")
        if isinstance(plan.agitation(step), ShareOfTime | Inversions | Stand):
            longer = _MANUAL_OPENING_MS if opening < _MANUAL_OPENING_MS else _LONG_OPENING_MS
            if opening < longer:
                source = _NAVY if longer == _MANUAL_OPENING_MS else COMMON
                mend = f"agitate for {longer // 1000} s at the start, not {opening // 1000} s"
                place = _place(plan, index, "opening")
                yield Suggestion(found, mend, source, {place: written(longer)})
        if step.develop < _SHORT_DEVELOP_MS or result.evenness == -2:
            mend = "mix the developer weaker and develop longer, 5 min or more, after a test"
            yield Suggestion(f"{found} after {clock(step.develop)}", mend, COMMON, {})


def _lateness(steps: tuple[StepReview, ...], plan: Plan) -> Iterator[Suggestion]:
    if plan.sheets:  # there a transfer is the pace from sheet to sheet, not a lead
        return
    wanted: dict[Path_, tuple[int, list[str]]] = {}
    for review in steps:
        if review.source is None or not review.late_ms or review.late_ms < _LATE_MS:
            continue
        step, late_ms = plan.steps[review.source], review.late_ms
        transfer_ms = plan.habit(step, "transfer") + -(-late_ms // 5_000) * 5_000
        place = _place(plan, review.source, "transfer")
        longest, names = wanted.get(place, (0, []))
        names = [*names, f"{review.name} {late_ms / 1000:.0f} s"]
        wanted[place] = max(longest, transfer_ms), names
    for place, (transfer_ms, names) in wanted.items():
        mend = f"allow {transfer_ms // 1000} s for a transfer, and lay things ready sooner"
        found = f"changes came late: {', '.join(names)}"
        yield Suggestion(found, mend, COMMON, {place: written(transfer_ms)})


def _fog_and_grain(result: Result) -> Iterator[Suggestion]:
    if (result.fog or 0) > 0:
        mend = "test the dark with a coin on a scrap of film for as long as the longest open step"
        yield Suggestion(f"fog {result.fog:+d}", mend, COMMON, {})
    if (result.grain or 0) > 0:
        mend = "keep all baths and the wash at one temperature, and do not develop too far"
        yield Suggestion(f"grain {result.grain:+d}", mend, COMMON, {})


def _off_celsius(found: Review) -> float:
    """How much warmer the developer was than planned, 0 where it is not known or near enough."""
    planned = [step.celsius for step in found.steps if step.kind == "develop"]
    measured = found.result.celsius
    if measured is None or not planned or planned[0] is None:
        return 0.0
    off = round(measured - planned[0], 1)
    return off if abs(off) >= _OFF_CELSIUS else 0.0


def _said(result: Result) -> str:
    figures = {"density": result.density, "contrast": result.contrast}
    return ", ".join(
        f"{scale} {value:+d} ({word(scale, value)})" for scale, value in figures.items() if value
    )


def _place(plan: Plan, index: int, habit: str) -> Path_:
    """Where a habit that holds for a step is written, or would be: in the step if it has its own.

    What only one step needs, the agitation of a developer say, is added to that step.
    """
    step: AnyStep = plan.steps[index]
    own = getattr(step, habit) is not None
    in_habits = getattr(plan.habits, habit) is not None or habit == "transfer"
    return ("habits", habit) if in_habits and not own else ("steps", index, habit)


def _place_of_share(plan: Plan, place: Path_) -> Path_:
    """A share stands alone, or as ``share`` in a block with a cycle of its own."""
    owner: Any = plan.habits if place[0] == "habits" else plan.steps[int(place[1])]
    scheme = owner.agitation
    alone = isinstance(scheme, ShareOfTime) and not scheme.writes("cycle")
    return place if alone else (*place, "share")


def written(ms: int) -> str:
    """A duration as plans write it: ``12 min 45 s``."""
    hours, rest = divmod(ms, 3_600_000)
    minutes, rest = divmod(rest, 60_000)
    parts = ((hours, "h"), (minutes, "min"), (rest / 1000, "s"))
    return " ".join(f"{value:g} {unit}" for value, unit in parts if value)
