"""The list of steps in the largest type that its room allows: when, what, how long.

Knows lines and room; a time is never cut, a name is when it must be.
"""

from collections.abc import Sequence
from typing import Final, Literal, NamedTuple

from darktimer.paper.page import SOFT, Box, Page, width_of, wrapped, wrapped_within
from darktimer.paper.page import shortened as cut
from darktimer.paper.rows import Row
from darktimer.units import clock

Small = Literal["beside", "under", "none"]

#: Below this nobody reads it from a metre, so that more columns are better than smaller type.
READABLE: Final = 16.0
_LARGEST: Final = 26.0
_LEAST: Final = 4.0
_GAP: Final = 26.0
_BESIDE: Final = 150.0  # the least width for small print beside the large
_EDGE: Final = 4.0  # the black edge of what is done in the dark
_SEPARATOR: Final = " · "
_NAME_EMS: Final = 7.0  # a longer name is cut before the type shrinks for it


class Setting(NamedTuple):
    """How the list is set: columns, where the small print goes, size and height of a line."""

    columns: int
    small: Small
    size: float
    pitch: float

    @property
    def is_best(self) -> bool:
        """Whether one column with small print beside it is readable from a metre."""
        return self.small == "beside" and self.size >= READABLE


def best_setting(rows: Sequence[Row], width: float, height: float) -> Setting:
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
    rows: Sequence[Row], width: float, height: float, columns: int, small: Small
) -> Setting:
    highest = max(map(_weight_of_all, _in_columns(rows, columns)))
    pitch = height / highest
    lines = 2.05 if small == "under" else 1.36
    room = (width - _GAP * (columns - 1)) / columns - (_BESIDE if small == "beside" else 0)
    size = min(_LARGEST, pitch / lines, (room - _EDGE - 6) / _unit_width(rows))
    size = max(_LEAST, size)
    return Setting(columns, small, size, min(pitch, lines * 1.25 * size))


def _weight(row: Row) -> float:
    """The height of a line against that of a bath's."""
    return 1.0 if row.is_bath else 0.74


def _weight_of_all(rows: Sequence[Row]) -> float:
    return sum(map(_weight, rows))


def _in_columns(rows: Sequence[Row], columns: int) -> list[Sequence[Row]]:
    deep = -(-len(rows) // columns)
    return [rows[first : first + deep] for first in range(0, len(rows), deep)]


def _unit_width(rows: Sequence[Row]) -> float:
    """The width of when, what and how long at a size of one point, with the gaps between."""
    names = max(_name_width(row, 1) for row in rows)
    return _widest_start(rows, 1) + min(_NAME_EMS, names) + _widest_time(rows, 1) + 1.6


def _type(row: Row, size: float) -> float:
    return size * _weight(row)


def _widest_start(rows: Sequence[Row], size: float) -> float:
    return max(width_of(clock(row.start_ms), _type(row, size)) for row in rows)


def _widest_time(rows: Sequence[Row], size: float) -> float:
    return max(width_of(_time(row), _type(row, size), row.is_bath) for row in rows)


def _name_width(row: Row, size: float) -> float:
    return width_of(row.name + row.times, _type(row, size), row.is_bath)


def _time(row: Row) -> str:
    return "" if row.time_ms is None else clock(row.time_ms)


def draw_list(page: Page, box: Box, rows: Sequence[Row], setting: Setting) -> None:
    """Draws the list from the top of ``box``."""
    width = (box.width - _GAP * (setting.columns - 1)) / setting.columns
    for index, part in enumerate(_in_columns(rows, setting.columns)):
        x = box.x + index * (width + _GAP)
        _Column(page, Box(x, box.y, width, box.height), rows, setting).draw(part)


class _Column:
    """One column of the list, with its own edges for when, what, how long and small print."""

    def __init__(self, page: Page, box: Box, rows: Sequence[Row], setting: Setting) -> None:
        self._page, self._box, self._setting = page, box, setting
        size = setting.size
        self._start_right = box.x + _EDGE + 6 + _widest_start(rows, size)
        self._name_left = self._start_right + 0.8 * size
        time_width = _widest_time(rows, size)
        self._time_right = box.right
        if setting.small == "beside":
            names = max(_name_width(row, size) for row in rows)
            widest = box.right - _BESIDE - time_width - 0.8 * size - self._name_left
            self._time_right = self._name_left + min(names, widest) + 0.8 * size + time_width
        self._name_width = self._time_right - time_width - 0.5 * size - self._name_left

    def draw(self, rows: Sequence[Row]) -> None:
        top = self._box.y
        for row in rows:
            height = _weight(row) * self._setting.pitch
            self._draw_row(row, Box(self._box.x, top, self._box.width, height))
            if row.dark:
                self._page.bar(Box(self._box.x, top, _EDGE, height))
            top += height

    def _draw_row(self, row: Row, box: Box) -> None:
        page, size = self._page, _type(row, self._setting.size)
        under = self._setting.small == "under" and row.is_bath
        baseline = box.y + 0.5 * box.height + (0.02 if under else 0.36) * size
        page.words(self._start_right, baseline, clock(row.start_ms), size, align="right")
        page.words(self._name_left, baseline, self._name(row, size), size, bold=row.is_bath)
        page.words(
            self._time_right, baseline, _time(row), size, bold=row.is_bath, align="right"
        )
        if self._setting.small == "beside":
            left = self._time_right + 14
            self._draw_beside(row, Box(left, box.y, box.right - left, box.height))
        elif under:
            left = self._name_left
            self._draw_under(row, left, baseline + 0.72 * size, box.right - left)

    def _name(self, row: Row, size: float) -> str:
        """The name cut to its room; the number of repeats is kept."""
        width = self._name_width - width_of(row.times, size, row.is_bath)
        return cut(row.name, width, size, row.is_bath) + row.times

    def _draw_beside(self, row: Row, box: Box) -> None:
        size = max(7.5, min(9.5, self._setting.size * 0.45))
        leading = 1.15 * size
        lines = small_lines(row.details, box.width, size, max(1, int(box.height / leading)))
        y = box.y + box.height / 2 - (len(lines) - 1) * leading / 2 + 0.36 * size
        for line in lines:
            self._page.words(box.x, y, line, size, ink=SOFT)
            y += leading

    def _draw_under(self, row: Row, x: float, y: float, width: float) -> None:
        size = max(5.5, min(9.0, 0.46 * self._setting.size))
        for line in small_lines(row.details, width, size, 1):
            self._page.words(x, y, line, size, ink=SOFT)


def small_lines(phrases: Sequence[str], width: float, size: float, most: int) -> list[str]:
    """The phrases each on lines of its own, or one after another where that takes too many lines.

    What does not fit is left out from the last phrase backward; only words are cut, never a time.
    """
    apart = [line for phrase in phrases for line in wrapped(phrase, width, size)]
    if len(apart) <= most:
        return apart
    together = _SEPARATOR.join(phrases)
    if len(wrapped(together, width, size)) <= most:
        return wrapped(together, width, size)
    *others, last = phrases
    if any(letter.isdigit() for letter in last):
        return small_lines(others, width, size, most) if others else []
    head = _SEPARATOR.join([*others, ""])
    if len(wrapped(head + last[:8], width, size)) > most:
        return small_lines(others, width, size, most) if others else []
    return wrapped_within(together, width, size, most)
