"""The development time for a wanted gamma or contrast index, from pieces of different times.

Three things make its width: what the readings leave open, how far the pieces lie from the law, and
how far the law lies from a straight line, in time or in its logarithm, between the two pieces next
to the wanted value: nobody knows by which law this film in this developer goes.
"""

from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from math import exp, hypot, log
from operator import methodcaller
from typing import Final, NamedTuple

from darktimer.sensitometry.estimate import Estimate, TimeEstimate, propagated
from darktimer.sensitometry.line import interpolated, rising
from darktimer.sensitometry.refusal import SensitometryError, above_zero
from darktimer.sensitometry.time_law import Piece, TimeLaw, fitted_law
from darktimer.units import nearest_clock

#: What pictorial negatives have, the surer measure first (Navy training manual, Photography
#: (Advanced), chapter 2).
PICTORIAL: Final = {"contrast index": (0.56, 0.60), "gamma": (0.65, 0.90)}
#: A time from which it is twice as long, or more, to the other end of its width, helps nobody.
_WIDEST: Final = log(2)
#: Pieces further from the law than this, in their uncertainties, differ in more than their time.
_MOST_MISFIT: Final = 4.0
#: Less sure than this share of it, a greatest value is not told.
_LEAST_SURE: Final = 0.2


class Breadth(NamedTuple):
    """What a measure is after a time by the law, and between which values it lies."""

    time_ms: float
    value: float
    low: float
    high: float


class TimeCurve(NamedTuple):
    """What was measured (``gamma``, say) of pieces, the shortest first, and its law over time.

    ``greatest`` is what film and developer can reach, None where the pieces do not tell.
    """

    measure: str
    pieces: tuple[Piece, ...]
    law: TimeLaw
    greatest: Estimate | None


def time_curve(measure: str, pieces: Sequence[Piece]) -> TimeCurve:
    """The curve of a measure over time; raises `SensitometryError` where pieces do not bear it.

    They are taken to differ in time alone: one film, one exposure, one developer, one temperature.
    """
    ordered = tuple(sorted(pieces, key=lambda piece: (piece.time_ms, piece.value.value)))
    for piece in ordered:
        above_zero("a development time", piece.time_ms)
        above_zero(measure, piece.value.value)
        above_zero("an uncertainty", piece.value.uncertainty)
    if len({piece.time_ms for piece in ordered}) < 2:
        found = f"the {measure} is known after one time only"
        raise SensitometryError(found, "develop a second piece for half as long again")
    _check_rise(measure, ordered)
    law = fitted_law(ordered)
    if law.misfit > _MOST_MISFIT:
        raise _lawless(measure, ordered, law)
    return TimeCurve(measure, ordered, law, _greatest(ordered, law))


def time_for(curve: TimeCurve, wanted: float) -> TimeEstimate:
    """The time for a wanted value, and two standard uncertainties to either side.

    Raises `SensitometryError` where the value lies beyond the greatest that can be reached, or
    beyond the pieces, or where the time would be surer guessed.
    """
    _check_reach(curve, above_zero(curve.measure, wanted))
    law, pieces = curve.law, curve.pieces
    try:
        read = _propagated(pieces, law, lambda moved: log(moved.time_at(wanted)))
    except (ValueError, ZeroDivisionError):  # by some reading the law never comes to it
        raise _too_wide(curve.measure, wanted) from None
    off = max(abs(read.value - drawn) for drawn in _drawn(pieces, wanted))
    width = 2 * hypot(read.uncertainty, off)
    if 2 * width > _WIDEST:
        raise _too_wide(curve.measure, wanted)
    low, middle, high = (round(exp(read.value + side)) for side in (-width, 0, width))
    return TimeEstimate(middle, low, high)


def breadths(curve: TimeCurve, points: int) -> Iterator[Breadth]:
    """The law from the first piece to the last, as wide as `time_for` has it."""
    law, pieces = curve.law, curve.pieces
    times, logs, values = _points(pieces)
    for point in range(points):
        time_ms = times[0] + (times[-1] - times[0]) * point / (points - 1)
        value, uncertainty = _propagated(pieces, law, methodcaller("value_at", time_ms))
        drawn = interpolated(times, values, time_ms), interpolated(logs, values, log(time_ms))
        width = 2 * hypot(uncertainty, max(abs(value - each) for each in drawn))
        yield Breadth(time_ms, value, value - width, value + width)


def _drawn(pieces: Sequence[Piece], wanted: float) -> tuple[float, float]:
    """The logarithm of the time by straight lines, in it and in time, from piece to piece."""
    times, logs, values = _points(pieces)
    return interpolated(values, logs, wanted), log(interpolated(values, times, wanted))


def _points(pieces: Sequence[Piece]) -> tuple[list[int], list[float], tuple[float, ...]]:
    """Times, their logarithms, and values that never fall."""
    times = [piece.time_ms for piece in pieces]
    return times, [log(each) for each in times], rising([piece.value.value for piece in pieces])


def _propagated(
    pieces: Sequence[Piece], law: TimeLaw, result: Callable[[TimeLaw], float]
) -> Estimate:
    """What ``result`` makes of the law, with what the pieces leave open of it."""

    def of(values: Sequence[float]) -> float:
        moved = tuple(
            piece._replace(value=piece.value._replace(value=value))
            for piece, value in zip(pieces, values, strict=True)
        )
        return result(fitted_law(moved))

    widened = max(1.0, law.misfit)
    uncertainties = [piece.value.uncertainty * widened for piece in pieces]
    return propagated(of, [piece.value.value for piece in pieces], uncertainties)


def _greatest(pieces: Sequence[Piece], law: TimeLaw) -> Estimate | None:
    if not law.bent:
        return None
    found = _propagated(pieces, law, lambda moved: moved.greatest)
    return found if found.uncertainty <= _LEAST_SURE * found.value else None


def _check_rise(measure: str, pieces: Sequence[Piece]) -> None:
    """What is developed longer has more contrast, by more than the readings leave open."""
    for before, after in pairwise(pieces):
        if before.value.value - after.value.value > _unsure(before, after):
            found = f"the {measure} falls from {_said(before)} to {_said(after)}"
            remedy = "read both again; the pieces may be exchanged, or developed unlike"
            raise SensitometryError(found, remedy)
    first, last = pieces[0], pieces[-1]
    if last.value.value - first.value.value <= _unsure(first, last):
        found = f"the {measure} hardly rises, from {_said(first)} to {_said(last)}"
        remedy = "read again more closely, or develop a piece for twice the time"
        raise SensitometryError(found, remedy)


def _lawless(measure: str, pieces: Sequence[Piece], law: TimeLaw) -> SensitometryError:
    if not law.bent and len({piece.time_ms for piece in pieces}) == 2:
        found = f"from {_said(pieces[0])} to {_said(pieces[-1])} the {measure} rises more than time"
        return SensitometryError(found, "develop a third piece, longer, which shows a late start")
    found = (
        f"the pieces lie {law.misfit:.1f} times further from any curve than their readings allow"
    )
    remedy = "see whether they differ in more than time: temperature, agitation, exposure"
    return SensitometryError(found, remedy)


def _unsure(one: Piece, other: Piece) -> float:
    return 2 * hypot(one.value.uncertainty, other.value.uncertainty)


def _said(piece: Piece) -> str:
    return f"{piece.value} after {nearest_clock(piece.time_ms)}"


def _check_reach(curve: TimeCurve, wanted: float) -> None:
    """Between the pieces a law can be trusted; past them only as far as they are unsure."""
    found = f"{curve.measure} {wanted:.2f}"
    greatest = curve.greatest
    if greatest and wanted > greatest.value + 2 * greatest.uncertainty:
        found += f" is beyond {greatest}, the greatest that this film reaches in this developer"
        raise SensitometryError(found, "mix the developer stronger, or agitate more")
    lowest = min(curve.pieces, key=lambda piece: piece.value.value)
    highest = max(curve.pieces, key=lambda piece: piece.value.value)
    if wanted > highest.value.value + 2 * highest.value.uncertainty:
        found += f" is more than any piece has: {_said(highest)}"
        raise SensitometryError(found, "develop a piece longer")
    if wanted < lowest.value.value - 2 * lowest.value.uncertainty:
        found += f" is less than any piece has: {_said(lowest)}"
        raise SensitometryError(found, "develop a piece for a shorter time")


def _too_wide(measure: str, wanted: float) -> SensitometryError:
    found = f"the time for {measure} {wanted:.2f} is uncertain by more than one stop of time"
    remedy = "develop pieces on both sides of it, or read the strips again more closely"
    return SensitometryError(found, remedy)
