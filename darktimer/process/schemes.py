"""Ways of agitation turned into bouts of moving and ticks, in whole milliseconds.

Knows one step's body: the stretch in which the film lies in the bath, between the transfer and
the drain. What is not in a bout is standing.
"""

from collections.abc import Callable, Iterator
from itertools import pairwise
from typing import Any, Final, NamedTuple

from darktimer.errors import Finding, FindingsError
from darktimer.plan.agitation import (
    LEAST_SPAN_MS,
    LEAST_TURN_MS,
    Continuous,
    Inversions,
    Rotation,
    Scheme,
    ShareOfTime,
    Shuffle,
    Stand,
    Still,
    TurnedOver,
)
from darktimer.process import meanings
from darktimer.units import clock

#: Below this the hands hardly have time to follow: a crumb, joined to its neighbour if possible.
SHORT_SPAN_MS: Final = 3_000


class Body(NamedTuple):
    """Where a step's film lies in its bath: ``begins_ms`` to ``ends_ms``, and its clock.

    ``countdown_ms`` is how long before ``ends_ms`` a pip a second is heard.
    """

    clock_ms: int
    time_ms: int
    begins_ms: int
    ends_ms: int
    opening_ms: int
    sheets: int
    countdown_ms: int

    @property
    def length_ms(self) -> int:
        return self.ends_ms - self.begins_ms

    @property
    def halfway_ms(self) -> int:
        return (self.begins_ms + self.ends_ms) // 2


class Moving(NamedTuple):
    """Bouts of moving, in order and apart, and the ticks that sound within them."""

    bouts: list[tuple[int, int]]
    ticks: list[tuple[int, str]]


def moving(scheme: Scheme, body: Body) -> Moving:
    """The bouts and ticks of ``scheme``.

    Raises `FindingsError` where it does not fit, with paths into the step.
    """
    bouts, ticks = _BY_SCHEME[type(scheme)](scheme, body)
    return Moving(_joined(bouts), ticks)


def _misfit(found: str, remedy: str, *path: str) -> FindingsError:
    return FindingsError([Finding(path, found, remedy)])


def _joined(bouts: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Bouts that touch are one bout; empty ones are none."""
    joined: list[tuple[int, int]] = []
    for start, end in bouts:
        if joined and joined[-1][1] == start:
            joined[-1] = (joined[-1][0], end)
        elif end > start:
            joined.append((start, end))
    return joined


def _opening(body: Body, most_ms: int) -> tuple[int, int]:
    return body.begins_ms, body.begins_ms + min(body.opening_ms, most_ms, body.length_ms)


def _share(scheme: ShareOfTime, body: Body) -> Moving:
    """The opening counts; the rest is dealt evenly to the cycles after it, exact in total.

    Of the ways to deal it the first that leaves no crumb, else the one with the longest.
    """
    target = round(body.time_ms * scheme.share)
    if target > body.length_ms:
        raise _misfit(
            f"{scheme.share} of the time is {target / 1000:g} s, "
            f"but transfer and drain leave only {body.length_ms / 1000:g} s",
            "ask for less, or write continuous",
        )
    opening = _opening(body, target)
    rest = target - (opening[1] - opening[0])
    opened_longer = [(body.begins_ms, body.begins_ms + target)]
    tried = []
    for bouts in _ways(rest, opening[1], body, scheme):
        tried.append([opening, *bouts])
        if _shortest(tried[-1], body) == SHORT_SPAN_MS:
            return Moving(tried[-1], [])
    if not tried or rest < SHORT_SPAN_MS:  # no room after it, or too little for a bout
        tried.append(opened_longer)
    return Moving(max(tried, key=lambda bouts: _shortest(bouts, body)), [])


def _ways(
    rest: int, after_ms: int, body: Body, scheme: ShareOfTime
) -> Iterator[list[tuple[int, int]]]:
    """Bouts of ``rest`` in the cycles that begin at or after ``after_ms``, the plainest first.

    Cycles are taken two or more together only where they would be hurried more than the plan asks.
    """
    asked = int(scheme.cycle * min(scheme.share, 1 - scheme.share))
    enough = max(LEAST_SPAN_MS, min(SHORT_SPAN_MS, asked * 4 // 5))
    for together in range(1, body.length_ms // scheme.cycle + 2):
        slots = _cycles(after_ms, body, together * scheme.cycle)
        yield from _in_slots(rest, slots)
        still = sum(end - start for start, end in slots) - rest
        if asked < LEAST_SPAN_MS or min(rest, still) >= enough * len(slots):
            return


def _in_slots(rest: int, slots: list[tuple[int, int]]) -> Iterator[list[tuple[int, int]]]:
    room = [end - start for start, end in slots]
    if rest > sum(room) or not slots:
        return
    least = max(0, rest - sum(room[:-1]))
    for wanted in (rest // len(slots), room[-1], 0):
        last = max(least, min(wanted, room[-1], rest))
        dealt = [*_evenly_dealt(rest - last, len(slots) - 1), last]
        yield [(start, start + ms) for (start, _), ms in zip(slots, dealt, strict=True)]
        yield [(end - ms, end) for (_, end), ms in zip(slots, dealt, strict=True)]
    if sum(room) - rest < SHORT_SPAN_MS:  # the rest before it is long enough for all of them
        yield [(slots[-1][1] - rest, slots[-1][1])]


def _evenly_dealt(total: int, parts: int) -> list[int]:
    return [total * (k + 1) // parts - total * k // parts for k in range(parts)]


def _shortest(bouts: list[tuple[int, int]], body: Body) -> int:
    """The shortest stretch of moving or standing; `SHORT_SPAN_MS` where none is a crumb."""
    edges = [body.begins_ms, *(edge for bout in _joined(bouts) for edge in bout), body.ends_ms]
    lengths = (two - one for one, two in pairwise(edges))
    return min(SHORT_SPAN_MS, *(each for each in lengths if each))


def _cycles(after_ms: int, body: Body, cycle_ms: int) -> list[tuple[int, int]]:
    """The cycles that begin at or after ``after_ms``; a last one under half a cycle is joined."""
    first = -(-(after_ms - body.begins_ms) // cycle_ms)
    starts = list(range(body.begins_ms + first * cycle_ms, body.ends_ms, cycle_ms))
    if len(starts) > 1 and body.ends_ms - starts[-1] < cycle_ms / 2:
        starts.pop()
    return list(zip(starts, [*starts[1:], body.ends_ms], strict=True)) if starts else []


def _inversions(scheme: Inversions, body: Body) -> Moving:
    """An opening at the same pace, then a bout at each moment that has room before the drain."""
    opening = _opening(body, body.length_ms)
    begun = [body.clock_ms + moment for moment in _moments(scheme, body)]
    bouts = [(start, start + scheme.within) for start in begun]
    played = [(a, b) for a, b in bouts if a >= opening[1] and b <= body.ends_ms]
    if scheme.at and played != bouts:
        raise FindingsError(list(_unplayed(scheme, body, opening[1])))
    ticks = _turns(opening, _turns_in_opening(scheme, opening[1] - opening[0]), body)
    for bout in played:
        ticks += _turns(bout, scheme.inversions, body)
    return Moving([opening, *played], ticks)


def _moments(scheme: Inversions, body: Body) -> tuple[int, ...] | range:
    """When turns are asked for, on the step's clock.

    Of an interval, those in the opening and a last one without room are passed over.
    """
    return range(0, body.time_ms, scheme.every) if scheme.every else scheme.at


def _unplayed(scheme: Inversions, body: Body, opened_ms: int) -> Iterator[Finding]:
    """What is wrong with each moment that somebody wrote and that cannot be kept."""
    opened, drained = clock(opened_ms - body.clock_ms), clock(body.ends_ms - body.clock_ms)
    opens = "the opening is over" if body.opening_ms else "the film is covered"
    for place, moment in enumerate(scheme.at):
        path, start = ("agitation", "at", place), body.clock_ms + moment
        if start < opened_ms:
            found = f"turns at {clock(moment)} come before {opens}, at {opened}"
            yield Finding(path, found, "write a later moment")
        elif start + scheme.within > body.ends_ms:
            until = clock(moment + scheme.within)
            found = f"turns from {clock(moment)} to {until} run into the drain, at {drained}"
            yield Finding(path, found, "write an earlier moment, or a longer step")


def _turns_in_opening(scheme: Inversions, length_ms: int) -> int:
    """As many as come at the pace of a bout, none where nothing opens."""
    most = (length_ms - LEAST_SPAN_MS) // LEAST_TURN_MS
    if length_ms and most < 1:
        raise _misfit(
            f"an opening of {length_ms / 1000:g} s has no room for a turn",
            f"write at least {(LEAST_SPAN_MS + LEAST_TURN_MS) / 1000:g} s, or none",
            "opening",
        )
    at_pace = length_ms * scheme.inversions // scheme.within
    return max(1, min(most, at_pace)) if length_ms else 0


def _turns(bout: tuple[int, int], turns: int, body: Body) -> list[tuple[int, str]]:
    """A tick at the beginning of each turn, and the same time for each.

    In a bout that runs into the countdown to the drain they come closer together, so that as much
    of that as possible can be heard after the last of them.
    """
    start = bout[0] + LEAST_SPAN_MS
    pips = range(body.ends_ms - body.countdown_ms, bout[1], 1_000)
    least_ms = start + turns * LEAST_TURN_MS
    end = next((pip for pip in pips if pip >= least_ms), bout[1])
    return [(start + (end - start) * k // turns, meanings.TURN) for k in range(turns)]


def _rotation(scheme: Rotation, body: Body) -> Moving:
    """The other way round at each interval, but not just before the film leaves."""
    last_ms = body.ends_ms - SHORT_SPAN_MS
    moments = range(body.begins_ms + scheme.reverse_every, last_ms + 1, scheme.reverse_every)
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
        raise _misfit(
            f"{asked} do not fit into the {body.length_ms / 1000:g} s between transfer and drain",
            f"write {'fewer rounds' if fitting else 'a longer step'}, or less time for each sheet",
        )
    apart = body.length_ms // rounds
    pace = apart if scheme.rounds and apart - round_ms >= SHORT_SPAN_MS else round_ms
    starts = [body.begins_ms + k * pace for k in range(rounds)]
    bouts = [(start, start + round_ms) for start in starts]
    if pace == round_ms and body.ends_ms - bouts[-1][1] < SHORT_SPAN_MS:
        bouts[-1] = (bouts[-1][0], body.ends_ms)
    ticks = [tick for start in starts for tick in _round(start, scheme, body.sheets)]
    # Where a bout begins, the cue that begins it already calls for the first sheet.
    begun = {start for start, _ in _joined(bouts)}
    return Moving(bouts, [tick for tick in ticks if tick[0] not in begun])


def _round(start: int, scheme: Shuffle, sheets: int) -> list[tuple[int, str]]:
    first = meanings.ROUND if scheme.tell_rounds else meanings.SHEET
    each = scheme.shuffle_each
    return [(start, first), *((start + k * each, meanings.SHEET) for k in range(1, sheets))]


_BY_SCHEME: Final[dict[type[Any], Callable[[Any, Body], Moving]]] = {
    Continuous: lambda _, body: Moving([(body.begins_ms, body.ends_ms)], []),
    Still: lambda *_: Moving([], []),
    Stand: lambda _, body: Moving([_opening(body, body.length_ms)], []),
    TurnedOver: lambda _, body: Moving([], [(body.halfway_ms, meanings.REVERSE)]),
    ShareOfTime: _share,
    Inversions: _inversions,
    Rotation: _rotation,
    Shuffle: _shuffle,
}
