"""Plots of what was learnt: development given over runs, real against planned, a bath used up.

Pure functions from plain figures to a page. Knows no journal.
"""

from collections.abc import Sequence
from itertools import accumulate, pairwise
from typing import Final, NamedTuple

from darktimer.paper.axis import COUNTS, TIMES_MS, Axis
from darktimer.paper.page import BLACK, PALE, SOFT, WHITE, Box, Page
from darktimer.paper.plot_frame import (
    APART,
    BOTTOM,
    RIGHT,
    SIZE,
    TOP,
    framed,
    mark_below,
    mark_left,
)
from darktimer.paper.text_metrics import shortened, width_of
from darktimer.plan.formats import ROLL_M2
from darktimer.units import clock, counted, nearest_clock, seconds_off

_HEIGHT: Final = 420.0
_NAMES: Final = 170.0  # the left margin where names of steps stand in it
_WIDEST: Final = 24.0  # half the line of one run, in points
_ROW: Final = 30.0
_LOW_ROW: Final = 18.0  # where there are more than thirty


class Timed(NamedTuple):
    """A time that was planned and what it really was, in milliseconds; None where not known.

    ``name`` is that of a step, or the number of a run, whose times are then those at one
    temperature that would develop as much.
    """

    name: str
    planned_ms: int
    real_ms: int | None

    @property
    def longest_ms(self) -> int:
        return max(self.planned_ms, self.real_ms or 0)


def plot_development(runs: Sequence[Timed], celsius: float) -> Page:
    """Development given over runs, in their order, against what was planned for each."""
    unknown = sum(run.real_ms is None for run in runs)
    says = f"Equivalent time at {celsius:g} °C. Dot: given. Line: planned."
    page, box = framed(
        "Development given", f"{says} Not known: {unknown}." if unknown else says, _HEIGHT
    )
    times = [ms for run in runs for ms in (run.planned_ms, run.real_ms) if ms is not None]
    lowest, highest = 0.85 * min(times, default=0), 1.05 * max(times, default=60_000)
    axis = Axis(lowest, highest, box.bottom, box.y)
    for tick in axis.ticks(TIMES_MS, APART):
        mark_left(page, box, axis.at(tick), clock(tick))
    column = box.width / max(1, len(runs))
    for index, run in enumerate(runs):
        _draw_run(page, box.x + (index + 0.5) * column, min(0.3 * column, _WIDEST), axis, run)
    labels = [(box.x + (index + 0.5) * column, f"run {run.name}") for index, run in enumerate(runs)]
    _label_below(page, box, labels)
    return page


def _draw_run(page: Page, x: float, half: float, axis: Axis, run: Timed) -> None:
    """What was planned as a line, what was given as a dot, in figures where there is room."""
    planned = axis.at(run.planned_ms)
    given = planned if run.real_ms is None else axis.at(run.real_ms)
    page.line([x - half, x + half], [planned, planned], 1.4)
    if run.real_ms is not None:
        page.line([x, x], [planned, given], 0.6, SOFT)
        page.dot(x, given, min(6.0, half), "given")
    if half > 0.3 * APART:
        words = "not known" if run.real_ms is None else nearest_clock(run.real_ms)
        page.words(x, given + (16 if given > planned else -9), words, SIZE - 1, align="center")


def plot_times(title: str, steps: Sequence[Timed]) -> Page:
    """Each step as two bars to one scale, planned hollow and real solid, with the difference."""
    row = _ROW if len(steps) <= 30 else _LOW_ROW
    height = TOP + BOTTOM + row * max(1, len(steps))
    page, box = framed(title, "Hollow: planned. Solid: real.", height, _NAMES)
    words = max((width_of(_difference(step), SIZE) for step in steps), default=0.0) + 6
    longest_ms = max((step.longest_ms for step in steps), default=60_000)
    axis = Axis(0, longest_ms, box.x, box.right - words)
    for tick in axis.ticks(TIMES_MS, APART):
        mark_below(page, box, axis.at(tick), clock(tick))
    for index, step in enumerate(steps):
        y = box.y + index * row
        baseline = y + row / 2 + 0.36 * SIZE
        name = shortened(step.name, _NAMES - RIGHT - 8, SIZE)
        page.words(box.x - 8, baseline, name, SIZE, align="right")
        page.bar(
            Box(box.x, y + 0.15 * row, axis.at(step.planned_ms) - box.x, 0.3 * row), WHITE, BLACK
        )
        real = axis.at(step.real_ms or 0) - box.x
        page.bar(Box(box.x, y + 0.55 * row, real, 0.3 * row), name=f"real-{index}")
        page.words(axis.at(step.longest_ms) + 6, baseline, _difference(step), SIZE)
    return page


def plot_bath(name: str, uses: Sequence[tuple[str, float]], capacity_m2: float | None) -> Page:
    """The film that went through a bath, added up use by use, against its capacity if known.

    ``uses`` are pairs of a day and an area, m2; a day is told once, at its first use. Drawn in the
    trade's rolls, as they are counted wherever baths are listed.
    """
    used = [*accumulate((area_m2 / ROLL_M2 for _, area_m2 in uses), initial=0.0)]
    capacity = None if capacity_m2 is None else capacity_m2 / ROLL_M2
    page, box = framed(name, _state(used[-1], capacity), _HEIGHT)
    axis = Axis(0, 1.12 * max(capacity or 0.0, used[-1], 1.0), box.bottom, box.y)
    for tick in axis.ticks(COUNTS, APART):
        mark_left(page, box, axis.at(tick), counted(tick, "roll"))
    column = box.width / (len(uses) + 1)
    xs = [box.x + index * column for index in range(len(used) + 1)]
    for (left, right), rolls in zip(pairwise(xs), used, strict=True):
        top = axis.at(rolls)
        page.bar(Box(left, top, right - left, box.bottom - top), PALE)
        page.line([left, right], [top, top], 1.6)
    for x, before, after in zip(xs[1:], used, used[1:], strict=False):
        page.line([x, x], [axis.at(before), axis.at(after)], 1.6)
        page.dot(x, axis.at(after), 5.0, "used")
    if capacity is not None:
        page.line([box.x, box.right], [axis.at(capacity)] * 2, 1.2, dashed=True)
    first_uses = {day: x for (day, _), x in reversed([*zip(uses, xs[1:], strict=False)])}
    _label_below(
        page, box, [(box.x, "begun"), *((x, day) for day, x in reversed(first_uses.items()))]
    )
    return page


def _label_below(page: Page, box: Box, labels: Sequence[tuple[float, str]]) -> None:
    """As many of the labels as stand side by side; the last one always."""
    room = max((width_of(words, SIZE) for _, words in labels), default=0.0) + 10
    free = box.right + room
    for x, words in reversed(labels):
        if x + room <= free:
            mark_below(page, box, x, words)
            free = x


def _difference(step: Timed) -> str:
    if step.real_ms is None:
        return "never reached"
    more_ms = 1000 * seconds_off(step.planned_ms, step.real_ms)
    sign = "+" if more_ms > 0 else "−" if more_ms < 0 else ""
    return f"{nearest_clock(step.real_ms)}  ({sign}{clock(abs(more_ms))})"


def _state(used: float, capacity: float | None) -> str:
    roll = "A roll is 80 square inches."
    if capacity is None:
        return f"{used:.1f} rolls of film went through. Its capacity is not known. {roll}"
    left = capacity - used
    rest = f"{left:.1f} are left" if left > 0 else "nothing is left: mix it fresh"
    used_of = f"{used:.1f} of {capacity:.1f} rolls of film went through"
    return f"{used_of}; {rest}. Dashed: capacity. {roll}"
