"""When each piece of a cut film goes in or out, and how moving gives way to that.

Whoever puts a piece in or takes one out has no hand for the others: moving rests meanwhile, but
turns, which are counted, or a second piece at that moment are refused. Knows one step's body.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final, NamedTuple

from darktimer.errors import Finding, FindingsError
from darktimer.plan.agitation import LEAST_SPAN_MS, LEAST_TURN_MS
from darktimer.plan.model import Plan
from darktimer.plan.steps import Develop
from darktimer.process import meanings
from darktimer.process.schemes import SHORT_SPAN_MS, Body, Moving
from darktimer.process.timeline import FilmPiece
from darktimer.units import clock

_Bout = tuple[int, int]


#: The number of the next piece, which may last five seconds, and a countdown of three.
LEAST_BETWEEN_MS: Final = 10_000


class Handling(NamedTuple):
    """The hands are busy with one piece, which is lifted before it ``enters_ms`` another bath."""

    piece: int
    start_ms: int
    enters_ms: int
    end_ms: int


class Cut(NamedTuple):
    """A film in pieces: what the hands do with single ones, the pieces, and what is moved.

    ``gave_way_ms`` of moving, all in all, gave way to the hands' being busy.
    """

    handled: tuple[Handling, ...]
    pieces: tuple[FilmPiece, ...]
    moved: Moving
    gave_way_ms: int = 0


def cut(plan: Plan, step: Develop, body: Body, moved: Moving, end_ms: int) -> Cut:
    """The pieces of the plan's ``step`` in ``body``, moved as ``moved`` but for what gives way.

    ``end_ms`` is the end of the step, its drain included. Raises `FindingsError` where the hands
    would have to do two things at once.
    """
    pieces = step.pieces
    assert pieces is not None
    opened_ms = min(body.begins_ms + body.opening_ms, body.ends_ms)
    handled: list[Handling] = []
    laid: list[FilmPiece] = []
    for number, time_ms in enumerate(step.times_ms, 1):
        stands_ms = opened_ms if number > len(step.times_ms) - (pieces.standing or 0) else None
        start_ms = body.begins_ms - plan.habit(step, "transfer")
        whole = FilmPiece(number, 0, start_ms, end_ms, time_ms, stands_ms)
        if time_ms == step.develop:  # goes in, or out, by the film's own cues
            laid.append(whole)
        elif pieces.out:
            handled.append(_taken_out(plan, step, whole, body))
            laid.append(whole._replace(end_ms=handled[-1].enters_ms))
        else:
            handled.append(_put_in(step, whole, body))
            laid.append(whole._replace(start_ms=handled[-1].start_ms))
    handled.sort(key=lambda each: each.start_ms)
    if faults := [*_at_once(handled, body), *_turned_meanwhile(handled, moved, body)]:
        raise FindingsError(faults)
    if pieces.standing:
        return Cut((), tuple(laid), moved._replace(bouts=_parted(moved.bouts, opened_ms)))
    left = _giving_way(moved, handled, body)
    return Cut(tuple(handled), tuple(laid), left, _length(moved) - _length(left))


def _length(moved: Moving) -> int:
    return sum(end - start for start, end in moved.bouts)


def _put_in(step: Develop, piece: FilmPiece, body: Body) -> Handling:
    """So much later than the longest piece as its time is shorter."""
    start_ms = piece.start_ms + step.develop - piece.time_ms
    over_ms = start_ms + body.begins_ms - piece.start_ms
    return Handling(piece.number, start_ms, start_ms, over_ms)


def _taken_out(plan: Plan, step: Develop, piece: FilmPiece, body: Body) -> Handling:
    """So much earlier than the longest piece, and then laid into the bath where it waits."""
    lift_ms = body.ends_ms - (step.develop - piece.time_ms)
    laid_ms = lift_ms + plan.habit(step, "drain")
    return Handling(piece.number, lift_ms, laid_ms, laid_ms + plan.habit(step, "transfer"))


def _at_once(handled: Sequence[Handling], body: Body) -> Iterator[Finding]:
    """Where another piece, or all, would be due before hands and ears are free again."""
    busy = [
        (body.begins_ms, body.begins_ms, "the film is covered at"),
        *((each.start_ms, each.end_ms, f"piece {each.piece} is due at") for each in handled),
        (body.ends_ms, body.ends_ms, "all are due to leave at"),
    ]
    for (began, over, one), (start, _, other) in pairwise(busy):
        if start - over < LEAST_BETWEEN_MS and handled:
            takes = f" and takes {(over - began) / 1000:g} s" if over > began else ""
            found = f"{one} {_moment(began, body)}{takes}, but {other} {_moment(start, body)}"
            remedy = "allow 10 s or more between them: write other times, or less transfer or drain"
            yield Finding(("pieces",), found, remedy)


def _turned_meanwhile(handled: Sequence[Handling], moved: Moving, body: Body) -> Iterator[Finding]:
    for each in handled:
        for at in _ticks_at(each, moved):
            due, turn = _moment(each.start_ms, body), _moment(at, body)
            found = f"piece {each.piece} is due at {due}, but the film is to be turned at {turn}"
            yield Finding(("pieces",), found, "write other times, or another agitation")


def _moment(at_ms: int, body: Body) -> str:
    """On the step's clock, which may begin once the film is covered."""
    since_ms = at_ms - body.clock_ms
    return clock(since_ms) if since_ms >= 0 else f"-{clock(-since_ms)}"


def _parted(bouts: Sequence[_Bout], at_ms: int) -> list[_Bout]:
    """Bouts of which each begins anew at ``at_ms``, where some pieces are left alone from then."""
    edges = [(a, at_ms, b) if a < at_ms < b else (a, b) for a, b in bouts]
    return [bout for each in edges for bout in pairwise(each)]


def _giving_way(moved: Moving, handled: Sequence[Handling], body: Body) -> Moving:
    edges = [
        body.begins_ms,
        *(ms for each in handled for ms in (each.start_ms, each.end_ms)),
        body.ends_ms,
    ]
    free = zip(edges[::2], edges[1::2], strict=True)
    return moved._replace(bouts=[bout for gap in free for bout in _between(*gap, moved)])


def _ticks_at(handled: Handling, moved: Moving) -> list[int]:
    """The first tick that falls on the handling, or into a bout of turns that it would cut."""
    start, end = handled.start_ms - LEAST_TURN_MS, handled.end_ms + LEAST_SPAN_MS
    cut_short = [(a, b) for a, b in moved.bouts if a < handled.end_ms and b > handled.start_ms]
    found = (
        at
        for at, meaning in moved.ticks
        if start < at < end or (meaning == meanings.TURN and any(a <= at < b for a, b in cut_short))
    )
    return list(found)[:1]


def _between(start_ms: int, end_ms: int, moved: Moving) -> list[_Bout]:
    """The bouts between two moments; what is left beside these too short for hands is rounded."""
    inside = [(max(a, start_ms), min(b, end_ms)) for a, b in moved.bouts]  # of no length elsewhere
    kept = [(a, b) for a, b in inside if b - a >= SHORT_SPAN_MS or (a, b) in moved.bouts]
    if kept and kept[0][0] < start_ms + SHORT_SPAN_MS:
        kept[0] = (start_ms, kept[0][1])
    if kept and kept[-1][1] > end_ms - SHORT_SPAN_MS:
        kept[-1] = (kept[-1][0], end_ms)
    return kept
