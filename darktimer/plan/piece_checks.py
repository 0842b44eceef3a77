"""What in the pieces of a plan disagrees with itself, or with the rest of the plan.

Whether the hands have the time is seen in the layout.
"""

from collections.abc import Iterator
from typing import Final

from darktimer.errors import Finding, KeyPath
from darktimer.plan.baths import bath_key, bath_name, is_water
from darktimer.plan.model import Plan
from darktimer.plan.pieces import MOST_PIECES, Pieces
from darktimer.plan.steps import Develop
from darktimer.units import clock

_HOW_MANY: Final = f"write 2 to {MOST_PIECES} pieces"
#: What may come before a bath into which pieces go one by one, and so wait for their turn.
_BEFORE: Final = ("load", "soak", "rinse", "wash")


def holding_step(plan: Plan, index: int, pieces: Pieces) -> int | None:
    """The later step in whose bath pieces wait that are out; None where they wait in water."""
    name = pieces.holding_bath
    return None if is_water(name) else next(_later_with(plan, index, name), None)


def _later_with(plan: Plan, index: int, name: str) -> Iterator[int]:
    baths = enumerate(map(bath_name, plan.steps))
    return (k for k, bath in baths if k > index and bath_key(bath) == bath_key(name))


def faults(plan: Plan, index: int, step: Develop, pieces: Pieces) -> Iterator[Finding]:
    """What in ``pieces`` of the plan's step disagrees with itself or with the rest of the plan."""
    path, here = ("steps", index), ("steps", index, "pieces")
    yield from _kind_of_test(pieces, here)
    yield from _times(step, pieces, here)
    yield from _vessel(plan, pieces, here)
    yield from _one_by_one(plan, index, pieces, here)
    if step.repeat > 1:
        yield Finding((*path, "repeat"), "a bath with pieces is repeated", "write each by itself")
    if step.adjust:
        found = "a test of times is adjusted"
        yield Finding((*path, "adjust"), found, "leave it out, and write the times as they are")
    if any(getattr(each, "pieces", None) for each in plan.steps[:index]):
        yield Finding(here, "the film is cut into pieces twice", "keep the pieces of one step")


def _kind_of_test(pieces: Pieces, here: KeyPath) -> Iterator[Finding]:
    written = [key for key in ("times", "stops apart", "standing") if _says(pieces, key)]
    if len(written) != 1:
        found = f"both {written[0]!r} and {written[1]!r} are written" if written else (
            "what the pieces differ in is missing")  # fmt: skip
        remedy = "write times: [6 min, 8 min], or count with stops apart: 1/2, or with standing: 1"
        yield Finding(here, found, remedy)
    elif written == ["times"] and pieces.count:
        found = "both 'times' and 'count' are written"
        yield Finding((*here, "count"), found, "leave the count out")
    elif written != ["times"] and not 2 <= (pieces.count or 0) <= MOST_PIECES:
        found = f"found {pieces.count}" if pieces.count else "'count' is missing"
        yield Finding((*here, "count") if pieces.count else here, found, _HOW_MANY)
    elif pieces.standing and pieces.standing >= (pieces.count or 0):
        found = f"{pieces.standing} of {pieces.count} pieces stand"
        yield Finding((*here, "standing"), found, "leave at least one that is moved")


def _says(pieces: Pieces, key: str) -> bool:
    return bool(getattr(pieces, key.replace(" ", "_")))


def _times(step: Develop, pieces: Pieces, here: KeyPath) -> Iterator[Finding]:
    if pieces.times and max(pieces.times) != step.develop:
        found = f"the longest piece develops {clock(max(pieces.times))}, the step lasts "
        remedy = f"write develop: {clock(max(pieces.times))}, or another longest time"
        yield Finding((*here, "times"), f"{found}{clock(step.develop)}", remedy)
    if len(pieces.times) == 1:
        yield Finding((*here, "times"), "a single piece compares with nothing", _HOW_MANY)
    if len(set(pieces.times)) < len(pieces.times):
        found = "two pieces have the same time"
        yield Finding((*here, "times"), found, "write each time once")


def _vessel(plan: Plan, pieces: Pieces, here: KeyPath) -> Iterator[Finding]:
    sheets = sum(film.sheets or 0 for film in plan.films)
    number = len(pieces.times) or pieces.count or 0
    if sheets and sheets != number:
        found = f"{number} pieces of {sheets} sheets, of which each is a piece"
        yield Finding(here, found, f"write as many as there are sheets, {sheets}")
    if len(plan.films) > 1 and not sheets:
        found = f"{len(plan.films)} films are cut into pieces at once"
        yield Finding(here, found, "cut one film, and write it alone")
    if not pieces.standing and plan.vessel.light == "closed":
        found = "a closed vessel is not opened for each piece"
        yield Finding(here, found, "work in the dark, and write light: open for the vessel")
    elif pieces.standing and plan.vessel.kind == "drum":
        found = "a drum that stands wets a part of its film only"
        yield Finding((*here, "standing"), found, "write another kind of vessel")
    if pieces.standing and plan.vessel.volume and plan.vessel.volume.number != 2:
        found = "the pieces that stand have a vessel of their own, the volume is not that of two"
        yield Finding(("vessel", "volume"), found, "write it such as two of 1 l")


def _one_by_one(plan: Plan, index: int, pieces: Pieces, here: KeyPath) -> Iterator[Finding]:
    ways = [way for way, said in (("in", pieces.in_), ("out", pieces.out)) if said]
    if pieces.standing:
        for way in ways:
            found = "pieces that differ in agitation go in and out together"
            yield Finding((*here, way), found, "leave this out")
    elif len(ways) != 1:
        found = "both 'in' and 'out' are written" if ways else "neither 'in' nor 'out' is written"
        yield Finding(here, found, "write in: one by one, or out: one by one")
    wet = next((s.kind for s in plan.steps[:index] if s.kind not in _BEFORE), None)
    if pieces.in_ and wet:
        found = f"pieces that wait for this bath would wait with what the {wet} left in them"
        yield Finding((*here, "in"), found, "let them differ in the first bath, or write out")
    if not pieces.into:
        return
    if not pieces.out:
        found = "pieces wait in a holding bath only where they go out one by one"
        yield Finding((*here, "into"), found, "leave this out")
    elif not is_water(pieces.into) and holding_step(plan, index, pieces) is None:
        found = f"no later step has a bath {pieces.into!r}"
        yield Finding((*here, "into"), found, "write water, or the bath of a later step")
