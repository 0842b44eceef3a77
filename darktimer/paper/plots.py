"""Plots of what was learnt: development delivered over runs, real against planned, a bath used up.

Pure functions from plain figures to a drawing; `darktimer.paper.page.written` makes a file of it.
To be drawn within `darktimer.paper.page.settings`. Knows no journal.
"""

from collections.abc import Callable, Sequence
from itertools import accumulate
from typing import Any, Final, NamedTuple

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FixedLocator, FuncFormatter, MaxNLocator

from darktimer.bench.film import ROLL_M2
from darktimer.paper.page import BLACK, PALE, SOFT, WHITE
from darktimer.paper.text_metrics import font, shortened, width_of
from darktimer.units import clock, whole_second

_WIDTH: Final = 760.0
_LEFT: Final = 70.0
_RIGHT: Final = 40.0
_TOP: Final = 76.0
_BOTTOM: Final = 52.0
_HEIGHT: Final = 420.0
_SIZE: Final = 10.0
_MOST_LABELS: Final = 8
_MOST_STEMS: Final = 60
_MOST_APART: Final = 24  # runs, whose lines stand apart; those of more make one line
_MOST_TOLD: Final = 12  # runs with their times in figures
_LEAST_COLUMNS: Final = 6  # one run is a beginning, not the whole width
_NAMES: Final = 170.0
_ROW: Final = 30.0
_TICKS_S: Final = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14_400, 28_800)


class Timed(NamedTuple):
    """A time that was planned and what it really was, in milliseconds; None where not known.

    ``name`` is that of a step, or the number of a run, whose times are then those at one
    temperature that would develop as much.
    """

    name: str
    planned_ms: int
    real_ms: int | None


def plot_development(runs: Sequence[Timed], celsius: float) -> Figure:
    """Development delivered over runs, in their order, against what was planned for each."""
    given = [(at, run.real_ms) for at, run in enumerate(runs) if run.real_ms is not None]
    unknown = len(runs) - len(given)
    says = f"Equivalent time at {celsius:g} °C. Dot: delivered. Line: planned."
    if unknown:
        says += f" Not known: {unknown}."
    figure, axes = _framed("Development delivered", says, _HEIGHT)
    wide = 0.3 if len(runs) <= _MOST_APART else 0.5
    planned = [run.planned_ms for run in runs]
    left, right = ([at + side for at in range(len(runs))] for side in (-wide, wide))
    axes.hlines(planned, left, right, color=BLACK, linewidth=1.4)
    places, given_ms = _columns(given)
    if len(runs) <= _MOST_STEMS:
        axes.vlines(places, [planned[at] for at in places], given_ms, color=SOFT, linewidth=0.6)
    dot = 6 if len(runs) <= _MOST_STEMS else 2
    axes.plot(places, given_ms, "o", color=BLACK, markersize=dot, gid="delivered")
    if len(runs) <= _MOST_TOLD:
        _tell_given(axes, runs)
    told = [*planned, *given_ms] or [60_000]
    _measure_time(axes, "y", round(0.85 * min(told)), round(1.05 * max(told)))
    axes.set_xlim(-0.7, max(_LEAST_COLUMNS, len(runs)) - 0.3)
    _label_some(axes, [f"run {run.name}" for run in runs])
    return figure


def _tell_given(axes: Axes, runs: Sequence[Timed]) -> None:
    """What each run was given, beside its dot, away from what was planned."""
    for at, run in enumerate(runs):
        given_ms = run.planned_ms if run.real_ms is None else run.real_ms
        axes.annotate(
            "not known" if run.real_ms is None else clock(whole_second(given_ms)),
            (at, given_ms),
            xytext=(0, 8 if given_ms >= run.planned_ms else -16),
            textcoords="offset points",
            horizontalalignment="center",
            fontproperties=font("", size=0.9 * _SIZE),
        )


def plot_real_against_planned(title: str, steps: Sequence[Timed]) -> Figure:
    """Each step as two bars to one scale, planned hollow and real solid, with the difference."""
    row_height = _ROW if len(steps) <= _MOST_STEMS / 2 else 0.6 * _ROW
    height = _TOP + _BOTTOM + row_height * max(1, len(steps))
    figure, axes = _framed(title, "Hollow: planned. Solid: real.", height, left=_NAMES)
    for row, step in enumerate(steps):
        axes.barh(row - 0.2, step.planned_ms, 0.3, facecolor=WHITE, edgecolor=BLACK, linewidth=0.8)
        axes.barh(row + 0.2, step.real_ms or 0, 0.3, color=BLACK, gid=f"real-{row}")
        longest_ms = max(step.planned_ms, step.real_ms or 0)
        axes.annotate(
            _difference(step),
            (longest_ms, row),
            xytext=(6, 0),
            textcoords="offset points",
            verticalalignment="center",
            fontproperties=font("", size=_SIZE),
        )
    highest = max((max(step.planned_ms, step.real_ms or 0) for step in steps), default=60_000)
    _measure_time(axes, "x", 0, round(1.12 * highest))
    axes.set_ylim(max(1, len(steps)) - 0.4, -0.6)
    names = [shortened(step.name, _NAMES - 45, _SIZE) for step in steps]
    axes.yaxis.set_major_locator(FixedLocator(range(len(steps))))
    axes.set_yticklabels(names)
    _set_fonts(axes.get_yticklabels(), names)
    return figure


def plot_bath(name: str, uses: Sequence[tuple[str, float]], capacity_m2: float | None) -> Figure:
    """The film that went through a bath, added up use by use, against its capacity if known.

    ``uses`` are pairs of a short label, such as a day, and an area, m2. Drawn in the trade's
    rolls, as they are counted wherever baths are listed.
    """
    used = [0.0, *accumulate(area_m2 / ROLL_M2 for _, area_m2 in uses)]
    capacity = None if capacity_m2 is None else capacity_m2 / ROLL_M2
    figure, axes = _framed(name, _state(used[-1], capacity), _HEIGHT)
    places, levels = [*range(len(used)), len(used) - 0.7], [*used, used[-1]]
    axes.step(places, levels, where="post", color=BLACK, linewidth=1.6, gid="used")
    axes.fill_between(places, levels, step="post", color=PALE, linewidth=0)
    axes.plot(range(1, len(used)), used[1:], "o", color=BLACK, markersize=5)
    if capacity is not None:
        axes.axhline(capacity, color=BLACK, linewidth=1.2, linestyle=(0, (6, 3)), gid="capacity")
    highest = 1.12 * max(capacity or 0.0, used[-1], 0.1)
    axes.set_ylim(0, highest)
    axes.set_xlim(0, len(uses) + 0.3)
    ticks = [tick for tick in MaxNLocator(6).tick_values(0, highest) if tick <= highest]
    axes.yaxis.set_major_locator(FixedLocator(ticks))
    axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:.4g} rolls"))
    _label_some(axes, ["begun", *(when for when, _ in uses)])
    return figure


def _framed(title: str, says: str, height: float, left: float = _LEFT) -> tuple[Figure, Axes]:
    """A figure with its title above, one sentence under it, and axes without a box."""
    figure = Figure(figsize=(_WIDTH / 72, height / 72), dpi=72)
    room = _WIDTH - 2 * _RIGHT
    for text, size, above, bold in ((title, 17.0, 32.0, True), (says, 11.0, 52.0, False)):
        shown = shortened(text, room, size, bold)
        figure.text(
            _RIGHT / _WIDTH,
            1 - above / height,
            shown,
            color=BLACK if bold else SOFT,
            fontproperties=font(shown, size=size, bold=bold),
        )
    bounds = (left / _WIDTH, _BOTTOM / height)
    size_of_axes = ((_WIDTH - left - _RIGHT) / _WIDTH, (height - _TOP - _BOTTOM) / height)
    axes = figure.add_axes((*bounds, *size_of_axes))
    axes.spines[["top", "right"]].set_visible(False)
    axes.tick_params(labelsize=_SIZE, color=SOFT, labelcolor=BLACK)
    return figure, axes


def _measure_time(axes: Axes, which: str, lowest_ms: int, highest_ms: int) -> None:
    """A scale in clock times."""
    range_ms = highest_ms - lowest_ms
    every_ms = 1000 * next((s for s in _TICKS_S if range_ms / s <= 7000), _TICKS_S[-1])
    axis = axes.xaxis if which == "x" else axes.yaxis
    first = -(-lowest_ms // every_ms) * every_ms
    axis.set_major_locator(FixedLocator(range(first, highest_ms + range_ms // 16, every_ms)))
    axis.set_major_formatter(FuncFormatter(lambda value, _: clock(round(value))))
    limit: Callable[..., Any] = axes.set_xlim if which == "x" else axes.set_ylim
    limit(lowest_ms, highest_ms + range_ms // 16)


def _label_some(axes: Axes, labels: Sequence[str]) -> None:
    """As many labels under the axis as stand side by side; the last one always."""
    if not labels:
        axes.xaxis.set_major_locator(FixedLocator([]))
        return
    apart = -(-len(labels) // _MOST_LABELS)
    chosen = sorted(range(len(labels) - 1, -1, -apart))
    room = (_WIDTH - _LEFT - _RIGHT) / max(1, len(labels)) * apart - 8
    shown = [shortened(labels[index], max(room, width_of("…", _SIZE)), _SIZE) for index in chosen]
    axes.xaxis.set_major_locator(FixedLocator(chosen))
    axes.set_xticklabels(shown)
    _set_fonts(axes.get_xticklabels(), shown)


def _set_fonts(texts: Sequence[Any], words: Sequence[str]) -> None:
    for text, word in zip(texts, words, strict=True):
        text.set_fontproperties(font(word, size=_SIZE))


def _columns(pairs: Sequence[tuple[int, int]]) -> tuple[list[int], list[int]]:
    return [first for first, _ in pairs], [second for _, second in pairs]


def _difference(step: Timed) -> str:
    if step.real_ms is None:
        return "never reached"
    real_ms = whole_second(step.real_ms)
    more_ms = real_ms - whole_second(step.planned_ms)
    sign = "+" if more_ms > 0 else "−" if more_ms < 0 else ""
    return f"{clock(real_ms)}  ({sign}{clock(abs(more_ms))})"


def _state(used: float, capacity: float | None) -> str:
    roll = "A roll is 80 square inches."
    if capacity is None:
        return f"{used:.1f} rolls of film went through. Its capacity is not known. {roll}"
    left = capacity - used
    rest = f"{left:.1f} are left" if left > 0 else "nothing is left: mix it fresh"
    used_of = f"{used:.1f} of {capacity:.1f} rolls of film went through"
    return f"{used_of}; {rest}. Dashed: capacity. {roll}"
