"""A development time from pieces that were judged by eye.

Figures are from -2 to +2, 0 as it should be, for density (-2 far too thin) and for contrast (-2 far
too flat). Between two pieces they are taken to lie on a straight line in the logarithm of time.
"""

from collections.abc import Sequence
from itertools import pairwise
from math import exp, log, sqrt
from typing import Final, NamedTuple

from darktimer.sensitometry.estimate import TimeEstimate
from darktimer.sensitometry.line import interpolated
from darktimer.sensitometry.refusal import SensitometryError, above_zero
from darktimer.units import clock

_SCALES: Final = ("density", "contrast")
#: Density and contrast are words for one development as long as they differ by a word at most.
_ALIKE: Final = 1.0
#: (time in ms, figure) of each piece, the shortest first.
_Figures = list[tuple[int, float]]


class Judged(NamedTuple):
    """How a piece looks after its time; None where nothing is said."""

    time_ms: int
    density: int | None = None
    contrast: int | None = None


class ByEye(NamedTuple):
    """The time between the two best pieces, and what there is to say against it."""

    time: TimeEstimate
    caveats: tuple[str, ...]


def by_eye(pieces: Sequence[Judged]) -> ByEye:
    """The time at which density and contrast, taken together, are right.

    Where these two ask for different times, contrast has its way: exposure makes density,
    development makes contrast (common practice, no source). Raises `SensitometryError` for
    words that contradict each other, and where no piece is too strong, or none too weak.
    """
    known = [s for s in _SCALES if all(getattr(piece, s) is not None for piece in pieces)]
    if not known or len({piece.time_ms for piece in pieces}) < 2:
        found = "neither density nor contrast was judged for pieces of two different times"
        raise SensitometryError(found, "judge two pieces or more, each by the same")
    for scale in known:
        _check_rise(scale, _figures(pieces, [scale]))
    figures = _figures(pieces, known)
    apart = _apart(pieces, figures) if len(known) == 2 else 0.0
    if abs(apart) > _ALIKE:
        figures = _figures(pieces, ["contrast"])
    return ByEye(_right(figures), (*_exposure(apart), *_at_an_end(figures)))


def _figures(pieces: Sequence[Judged], scales: Sequence[str]) -> _Figures:
    """The mean figure on ``scales`` after each time."""
    after: dict[int, list[int]] = {}
    for piece in sorted(pieces, key=lambda piece: piece.time_ms):
        above_zero("a development time", piece.time_ms)
        after.setdefault(piece.time_ms, []).extend(getattr(piece, scale) for scale in scales)
    return [(time_ms, sum(found) / len(found)) for time_ms, found in after.items()]


def _check_rise(scale: str, figures: _Figures) -> None:
    for (before_ms, before), (after_ms, after) in pairwise(figures):
        if after < before:
            found = (
                f"{scale} is {before:+g} after {clock(before_ms)} and {after:+g} after "
                f"{clock(after_ms)}, though more development makes more of it"
            )
            raise SensitometryError(found, "look at these two again, side by side in one light")


def _right(figures: _Figures) -> TimeEstimate:
    """Between the two best pieces, or about the only one that is right."""
    right = [time_ms for time_ms, figure in figures if figure == 0]
    weak = [time_ms for time_ms, figure in figures if figure < 0]
    strong = [time_ms for time_ms, figure in figures if figure > 0]
    if len(right) == 1:  # half way to its neighbours another word begins
        (only,) = right
        low, high = max(weak, default=only), min(strong, default=only)
        return TimeEstimate(only, _middle(low, only), _middle(only, high))
    if right:
        return TimeEstimate(_middle(right[0], right[-1]), right[0], right[-1])
    if not weak or not strong:
        nearest, way = (weak[-1], "longer") if weak else (strong[0], "for a shorter time")
        found = f"the piece of {clock(nearest)} comes nearest, and none is past what is right"
        raise SensitometryError(found, f"develop a piece {way}")
    times, values = zip(*figures, strict=True)
    crossing = exp(interpolated(values, [log(time_ms) for time_ms in times], 0.0))
    return TimeEstimate(round(crossing), weak[-1], strong[0])


def _middle(one_ms: int, other_ms: int) -> int:
    return round(sqrt(one_ms * other_ms))


def _apart(pieces: Sequence[Judged], figures: _Figures) -> float:
    """By how much density is further on than contrast, at the time that suits both best."""
    logs = [log(time_ms) for time_ms, _ in figures]
    time = interpolated([figure for _, figure in figures], logs, 0.0)
    density, contrast = (
        interpolated(logs, [figure for _, figure in _figures(pieces, [scale])], time)
        for scale in _SCALES
    )
    return density - contrast


def _exposure(apart: float) -> Sequence[str]:
    if abs(apart) <= _ALIKE:
        return ()
    exposure = "less" if apart > _ALIKE else "more"
    return (
        "density and contrast ask for different times: this one is right for contrast; for "
        f"density, give the film {exposure} exposure",
    )


def _at_an_end(figures: _Figures) -> Sequence[str]:
    (shortest, first), (longest, last) = figures[0], figures[-1]
    if last == 0:
        return (f"no piece was developed longer than {clock(longest)}: that may be better still",)
    if first == 0:
        return (f"no piece was developed less than {clock(shortest)}: that may be better still",)
    return ()
