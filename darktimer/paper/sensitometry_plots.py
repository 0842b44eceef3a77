"""What was read of pieces, as the trade draws it: D against lg H, and a measure against time.

Pure functions from strips and curves to a page. A unit of lg H is as long as one of D, so that a
gamma of 1 rises by 45 degrees.
"""

from collections.abc import Iterator, Sequence
from itertools import chain
from typing import Final, NamedTuple

from darktimer.paper.axis import COUNTS, TIMES_MS, Axis
from darktimer.paper.page import SOFT, Box, Page
from darktimer.paper.plot_frame import (
    APART,
    BOTTOM,
    LEFT,
    RIGHT,
    SIZE,
    TOP,
    WIDTH,
    framed,
    mark_below,
    mark_left,
)
from darktimer.paper.text_metrics import width_of
from darktimer.sensitometry.curve import SPEED_POINT
from darktimer.sensitometry.estimate import TimeEstimate
from darktimer.sensitometry.line import rising
from darktimer.sensitometry.measures import Measures, measures
from darktimer.sensitometry.strip import Strip
from darktimer.sensitometry.time_law import TimeLaw
from darktimer.sensitometry.wanted import TimeCurve, breadths
from darktimer.units import clock, nearest_clock

_TIME_HEIGHT: Final = 420.0
_HIGHEST: Final = 470.0
_LEADER: Final = 22.0
_POINTS: Final = 60
#: A greatest value so many times the highest piece would press the pieces flat.
_IN_SIGHT: Final = 1.4
_DOTTED: Final = "Dots: readings. Heavy: straight part."
_RINGED: Final = f"{_DOTTED} Ring: speed point, 0.10 over base + fog (dashed)."


class NamedStrip(NamedTuple):
    """A strip, and what it is called beside its curve."""

    name: str
    strip: Strip


def plot_curves(title: str, strips: Sequence[NamedStrip]) -> Page:
    """The characteristic curve of each strip, with what is measured along it."""
    found = [measures(each.strip) for each in strips]
    labels = [*map(_label, strips, found)]
    room = _LEADER + max(width_of(label, SIZE) for label in labels) + RIGHT
    lg_h = [*chain.from_iterable(each.strip.exposures.lg_h for each in strips)]
    least, most = min(lg_h) - 0.05, max(lg_h) + 0.05
    densest = max(chain.from_iterable(each.strip.densities for each in strips)) + 0.1
    unit = min((WIDTH - LEFT - room) / (most - least), _HIGHEST / densest)
    page, box = framed(
        title,
        _RINGED if any(each.speed_point for each in found) else _DOTTED,
        TOP + BOTTOM + unit * densest,
        right=WIDTH - LEFT - unit * (most - least),
    )
    across, up = Axis(least, most, box.x, box.right), Axis(0, densest, box.bottom, box.y)
    _mark(page, box, across, up, lg_h_name(strips))
    for each, figures in zip(strips, found, strict=True):
        _draw(page, across, up, each.strip, figures)
    ends = [up.at(rising(each.strip.densities)[-1]) for each in strips]
    for label, end, y in zip(labels, ends, _spread(ends), strict=True):
        x = across.at(most)
        page.line([x - 2, x + _LEADER - 6], [end, y], 0.5, SOFT)
        page.words(x + _LEADER, y + 0.36 * SIZE, label, SIZE)
    return page


def lg_h_name(strips: Sequence[NamedStrip]) -> str:
    """What lg H counts from."""
    absolute = all(each.strip.exposures.absolute for each in strips)
    return "lg H, H in lux seconds" if absolute else "lg H, from the least exposure"


def _label(each: NamedStrip, found: Measures) -> str:
    return f"{each.name}, gamma {found.gamma.value:.2f}" if found.gamma else each.name


def _mark(page: Page, box: Box, across: Axis, up: Axis, name: str) -> None:
    page.words(box.x - 7, box.y - 11, "D", SIZE, align="right")
    page.words(box.right, box.bottom + 34, name, SIZE, align="right")
    for axis, mark in ((across, mark_below), (up, mark_left)):
        for tick in _in_hundredths(axis).ticks(COUNTS, APART):
            mark(page, box, axis.at(tick / 100), _figure(tick))


def _in_hundredths(axis: Axis) -> Axis:
    return axis._replace(lowest=100 * axis.lowest, highest=100 * axis.highest)


def _figure(hundredths: int) -> str:
    return f"{hundredths / 100:.2f}".removesuffix("0").replace("-", "−")


def _draw(page: Page, across: Axis, up: Axis, strip: Strip, found: Measures) -> None:
    lg_h, curve = strip.exposures.lg_h, rising(strip.densities)

    def line(xs: Sequence[float], ys: Sequence[float], weight: float) -> None:
        page.line([*map(across.at, xs)], [*map(up.at, ys)], weight)

    line(lg_h, curve, 0.8)
    if part := found.straight:
        inside = [at for at, x in enumerate(lg_h) if part.from_lg_h <= x <= part.to_lg_h]
        line([lg_h[at] for at in inside], [curve[at] for at in inside], 2.0)
    for x, density in zip(lg_h, strip.densities, strict=True):
        page.dot(across.at(x), up.at(density), 3.0, "reading")
    if found.base_fog and found.speed_point:
        level, x = found.base_fog.value, found.speed_point.value
        page.line([across.start, across.at(x)], [up.at(level)] * 2, 0.5, SOFT, dashed=True)
        page.dot(across.at(x), up.at(level + SPEED_POINT), 6.0, "speed point", ring=True)


def _spread(ys: Sequence[float]) -> list[float]:
    """The nearest heights at which labels stand clear of each other, in the order of ``ys``."""
    order, gap = sorted(range(len(ys)), key=lambda at: ys[at]), 1.3 * SIZE
    clear = rising([ys[at] - gap * place for place, at in enumerate(order)])
    placed = {at: clear[place] + gap * place for place, at in enumerate(order)}
    return [placed[at] for at in range(len(ys))]


def plot_time(
    title: str, curve: TimeCurve, wanted: float | None = None, found: TimeEstimate | None = None
) -> Page:
    """A measure against the time of development, with the law, its width, and the time wanted."""
    page, box = framed(title, _says(curve, wanted, found), _TIME_HEIGHT)
    longest = curve.pieces[-1].time_ms
    across = Axis(0, 1.12 * longest, box.x, box.right)
    up = Axis(0, 1.08 * max(_heights(curve, wanted)), box.bottom, box.y)
    for tick in across.ticks(TIMES_MS, APART):
        mark_below(page, box, across.at(tick), clock(tick))
    for tick in _in_hundredths(up).ticks(COUNTS, APART):
        mark_left(page, box, up.at(tick / 100), _figure(tick))
    page.words(box.right, box.bottom + 34, "time of development", SIZE, align="right")
    page.words(box.x - 7, box.y - 11, curve.measure, SIZE)
    _draw_law(page, across, up, curve)
    for piece in curve.pieces:
        x, (value, uncertainty) = across.at(piece.time_ms), piece.value
        page.line([x, x], [up.at(value - 2 * uncertainty), up.at(value + 2 * uncertainty)], 0.8)
        page.dot(x, up.at(value), 5.0, "piece")
    if wanted is not None:
        _draw_wanted(page, box, across, up, wanted, found)
    return page


def _says(curve: TimeCurve, wanted: float | None, found: TimeEstimate | None) -> str:
    says = "Dots: pieces. Line: the law through them, and its width."
    if curve.greatest:
        says += f" Greatest: {curve.greatest}."
    if wanted is not None and found:
        low, middle, high = map(nearest_clock, (found.low_ms, found.time_ms, found.high_ms))
        says += f" {wanted:.2f} at {middle}, between {low} and {high}."
    return says


def _heights(curve: TimeCurve, wanted: float | None) -> Iterator[float]:
    highest = max(piece.value.value + 2 * piece.value.uncertainty for piece in curve.pieces)
    yield highest
    if wanted is not None:
        yield wanted
    if _greatest_in_sight(curve):
        yield curve.law.greatest


def _greatest_in_sight(curve: TimeCurve) -> bool:
    highest = max(piece.value.value for piece in curve.pieces)
    return curve.greatest is not None and curve.greatest.value < _IN_SIGHT * highest


def _draw_law(page: Page, across: Axis, up: Axis, curve: TimeCurve) -> None:
    drawn = list(breadths(curve, _POINTS))
    xs = [across.at(each.time_ms) for each in drawn]
    lower, upper = ([up.at(each[side]) for each in drawn] for side in (2, 3))
    page.between(xs, lower, upper)
    page.line(xs, [up.at(each.value) for each in drawn], 1.4)
    law, first, last = curve.law, curve.pieces[0].time_ms, curve.pieces[-1].time_ms
    for start, end in ((max(0.0, law.lag_ms), first), (last, across.highest)):
        _beyond(page, across, up, law, start, end)
    if _greatest_in_sight(curve):
        page.line([across.start, across.end], [up.at(law.greatest)] * 2, 0.8, SOFT, dashed=True)


def _beyond(page: Page, across: Axis, up: Axis, law: TimeLaw, start: float, end: float) -> None:
    """The law where no piece holds it."""
    times = [start + (end - start) * point / 20 for point in range(21)]
    xs, ys = [*map(across.at, times)], [up.at(law.value_at(time)) for time in times]
    page.line(xs, ys, 0.8, SOFT, dashed=True)


def _draw_wanted(
    page: Page, box: Box, across: Axis, up: Axis, wanted: float, found: TimeEstimate | None
) -> None:
    """Across at the wanted value to the law, and down from there to its time."""
    y = up.at(wanted)
    x = across.at(found.time_ms) if found else box.right
    page.line([box.x, x], [y, y], 1.0)
    page.words(box.x + 6, y - 5, f"{wanted:.2f}", SIZE)
    if found:
        page.line([x, x], [y, box.bottom], 1.0)
        low, high = across.at(found.low_ms), across.at(found.high_ms)
        page.line([low, high], [box.bottom - 1.5] * 2, 3.0)
        page.words(high + 5, box.bottom - 8, nearest_clock(found.time_ms), SIZE)
