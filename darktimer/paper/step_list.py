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
    highest = max(map(_weight_of_all, _in_columns(rows, columns)))
    pitch = height / highest
    lines = 2.05 if small == "under" else 1.36
    room = (width - _GAP * (columns - 1)) / columns - (_BESIDE if small == "beside" else 0)
    size = min(_LARGEST, pitch / lines, (room - _EDGE - 6) / _unit_width(rows))
    size = max(_LEAST, size)
    setting = Setting(columns, small, size, min(pitch, lines * 1.25 * size))
    return _with_room_beside(rows, width, setting) if small == "beside" else setting


def _with_room_beside(rows: Sequence[StepRow], width: float, setting: Setting) -> Setting:
    """The same in smaller type, as long as it is readable, where small print beside it needs it."""
    smaller = setting
    while smaller.size >= READABLE:
        edges = _edges(rows, width, smaller)
        if _all_fit(rows, width - edges.time_right - _BETWEEN, _SMALL_SIZES[-1], smaller.pitch):
            return smaller
        smaller = smaller._replace(size=smaller.size - 0.5)
    return setting


def _all_fit(rows: Sequence[StepRow], width: float, size: float, pitch: float) -> bool:
    """Whether all small print fits beside its line in one size."""
    lines = [(row.details, _lines_beside(_weight(row) * pitch, size)) for row in rows]
    return all(whole_phrases(said, width, size, most) is not None for said, most in lines)


def _lines_beside(height: float, size: float) -> int:
    return max(1, int(_FILLED * height / (_SMALL_LEADING * size)))


class _Edges(NamedTuple):
    """Where things stand in a column, from its left."""

    start_right: float
    name_left: float
    name_width: float
    time_right: float


def _edges(rows: Sequence[StepRow], width: float, setting: Setting) -> _Edges:
    size = setting.size
    start_right = _EDGE + 6 + _widest_start(rows, size)
    name_left = start_right + 0.8 * size
    time_width = _widest_time(rows, size)
    time_right = width
    if setting.small == "beside":
        names = max(_name_width(row, size) for row in rows)
        widest = width - _BESIDE - time_width - 0.8 * size - name_left
        time_right = name_left + min(names, widest) + 0.8 * size + time_width
    return _Edges(
        start_right, name_left, time_right - time_width - 0.5 * size - name_left, time_right
    )


def _weight(row: StepRow) -> float:
    """The height of a line against that of a bath's."""
    return 1.0 if row.is_bath else 0.72


def _weight_of_all(rows: Sequence[StepRow]) -> float:
    return sum(map(_weight, rows))


def _in_columns(rows: Sequence[StepRow], columns: int) -> list[Sequence[StepRow]]:
    deep = -(-len(rows) // columns)
    return [rows[first : first + deep] for first in range(0, len(rows), deep)]


def _unit_width(rows: Sequence[StepRow]) -> float:
    """The width of when, what and how long at a size of one point, with the gaps between."""
    names = max(_name_width(row, 1) for row in rows)
    return _widest_start(rows, 1) + min(_NAME_EMS, names) + _widest_time(rows, 1) + 1.6


def _type(row: StepRow, size: float) -> float:
    return size * _weight(row)


def _widest_start(rows: Sequence[StepRow], size: float) -> float:
    return max(width_of(clock(row.start_ms), _type(row, size)) for row in rows)


def _widest_time(rows: Sequence[StepRow], size: float) -> float:
    return max(width_of(_time(row), _type(row, size), row.is_bath) for row in rows)


def _name_width(row: StepRow, size: float) -> float:
    return width_of(row.name + row.times, _type(row, size), row.is_bath)


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
        edges = _edges(rows, box.width, setting)
        self._start_right = box.x + edges.start_right
        self._name_left, self._name_width = box.x + edges.name_left, edges.name_width
        self._time_right = box.x + edges.time_right
        beside = box.width - edges.time_right - _BETWEEN
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
        page, size = self._page, _type(row, self._setting.size)
        under = self._setting.small == "under" and row.is_bath
        baseline = box.y + 0.5 * box.height + (0.02 if under else 0.36) * size
        page.words(self._start_right, baseline, clock(row.start_ms), size, align="right")
        page.words(self._name_left, baseline, self._name(row, size), size, bold=row.is_bath)
        page.words(self._time_right, baseline, _time(row), size, bold=row.is_bath, align="right")
        if self._setting.small == "beside":
            left = self._time_right + _BETWEEN
            self._draw_beside(row, Box(left, box.y, box.right - left, box.height))
        elif under:
            left = self._name_left
            self._draw_under(row, left, baseline + 0.72 * size, box.right - left)

    def _name(self, row: StepRow, size: float) -> str:
        """The name cut to its room; the number of repeats is kept."""
        width = self._name_width - width_of(row.times, size, row.is_bath)
        return cut(row.name, width, size, row.is_bath) + row.times

    def _draw_beside(self, row: StepRow, box: Box) -> None:
        size = self._small_size
        lines = some_phrases(row.details, box.width, size, _lines_beside(box.height, size))
        leading = _SMALL_LEADING * size
        y = box.y + box.height / 2 - (len(lines) - 1) * leading / 2 + 0.36 * size
        for line in lines:
            self._page.words(box.x, y, line, size, ink=SOFT)
            y += leading

    def _draw_under(self, row: StepRow, x: float, y: float, width: float) -> None:
        size = max(5.5, min(9.0, 0.46 * self._setting.size))
        for line in some_phrases(row.details, width, size, 1):
            self._page.words(x, y, line, size, ink=SOFT)
