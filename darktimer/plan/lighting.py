"""What a plan may do in the dark and in the light: no film meets light that would fog it.

Knows the plan's own order (`Plan.light_safe_after`), not when any of it is. Steps of a closed
vessel may be in a lit room: there the film meets light when it is taken out to be exposed.
"""

from collections.abc import Iterator
from typing import Final

from darktimer.errors import Finding
from darktimer.plan.model import Plan
from darktimer.plan.piece_checks import holding_step
from darktimer.plan.pieces import Pieces
from darktimer.plan.steps import (
    AnyStep,
    Bleach,
    Develop,
    Expose,
    Fix,
    Load,
    PutAway,
    Rinse,
    Soak,
    Wait,
    Wash,
    WashAid,
)
from darktimer.units import clock

#: What commonly has a lid that must come off for each bath, and then keeps no light out.
_WITH_A_LID: Final = ("tub", "bucket", "tray", "cylinder")
_WATER: Final = (Soak, Rinse, Wash)


def faults(plan: Plan) -> Iterator[Finding]:
    """Everything that would let light spoil the film, or the second exposure come to nothing."""
    yield from _open_vessel(plan)
    yield from _put_away(plan)
    yield from _light_after(plan)
    yield from _develop_in_the_light(plan)
    for index, step in enumerate(plan.steps):
        if isinstance(step, Bleach):
            yield from _bleach(plan, index, step)
        if isinstance(step, Develop) and step.pieces and step.pieces.out:
            yield from _pieces(plan, index, step.pieces)
        if isinstance(step, Expose):
            yield from _exposure(plan, index)


def warnings(plan: Plan) -> Iterator[Finding]:
    """What of a lid, a bleach and a second exposure is worth a second thought."""
    if plan.vessel.light == "closed" and plan.vessel.kind in _WITH_A_LID:
        found = f"the film is in the light once the {plan.vessel.kind} is closed"
        remedy = "its lid must let baths in and out but no light; if it comes off, write open"
        yield Finding(("vessel", "light"), found, remedy)
    for index, step in enumerate(plan.steps):
        before, after = plan.steps[max(0, index - 1)], plan.steps[index + 1 :]
        if isinstance(step, Bleach) and not isinstance(before, (*_WATER, Bleach, Load)):
            found = f"{before.called} is carried into the bleach, and the two must never meet"
            yield Finding(("steps", index), found, "write a line - rinse: 2 min between them")
        bleached, fixed, exposed = (
            _last(plan, kind, index) is not None for kind in (Bleach, Fix, Expose)
        )
        if isinstance(step, Develop) and bleached and not exposed:
            found = "no second exposure comes before it: only a developer that fogs the film works"
            remedy = "write a line - expose: 2 min before it, or give it such a developer"
            yield Finding(("steps", index), found, remedy)
        if isinstance(step, Expose) and not any(isinstance(each, Develop) for each in after):
            found = "no develop follows the second exposure, so that no picture comes of it"
            yield Finding(("steps", index), found, "add one after it")
        if isinstance(step, WashAid) and bleached and not fixed:
            found = "a washing aid helps a fixer out, and no fix comes before it"
            remedy = "for the bath that clears the bleach's stain write clearing bath: 2 min"
            yield Finding(("steps", index), found, remedy)


def _last(plan: Plan, kind: type[AnyStep], before: int) -> int | None:
    """The index of the last step of a kind before another; None where there is none."""
    return max((i for i in range(before) if isinstance(plan.steps[i], kind)), default=None)


def _open_vessel(plan: Plan) -> Iterator[Finding]:
    first = plan.steps[0]
    if plan.vessel.light == "open" and not isinstance(first, Load | Wait):
        yield Finding(
            ("steps", 0),
            f"an open vessel is dark from the first moment, but the plan begins with {first.kind}",
            "begin with a line - load: by hand, for taking out the film in the dark",
        )


def _put_away(plan: Plan) -> Iterator[Finding]:
    """Film that is put away is in nothing any more, and only film that was taken out can be."""
    for index, step in enumerate(plan.steps):
        path = ("steps", index)
        if not isinstance(step, PutAway):
            continue
        if plan.vessel.light == "closed":
            found = "the vessel is closed, so that light is safe once it is loaded"
            yield Finding(path, found, "leave this out, or write light: open for the vessel")
        elif not any(isinstance(each, Load) for each in plan.steps[:index]):
            yield Finding(path, "no film was taken out", "write a line - load: by hand before it")
        if step.repeat > 1:
            yield Finding((*path, "repeat"), "the film is put away again", "put it away once")
        if index + 1 < len(plan.steps):
            found = f"{plan.steps[index + 1].called} comes after the film was put away"
            yield Finding(("steps", index + 1), found, "put it before that, or into its own plan")


def _light_after(plan: Plan) -> Iterator[Finding]:
    timed = [(i, s) for i, s in enumerate(plan.steps) if isinstance(s, Fix) and s.light_after]
    for place, (index, fix) in enumerate(timed):
        path, after_ms = ("steps", index, "light after"), fix.light_after or 0
        if plan.vessel.light == "closed":
            found = "the vessel is closed, so that light is safe once it is loaded"
            yield Finding(path, found, "leave this out, or write light: open for the vessel")
        elif plan.light_safe_after is not None and index > plan.light_safe_after:
            found = "light is safe before this fix: the film is bleached and rinsed"
            yield Finding(path, found, "leave this out")
        elif place:
            yield Finding(path, "light becomes safe in two fixes", "say it in one of them")
        if after_ms > fix.fix:
            found = f"{clock(after_ms)} is later than the fix lasts, {clock(fix.fix)}"
            remedy = "write a moment within the fix, or leave it out: light is safe at its end"
            yield Finding(path, found, remedy)
        if fix.repeat > 1:
            found = "light becomes safe in each of several fixes"
            yield Finding(path, found, "write the fixes as steps of their own")


def _develop_in_the_light(plan: Plan) -> Iterator[Finding]:
    """In an open vessel light comes with what makes it safe: film developed then was fogged,
    unless that is what it was exposed for.
    """
    safe = plan.light_safe_after
    if plan.vessel.light == "closed" or safe is None:
        return
    for index, step in enumerate(plan.steps):
        if isinstance(step, Develop) and index > safe and _last(plan, Expose, index) is None:
            if isinstance(plan.steps[safe], Fix):
                found = "this develop comes after the fix that makes light safe"
                yield Finding(("steps", index), found, "put it before that fix")
            else:
                found = "this develop comes after the bleach that makes light safe"
                remedy = "write a line - expose: 2 min before it, for an even second exposure"
                yield Finding(("steps", index), found, remedy)


def _bleach(plan: Plan, index: int, bleach: Bleach) -> Iterator[Finding]:
    whole_ms = bleach.bleach * bleach.repeat
    if whole_ms < bleach.least:
        found = f"{clock(whole_ms)} is shorter than its least time, {clock(bleach.least)}"
        yield Finding(("steps", index, "bleach"), found, "bleach for at least that long")
    after = next(iter(plan.steps[index + 1 :]), None)
    if not isinstance(after, Rinse | Wash | Bleach):
        follows = f"{after.called} follows the bleach" if after else "the plan ends with the bleach"
        found = f"{follows}, which must never meet another bath"
        yield Finding(("steps", index), found, "write a line - rinse: 2 min after it")


def _pieces(plan: Plan, index: int, pieces: Pieces) -> Iterator[Finding]:
    held = holding_step(plan, index, pieces)
    if held is not None and isinstance(plan.steps[held], Bleach):
        found = (
            "pieces would come out of the developer into the bleach, and the two must never meet"
        )
        yield Finding(("steps", index, "pieces", "into"), found, "write water")


def _exposure(plan: Plan, index: int) -> Iterator[Finding]:
    """The film is exposed once the first image is out, and before a fixer takes out the rest."""
    if _last(plan, Bleach, index) is None:
        found = "light fogs the film here: no bleach has taken out the first image"
        yield Finding(("steps", index), found, "write the bleach and a rinse before it")
    elif _last(plan, Fix, index) is not None:
        found = "a fix before the second exposure takes out all that is left to expose"
        yield Finding(("steps", index), found, "put the fix after the second developer")
