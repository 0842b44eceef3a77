"""The list of steps in the largest type that its room allows: when, what, how long.

Knows lines and room; a time is never cut, a name is when it must be.
"""

from collections.abc import Sequence
from typing import Final, Literal, NamedTuple

from darktimer.paper.page import SOFT, Box, Page
from darktimer.paper.phrases import some_phrases, whole_phrases
from darktimer.paper.step_rows import StepRow
from darktimer.paper.text_metrics import shortened as cut
from darktimer.paper.text_metrics import width_of
from darktimer.units import clock

Small = Literal["beside", "under", "none"]

#: Below this nobody reads it from a metre, so that more columns are better than smaller type.
READABLE: Final = 16.0
_LARGEST: Final = 32.0
_LEAST: Final = 4.0
_GAP: Final = 26.0
_BESIDE: Final = 165.0  # the least width for small print beside the large
_EDGE: Final = 4.0  # the black edge of what is done in the dark
_FILLED: Final = 0.86  # of the height of a line, by small print
_BETWEEN: Final = 14.0  # from the large type to the small print beside it
_SMALL_SIZES: Final = (9.5, 8.8, 8.1, 7.4)
_SMALL_LEADING: Final = 1.15
_NAME_EMS: Final = 10.5  # a longer name is cut before the type shrinks for it


class Setting(NamedTuple):
    """How the list is set: columns, where the small print goes, size and height of a line."""

    columns: int
    small: Small
    size: float
    pitch: float

    @property
    def is_roomy(self) -> bool:
        """Whether there is one column, with small print beside it."""
        return self.small == "beside"


def best_setting(rows: Sequence[StepRow], width: float, height: float) -> Setting:
    """The first way that is readable from a metre, in order of merit; else the largest type."""
    ways: tuple[tuple[int, Small], ...] = (
        (1, "beside"),
        (2, "under"),
        (2, "none"),
        (3, "none"),
        (4, "none"),
    )
    settings = [_setting(rows, width, height, columns, small) for columns, small in ways]
    readable = (setting for setting in settings if setting.size >= READABLE)
    return next(readable, max(settings, key=lambda setting: setting.size))


def _setting(
    rows: Sequence[StepRow], width: float, height: float, columns: int, small: Small
) -> Setting:
    pitch = height / max(sum(map(_weight, part)) for part in _in_columns(rows, columns))
    lines = 2.05 if small == "under" else 1.36
    room = (width - _GAP * (columns - 1)) / columns - (_BESIDE if small == "beside" else 0)
    widest = _widest(rows)
    ems = widest.start + min(_NAME_EMS, widest.name) + widest.time + 1.6
    size = max(_LEAST, min(_LARGEST, pitch / lines, (room - _EDGE - 6) / ems))
    setting = Setting(columns, small, size, min(pitch, lines * 1.25 * size))
    return _with_room_beside(rows, width, setting) if small == "beside" else setting


def _with_room_beside(rows: Sequence[StepRow], width: float, setting: Setting) -> Setting:
    """The same in smaller type, as long as it is readable, where small print beside it needs it."""
    smaller = setting
    while smaller.size >= READABLE:
        beside = width - _edges(rows, width, smaller).time_right - _BETWEEN
        if _all_fit(rows, beside, _SMALL_SIZES[-1], smaller.pitch):
            return smaller
        smaller = smaller._replace(size=smaller.size - 0.5)
    return setting


def _all_fit(rows: Sequence[StepRow], width: float, size: float, pitch: float) -> bool:
    """Whether all small print fits beside its line in one size."""
    lines = [(row.details, _lines_beside(_weight(row) * pitch, size)) for row in rows]
    return all(whole_phrases(said, width, size, most) is not None for said, most in lines)


def _lines_beside(height: float, size: float) -> int:
    return max(1, int(_FILLED * height / (_SMALL_LEADING * size)))


def _weight(row: StepRow) -> float:
    """The size and height of a line against those of a bath's."""
    return 1.0 if row.is_bath else 0.72


def _in_columns(rows: Sequence[StepRow], columns: int) -> list[Sequence[StepRow]]:
    deep = -(-len(rows) // columns)
    return [rows[first : first + deep] for first in range(0, len(rows), deep)]


class _Widest(NamedTuple):
    """The widest of each part of a line, in sizes of the type."""

    start: float
    name: float
    time: float


def _widest(rows: Sequence[StepRow]) -> _Widest:
    return _Widest(
        max(width_of(clock(row.start_ms), _weight(row)) for row in rows),
        max(width_of(row.name + row.times, _weight(row), row.is_bath) for row in rows),
        max(width_of(_time(row), _weight(row), row.is_bath) for row in rows),
    )


class _Edges(NamedTuple):
    """Where things stand in a column, from its left."""

    start_right: float
    name_left: float
    name_width: float
    time_right: float


def _edges(rows: Sequence[StepRow], width: float, setting: Setting) -> _Edges:
    start, name, time = (setting.size * each for each in _widest(rows))
    gap = 0.8 * setting.size
    start_right = _EDGE + 6 + start
    name_left, time_right = start_right + gap, width
    if setting.small == "beside":
        time_right = min(name_left + name + gap + time, width - _BESIDE)
    name_width = time_right - time - 0.5 * setting.size - name_left
    return _Edges(start_right, name_left, name_width, time_right)


def _time(row: StepRow) -> str:
    return "" if row.time_ms is None else clock(row.time_ms)


def draw_list(page: Page, box: Box, rows: Sequence[StepRow], setting: Setting) -> None:
    """Draws the list from the top of ``box``."""
    width = (box.width - _GAP * (setting.columns - 1)) / setting.columns
    for index, part in enumerate(_in_columns(rows, setting.columns)):
        x = box.x + index * (width + _GAP)
        _Column(page, Box(x, box.y, width, box.height), rows, setting).draw(part)


class _Column:
    """One column of the list, with its own edges for when, what, how long and small print."""

    def __init__(self, page: Page, box: Box, rows: Sequence[StepRow], setting: Setting) -> None:
        self._page, self._box, self._setting = page, box, setting
        self._edges = _edges(rows, box.width, setting)
        beside = box.width - self._edges.time_right - _BETWEEN
        fits = (size for size in _SMALL_SIZES if _all_fit(rows, beside, size, setting.pitch))
        self._small_size = next(fits, _SMALL_SIZES[-1])  # the same for all of the list

    def draw(self, rows: Sequence[StepRow]) -> None:
        top = self._box.y
        for row in rows:
            height = _weight(row) * self._setting.pitch
            self._draw_row(row, Box(self._box.x, top, self._box.width, height))
            if row.dark:
                self._page.bar(Box(self._box.x, top, _EDGE, height))
            top += height

    def _draw_row(self, row: StepRow, box: Box) -> None:
        page, edges, size = self._page, self._edges, self._setting.size * _weight(row)
        under = self._setting.small == "under" and row.is_bath
        baseline = box.y + 0.5 * box.height + (0.02 if under else 0.36) * size
        name, time_x = box.x + edges.name_left, box.x + edges.time_right
        room = edges.name_width - width_of(row.times, size, row.is_bath)
        named = cut(row.name, room, size, row.is_bath) + row.times  # the repeats are never cut
        page.words(box.x + edges.start_right, baseline, clock(row.start_ms), size, align="right")
        page.words(name, baseline, named, size, bold=row.is_bath)
        page.words(time_x, baseline, _time(row), size, bold=row.is_bath, align="right")
        if self._setting.small == "beside":
            left = time_x + _BETWEEN
            self._draw_beside(row, Box(left, box.y, box.right - left, box.height))
        elif under:
            small = max(5.5, min(9.0, 0.46 * self._setting.size))
            lines = some_phrases(row.details, box.right - name, small, 1)
            page.lines(name, baseline + 0.72 * size, lines, small, ink=SOFT)

    def _draw_beside(self, row: StepRow, box: Box) -> None:
        size = self._small_size
        lines = some_phrases(row.details, box.width, size, _lines_beside(box.height, size))
        leading = _SMALL_LEADING * size
        y = box.y + box.height / 2 - (len(lines) - 1) * leading / 2 + 0.36 * size
        for line in lines:
            self._page.words(box.x, y, line, size, ink=SOFT)
            y += leading
