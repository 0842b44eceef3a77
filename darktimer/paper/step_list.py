"""The list of steps in the largest type that its room allows: when, what, how long.

Knows lines and room; a time is never cut, a name is when it must be.
"""

from collections.abc import Sequence
from typing import Final, Literal, NamedTuple

from darktimer.paper.lettering import shortened as cut
from darktimer.paper.lettering import width_of, wrapped, wrapped_within
from darktimer.paper.page import SOFT, Box, Page
from darktimer.paper.rows import Row
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
_WORTH_BEGINNING: Final = 12  # letters of a phrase, below which it is left out
_SEPARATOR: Final = " · "
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
    return 1.0 if row.is_bath else 0.72


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
        self._small_size = self._fitting_small(rows)
        self._name_width = self._time_right - time_width - 0.5 * size - self._name_left

    def _fitting_small(self, rows: Sequence[Row]) -> float:
        """The largest size in which all small print fits, the same for all of the list."""
        width = self._box.right - self._time_right - _BETWEEN
        for size in _SMALL_SIZES:
            heights = [(row, _FILLED * _weight(row) * self._setting.pitch) for row in rows]
            most = [(row.details, int(height / (1.15 * size))) for row, height in heights]
            if all(whole_phrases(said, width, size, lines) is not None for said, lines in most):
                return size
        return _SMALL_SIZES[-1]

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
        page.words(self._time_right, baseline, _time(row), size, bold=row.is_bath, align="right")
        if self._setting.small == "beside":
            left = self._time_right + _BETWEEN
            self._draw_beside(row, Box(left, box.y, box.right - left, box.height))
        elif under:
            left = self._name_left
            self._draw_under(row, left, baseline + 0.72 * size, box.right - left)

    def _name(self, row: Row, size: float) -> str:
        """The name cut to its room; the number of repeats is kept."""
        width = self._name_width - width_of(row.times, size, row.is_bath)
        return cut(row.name, width, size, row.is_bath) + row.times

    def _draw_beside(self, row: Row, box: Box) -> None:
        size = self._small_size
        leading = 1.15 * size
        most = max(1, int(_FILLED * box.height / leading))
        lines = some_phrases(row.details, box.width, size, most)
        y = box.y + box.height / 2 - (len(lines) - 1) * leading / 2 + 0.36 * size
        for line in lines:
            self._page.words(box.x, y, line, size, ink=SOFT)
            y += leading

    def _draw_under(self, row: Row, x: float, y: float, width: float) -> None:
        size = max(5.5, min(9.0, 0.46 * self._setting.size))
        for line in some_phrases(row.details, width, size, 1):
            self._page.words(x, y, line, size, ink=SOFT)


def whole_phrases(phrases: Sequence[str], width: float, size: float, most: int) -> list[str] | None:
    """The phrases on one line, else each on its own, else in a row; None where nothing fits."""
    apart = [line for phrase in phrases for line in wrapped(phrase, width, size)]
    together = wrapped(_SEPARATOR.join(phrases), width, size)
    if len(together) <= 1:
        return together
    return next((lines for lines in (apart, together) if len(lines) <= most), None)


def some_phrases(phrases: Sequence[str], width: float, size: float, most: int) -> list[str]:
    """As many phrases as fit, from the first; the last may be cut, but never at a number."""
    if not phrases:
        return []
    lines = whole_phrases(phrases, width, size, most)
    if lines is not None:
        return lines
    *others, last = phrases
    begun = wrapped(_SEPARATOR.join([*others, last[:_WORTH_BEGINNING]]), width, size)
    if len(begun) > most:
        return some_phrases(others, width, size, most)
    *whole, cut_line = wrapped_within(_SEPARATOR.join(phrases), width, size, most)
    return [*whole, *_cut_before_numbers(cut_line)]


def _cut_before_numbers(line: str) -> list[str]:
    """A line that ends in an ellipsis, cut further where that stands after or within a number."""
    words = line.removesuffix("…").split()
    while any(letter.isdigit() for word in words[-2:] for letter in word):
        words.pop()
    return [" ".join(words).rstrip(" ·,;:") + "…"] if words else []
