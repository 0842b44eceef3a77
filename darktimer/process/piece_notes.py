"""What a person should know of the pieces of a plan before the dark, in sentences."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from darktimer.plan.pieces import Pieces
from darktimer.plan.steps import Develop
from darktimer.process.timeline import FilmPiece
from darktimer.units import clock

if TYPE_CHECKING:
    from darktimer.plan.model import Plan
    from darktimer.process.layout import Laid

_NOTCHES = (
    "While you load, cut as many notches into the edge of each piece as its number, three close "
    "together and then a gap: fingers read them in the dark."
)


def piece_notes(plan: "Plan", steps: "Sequence[Laid]") -> Iterator[str]:
    """The order of the pieces, how they are told apart, and what gives way to them."""
    for laid in steps:
        step = None if laid.source is None else plan.steps[laid.source]
        if isinstance(step, Develop) and step.pieces:
            yield f"{_order_of(step, step.pieces, laid.pieces)} {_NOTCHES}"
            if laid.gave_way_ms:
                lost = clock(laid.gave_way_ms)
                yield f"While a piece goes in or out nothing is moved: {lost} of moving gives way."


def _order_of(step: Develop, pieces: Pieces, laid: Sequence[FilmPiece]) -> str:
    if pieces.standing:
        *_, first, last = [0, *(each.number for each in laid if each.stands_ms is not None)]
        which = f"pieces {first} to {last}" if first else f"piece {last}"
        return (
            f"The film of {step.called} is cut into {len(laid)} pieces in two vessels of the same "
            f"bath, one for each hand: from the opening on only the others are moved, not {which}."
        )
    by_turn = sorted(laid, key=lambda each: each.time_ms, reverse=not pieces.out)
    if pieces.out:
        moments = (f"piece {each.number} after {clock(each.time_ms)}" for each in by_turn)
        way = f"leave one by one, the shortest first, and wait in {pieces.holding_bath}"
    else:
        moments = (
            f"piece {each.number} at {clock(step.develop - each.time_ms)} for {clock(each.time_ms)}"
            for each in by_turn
        )
        way = "go in one by one, the longest first, and leave together"
    return f"The pieces of {step.called} {way}: {', '.join(moments)}."
