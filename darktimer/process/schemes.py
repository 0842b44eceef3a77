"""Ways of agitation turned into bouts of moving and ticks, in whole milliseconds.

Knows one step's body: the stretch in which the film lies in the bath, between the transfer and
the drain. What is not in a bout is standing.
"""

from collections.abc import Callable
from itertools import pairwise
from typing import Any, Final, NamedTuple

from darktimer.errors import UnreadableError
from darktimer.plan.agitation import (
    Continuous,
    Inversions,
    Rotation,
    Scheme,
    ShareOfTime,
    Shuffle,
    Stand,
    Still,
)
from darktimer.process import meanings

#: A rest shorter than this at the end of a shuffle is not worth putting the film down for.
_LEAST_REST_MS: Final = 3_000


class Body(NamedTuple):
    """Where a step's film lies in its bath: ``begins_ms`` to ``ends_ms``, and its clock."""

    clock_ms: int
    time_ms: int
    begins_ms: int
    ends_ms: int
    opening_ms: int
    sheets: int

    @property
    def length_ms(self) -> int:
        return self.ends_ms - self.begins_ms


class Moving(NamedTuple):
    """Bouts of moving, in order and apart, and the ticks that sound within them."""

    bouts: list[tuple[int, int]]
    ticks: list[tuple[int, str]]


def moving(scheme: Scheme, body: Body) -> Moving:
    """The bouts and ticks of ``scheme``; raises `UnreadableError` where it does not fit."""
    bouts, ticks = _BY_SCHEME[type(scheme)](scheme, body)
    return Moving(_joined(bouts), ticks)


def _joined(bouts: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Bouts that touch are one bout; empty ones are none."""
    joined: list[tuple[int, int]] = []
    for start, end in bouts:
        if joined and joined[-1][1] == start:
            joined[-1] = (joined[-1][0], end)
        elif end > start:
            joined.append((start, end))
    return joined


def _continuous(_scheme: Continuous, body: Body) -> Moving:
    return Moving([(body.begins_ms, body.ends_ms)], [])


def _still(_scheme: Still, _body: Body) -> Moving:
    return Moving([], [])


def _opening(body: Body, most_ms: int) -> tuple[int, int]:
    return body.begins_ms, body.begins_ms + min(body.opening_ms, most_ms, body.length_ms)


def _stand(_scheme: Stand, body: Body) -> Moving:
    return Moving([_opening(body, body.length_ms)], [])


def _share(scheme: ShareOfTime, body: Body) -> Moving:
    """The opening counts; the rest is dealt evenly to the cycles after it, exact in total."""
    target = round(body.time_ms * scheme.share)
    if target > body.length_ms:
        raise UnreadableError(
            f"{scheme.share} of the time is {target / 1000:g} s, "
            f"but transfer and drain leave only {body.length_ms / 1000:g} s",
            "ask for less, or write continuous",
        )
    opening = _opening(body, target)
    rest = target - (opening[1] - opening[0])
    slots = _cycles(opening[1], body, scheme.cycle)
    if rest > sum(end - start for start, end in slots):  # no room after it: a longer opening
        return Moving([(body.begins_ms, body.begins_ms + target)], [])
    dealt = _deal(rest, [end - start for start, end in slots])
    bouts = [(start, start + ms) for (start, _), ms in zip(slots, dealt, strict=True)]
    return Moving([opening, *bouts], [])


def _cycles(after_ms: int, body: Body, cycle_ms: int) -> list[tuple[int, int]]:
    """The cycles that begin at or after ``after_ms``; a last one under half a cycle is joined."""
    first = -(-(after_ms - body.begins_ms) // cycle_ms)
    starts = list(range(body.begins_ms + first * cycle_ms, body.ends_ms, cycle_ms))
    if len(starts) > 1 and body.ends_ms - starts[-1] < cycle_ms / 2:
        starts.pop()
    return list(zip(starts, [*starts[1:], body.ends_ms], strict=True)) if starts else []


def _deal(total: int, room: list[int]) -> list[int]:
    """``total`` dealt evenly, no more to each than its room; only the last may differ."""
    if not room:
        return []
    others = len(room) - 1
    last = max(min(total // len(room), room[-1]), total - sum(room[:-1]))
    before = [(total - last) * k // others for k in range(others + 1)] if others else [0]
    return [*(two - one for one, two in pairwise(before)), last]


def _inversions(scheme: Inversions, body: Body) -> Moving:
    """An opening at the same pace, then a bout at each moment that has room before the drain."""
    start, end = _opening(body, body.length_ms)
    turns_in_opening = max(1, (end - start) * scheme.inversions // scheme.within)
    ticks = _evenly(start, end, turns_in_opening) if end > start else []
    bouts = [(start, end)]
    for moment in _moments(scheme, body):
        bout = (body.clock_ms + moment, body.clock_ms + moment + scheme.within)
        if bout[0] >= bouts[-1][1] and bout[1] <= body.ends_ms:
            bouts.append(bout)
            ticks += _evenly(*bout, scheme.inversions)
    return Moving(bouts, ticks)


def _moments(scheme: Inversions, body: Body) -> list[int]:
    if scheme.every is None:
        return list(scheme.at)
    first = 0 if not body.opening_ms and body.begins_ms == body.clock_ms else scheme.every
    return list(range(first, body.time_ms, scheme.every))


def _evenly(start: int, end: int, turns: int) -> list[tuple[int, str]]:
    """One tick in the middle of each turn's share of the bout, clear of the cue that begins it."""
    length = end - start
    return [(start + length * (2 * k + 1) // (2 * turns), meanings.TURN) for k in range(turns)]


def _rotation(scheme: Rotation, body: Body) -> Moving:
    moments = range(body.begins_ms + scheme.reverse_every, body.ends_ms, scheme.reverse_every)
    return Moving(
        [(body.begins_ms, body.ends_ms)], [(moment, meanings.REVERSE) for moment in moments]
    )


def _shuffle(scheme: Shuffle, body: Body) -> Moving:
    """Whole rounds only, so that the order of the sheets is kept."""
    round_ms = scheme.shuffle_each * body.sheets
    fitting = body.length_ms // round_ms
    rounds = scheme.rounds or fitting
    if not 1 <= rounds <= fitting:
        asked = f"{rounds or 1} x {round_ms / 1000:g} s for a round of the sheets"
        raise UnreadableError(
            f"{asked} do not fit into the {body.length_ms / 1000:g} s between transfer and drain",
            f"write {'fewer rounds' if fitting else 'a longer step'}, or less time for each sheet",
        )
    apart = body.length_ms // rounds
    pace = apart if scheme.rounds and apart - round_ms >= _LEAST_REST_MS else round_ms
    starts = [body.begins_ms + k * pace for k in range(rounds)]
    bouts = [(start, start + round_ms) for start in starts]
    if pace == round_ms and body.ends_ms - bouts[-1][1] < _LEAST_REST_MS:
        bouts[-1] = (bouts[-1][0], body.ends_ms)
    ticks = [tick for start in starts for tick in _round(start, scheme.shuffle_each, body.sheets)]
    # Where a bout begins, the cue that begins it already calls for the first sheet.
    begun = {start for start, _ in _joined(bouts)}
    return Moving(bouts, [tick for tick in ticks if tick[0] not in begun])


def _round(start: int, each: int, sheets: int) -> list[tuple[int, str]]:
    later = [(start + k * each, meanings.SHEET) for k in range(1, sheets)]
    return [(start, meanings.ROUND), *later]


_BY_SCHEME: Final[dict[type[Any], Callable[[Any, Body], Moving]]] = {
    Continuous: _continuous,
    Still: _still,
    Stand: _stand,
    ShareOfTime: _share,
    Inversions: _inversions,
    Rotation: _rotation,
    Shuffle: _shuffle,
}
