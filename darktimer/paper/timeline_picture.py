"""The timeline to scale: what the hands do, when it is dark, and the clock under it.

Tall black is moving, half height is a transfer or a drain, a low line is standing; a strip below
is black while it is dark.
"""

from collections.abc import Sequence
from itertools import groupby
from typing import Final

from darktimer.paper.flags import Wish, hoisted
from darktimer.paper.lettering import fitting_size, width_of
from darktimer.paper.lettering import shortened as cut
from darktimer.paper.page import BLACK, SOFT, WHITE, Box, Page
from darktimer.paper.rows import Row
from darktimer.process.timeline import Timeline
from darktimer.units import clock

#: From the bottom of a bar up, as shares of its height.
_HEIGHTS: Final = {"agitate": 1.0, "hand": 1.0, "transfer": 0.5, "drain": 0.5}
_STANDING: Final = 0.1
_TICKS_S: Final = (10, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14_400, 28_800)
_LEVELS: Final = 4
_LONGEST_NAME: Final = 130.0

_WIDTH: Final = 1080.0
_MARGIN: Final = 36.0


def picture(timeline: Timeline, rows: Sequence[Row]) -> Page:
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
    rows: Sequence[Row],
    *,
    bar_height: float,
    size: float,
    with_times: bool = False,
) -> float:
    """Draws from the top of ``box`` over its width; returns the y of its lower end."""
    scale = box.width / timeline.duration_ms
    labels = _labels(rows, with_times, size)
    wishes = [
        Wish(box.x + row.start_ms * scale, width_of(label, size) + 8, row.end_ms - row.start_ms)
        for row, label in labels
    ]
    flags = hoisted(wishes, box.right + 4, _LEVELS)
    step_up = 1.35 * size
    top = box.y + step_up * (1 + max((flag.level for flag in flags), default=0)) + 2
    for flag in flags:
        text_y = top - flag.level * step_up - 0.45 * size
        page.line([flag.at, flag.at], [text_y - 0.75 * size, top + bar_height], 0.5)
        label = labels[flag.label][1]
        if flag.flies_left:
            page.words(flag.at - 3, text_y, label, size, align="right")
        else:
            page.words(flag.at + 3, text_y, label, size)
    _draw_spans(page, Box(box.x, top, box.width, bar_height), timeline, scale)
    strip = Box(box.x, top + bar_height + 4, box.width, bar_height / 6)
    _draw_dark(page, strip, timeline, scale)
    return _draw_clock(page, strip, timeline, scale, size)


def _labels(rows: Sequence[Row], with_times: bool, size: float) -> list[tuple[Row, str]]:
    return [(row, _label(row, with_times, size)) for row in rows if row.is_bath]


def _label(row: Row, with_times: bool, size: float) -> str:
    name = cut(row.name, _LONGEST_NAME, size)
    if not with_times or row.time_ms is None:
        return name + row.times
    return f"{name}{row.times and f' {row.number} ×'} {clock(row.time_ms)}"


def _draw_spans(page: Page, box: Box, timeline: Timeline, scale: float) -> None:
    for index, span in enumerate(timeline.spans):
        height = box.height * _HEIGHTS.get(span.kind, _STANDING)
        if span.kind in ("ready", "done"):
            height = 0.6
        left, width = box.x + span.start_ms * scale, (span.end_ms - span.start_ms) * scale
        bar = Box(left, box.bottom - height, width, height)
        by_hand = span.kind == "hand"
        page.bar(
            bar, WHITE if by_hand else BLACK, BLACK if by_hand else None, f"{span.kind}-{index}"
        )


def _draw_dark(page: Page, strip: Box, timeline: Timeline, scale: float) -> None:
    for dark, steps in groupby(timeline.steps, key=lambda step: step.dark):
        part = list(steps)
        start, end = part[0].start_ms, part[-1].end_ms
        box = Box(strip.x + start * scale, strip.y, (end - start) * scale, strip.height)
        page.bar(box, BLACK if dark else WHITE, BLACK, f"{'dark' if dark else 'light'}-{start}")


def _draw_clock(page: Page, strip: Box, timeline: Timeline, scale: float, size: float) -> float:
    widest = 1.8 * width_of(clock(timeline.duration_ms), size)
    every = next((s for s in _TICKS_S if s * 1000 * scale >= widest), _TICKS_S[-1]) * 1000
    baseline = strip.bottom + 4 + 1.1 * size
    for at_ms in range(0, timeline.duration_ms + 1, every):
        x = strip.x + at_ms * scale
        text = clock(at_ms)
        half = width_of(text, size) / 2
        page.line([x, x], [strip.bottom, strip.bottom + 4], 0.5)
        if x + half <= strip.right + 6:
            page.words(max(x - half, strip.x), baseline, text, size, ink=SOFT)
    return _draw_legend(page, strip.x, baseline + 1.6 * size, size)


def _draw_legend(page: Page, x: float, baseline: float, size: float) -> float:
    shown = (
        ("moving", 1.0, BLACK, None),
        ("standing", _STANDING, BLACK, None),
        ("transfer or drain", 0.5, BLACK, None),
        ("by hand", 1.0, WHITE, BLACK),
    )
    for words, share, ink, edge in shown:
        height = 0.8 * size * share
        page.bar(Box(x, baseline - height, 9, height), ink, edge)
        x += 13 + page.words(x + 13, baseline, words, size, ink=SOFT) + 12
    for words, ink in (("dark", BLACK), ("light", WHITE)):
        page.bar(Box(x, baseline - 0.55 * size, 14, 0.4 * size), ink, BLACK)
        x += 18 + page.words(x + 18, baseline, words, size, ink=SOFT) + 12
    return baseline
