"""The timeline to scale: what the hands do, when it is dark, and the clock under it.

Tall black is moving, half height is a transfer or a drain, a low line is standing; a strip below
is black while it is dark. The key under it is drawn by the same hand, with the same strokes.
"""

from collections.abc import Sequence
from itertools import groupby
from typing import Final

from darktimer.paper.axis import TIMES_MS, Axis
from darktimer.paper.label_placement import Label, place_labels
from darktimer.paper.page import BLACK, SOFT, WHITE, Box, Page
from darktimer.paper.step_rows import StepRow
from darktimer.paper.text_metrics import fitting_size, width_of
from darktimer.paper.text_metrics import shortened as cut
from darktimer.process.timeline import Timeline
from darktimer.units import clock

#: From the bottom of a bar up, as shares of its height; what is not named here is a line.
_HEIGHTS: Final = {"agitate": 1.0, "hand": 1.0, "transfer": 0.5, "drain": 0.5, "piece": 0.5}
#: The strokes that are as thick in the key as in the drawing, in sizes of the type.
_STANDING: Final = 0.22
_STRIP: Final = 0.5
_IDLE: Final = 0.6
_KEY: Final = (("agitate", "moving"), ("stand", "standing"), ("transfer", "transfer or drain"),
    ("hand", "by hand"))  # fmt: skip
_LEVELS: Final = 6
_LONGEST_NAME: Final = 130.0

_WIDTH: Final = 1080.0
_MARGIN: Final = 36.0


def picture(timeline: Timeline, rows: Sequence[StepRow]) -> Page:
    """The timeline alone, as a wide page."""
    page = Page(_WIDTH, _WIDTH)
    box = Box(_MARGIN, _MARGIN + 58, _WIDTH - 2 * _MARGIN, 0)
    size = fitting_size(timeline.title, box.width, 20, 13, bold=True)
    title = cut(timeline.title, box.width, size, bold=True)
    page.words(box.x, _MARGIN + 18, title, size, bold=True)
    whole = f"{clock(timeline.duration_ms)} in all · {dark_words(timeline)}"
    page.words(box.x, _MARGIN + 40, whole, 11, ink=SOFT)
    end = draw_timeline(page, box, timeline, rows, bar_height=64, size=11, with_times=True)
    page.end_at(end + _MARGIN)
    return page


def dark_words(timeline: Timeline) -> str:
    """When it is dark, in a few words."""
    dark = [step for step in timeline.steps if step.dark]
    if not dark:
        return "all of it in the light"
    if dark[-1] is timeline.steps[-1]:
        return f"dark from {clock(dark[0].start_ms)} to the end"
    return f"dark from {clock(dark[0].start_ms)} to {clock(dark[-1].end_ms)}"


def draw_timeline(
    page: Page,
    box: Box,
    timeline: Timeline,
    rows: Sequence[StepRow],
    *,
    bar_height: float,
    size: float,
    with_times: bool = False,
) -> float:
    """Draws from the top of ``box`` over its width; returns the y of its lower end."""
    scale = box.width / timeline.duration_ms
    labelled = [row for row in rows if row.is_bath or row.kind == "piece"]
    names = [_label(row, with_times, size) for row in labelled]
    labels = [
        Label(box.x + row.start_ms * scale, width_of(name, size) + 8, row.end_ms - row.start_ms)
        for row, name in zip(labelled, names, strict=True)
    ]
    placed = place_labels(labels, box.right + 4, _LEVELS)
    step_up = 1.35 * size
    top = box.y + step_up * (1 + max((label.level for label in placed), default=0)) + 2
    for index, at, start, _, level in placed:
        text_y = top - level * step_up - 0.45 * size
        page.line([at, at], [text_y - 0.75 * size, top + bar_height], 0.5)
        if start < at:
            page.words(at - 3, text_y, names[index], size, align="right")
        else:
            page.words(at + 3, text_y, names[index], size)
    _draw_spans(page, Box(box.x, top, box.width, bar_height), timeline, scale, size)
    strip = Box(box.x, top + bar_height + 4, box.width, _STRIP * size)
    _draw_dark(page, strip, timeline, scale)
    baseline = _draw_clock(page, strip, timeline.duration_ms, size)
    return _draw_key(page, box.x, baseline + 1.7 * size, timeline, size)


def _label(row: StepRow, with_times: bool, size: float) -> str:
    name = cut(row.name, _LONGEST_NAME, size)
    if not with_times or row.time_ms is None:
        return name + row.times
    if row.kind == "piece":  # a time behind "in" alone would be read as the moment
        return f"{name} ({clock(row.time_ms)})"
    return f"{name}{row.times and f' {row.number} ×'} {clock(row.time_ms)}"


def _draw_spans(page: Page, box: Box, timeline: Timeline, scale: float, size: float) -> None:
    for index, span in enumerate(timeline.spans):
        left, width = box.x + span.start_ms * scale, (span.end_ms - span.start_ms) * scale
        part = Box(left, box.y, width, box.height)
        _draw_span(page, part, span.kind, size, f"{span.kind}-{index}")


def _draw_span(page: Page, box: Box, kind: str, size: float, name: str) -> None:
    """One bar on the lower edge of ``box``."""
    line = _IDLE if kind in ("ready", "done") else _STANDING * size
    height = box.height * _HEIGHTS[kind] if kind in _HEIGHTS else line
    bar, by_hand = Box(box.x, box.bottom - height, box.width, height), kind == "hand"
    page.bar(bar, WHITE if by_hand else BLACK, BLACK if by_hand else None, name)


def _draw_dark(page: Page, strip: Box, timeline: Timeline, scale: float) -> None:
    for dark, steps in groupby(timeline.steps, key=lambda step: step.dark):
        part = list(steps)
        start, end = part[0].start_ms, part[-1].end_ms
        box = Box(strip.x + start * scale, strip.y, (end - start) * scale, strip.height)
        page.bar(box, BLACK if dark else WHITE, BLACK, f"{'dark' if dark else 'light'}-{start}")


def _draw_clock(page: Page, strip: Box, duration_ms: int, size: float) -> float:
    """Even ticks with their times, and the end's; returns the baseline of the times."""
    baseline = strip.bottom + 4 + 1.1 * size
    axis = Axis(0, duration_ms, strip.x, strip.right)
    apart = 1.5 * 1.15 * width_of(clock(duration_ms), size)
    clear = axis.end - apart  # the end's label stands left of its tick, not about it
    for at_ms in [*axis.ticks(TIMES_MS[3:], apart), duration_ms]:
        x, width = axis.at(at_ms), width_of(clock(at_ms), size)
        if x < clear or at_ms == duration_ms:
            page.line([x, x], [strip.bottom, strip.bottom + 4], 0.5)
            left = max(strip.x, min(x - width / 2, strip.right - width))
            page.words(left, baseline, clock(at_ms), size, ink=SOFT)
    return baseline


def _draw_key(page: Page, x: float, baseline: float, timeline: Timeline, size: float) -> float:
    """What the strokes mean, of those that are drawn; returns the baseline of the words."""
    kinds = {
        "transfer" if span.kind in ("drain", "piece") else span.kind for span in timeline.spans
    }
    for kind, words in _KEY:
        if kind in kinds:
            sample = Box(x, baseline - 0.9 * size, 1.3 * size, 0.9 * size)
            _draw_span(page, sample, kind, size, f"key-{kind}")
            x = _draw_meaning(page, sample.right, baseline, words, size)
    lights = dict.fromkeys(("dark" if step.dark else "light") for step in timeline.steps)
    for words in sorted(lights):
        sample = Box(x, baseline - 0.6 * size, 1.6 * size, _STRIP * size)
        page.bar(sample, BLACK if words == "dark" else WHITE, BLACK, f"key-{words}")
        x = _draw_meaning(page, sample.right, baseline, words, size)
    return baseline


def _draw_meaning(page: Page, x: float, baseline: float, words: str, size: float) -> float:
    """Words beside a sample; returns where the next sample begins."""
    return x + 0.5 * size + page.words(x + 0.5 * size, baseline, words, size, ink=SOFT) + 1.4 * size
