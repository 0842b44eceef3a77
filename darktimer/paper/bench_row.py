"""Draws the baths as they stand: vessels on one line, what is in each written under it."""

from collections.abc import Sequence
from typing import Final

from darktimer.paper.bath_places import BathPlace
from darktimer.paper.page import SOFT, Box, Page
from darktimer.paper.text_metrics import LEADING, width_of, wrapped_within

_VESSEL: Final = 16.0
_VESSEL_WIDTH: Final = 44.0
_GAP: Final = 10.0
_MOST_IN_A_ROW: Final = 9
_MOST_ROWS: Final = 2
_WIDEST: Final = 150.0
_MOST_LINES: Final = 4  # of one thing to weigh: what it is called must be whole
_INDENT: Final = 5.0
_WEIGHED_ELSEWHERE: Final = "what to weigh: darktimer mix"


def draw_bench(
    page: Page, box: Box, places: Sequence[BathPlace], *, size: float, with_masses: bool
) -> float:
    """Draws from the top of ``box``; returns the y of the lower end."""
    y = box.y + size
    page.words(box.x, y, "On the bench, left to right", size + 1.5, bold=True)
    if not with_masses and any(place.made_of for place in places):
        page.words(box.right, y, _WEIGHED_ELSEWHERE, size - 1, ink=SOFT, align="right")
        places = [place._replace(made_of=()) for place in places]
    shown = _shown(places)
    rows = -(-len(shown) // _MOST_IN_A_ROW)
    in_a_row = -(-len(shown) // rows)
    for first in range(0, len(shown), in_a_row):
        part = shown[first : first + in_a_row]
        row = Box(box.x, y + 7, box.width, 0)
        y = _draw_row(page, row, part, size)
    return y


def _shown(places: Sequence[BathPlace]) -> Sequence[BathPlace]:
    """All places, or as many as have room and then the number of the others."""
    most = _MOST_IN_A_ROW * _MOST_ROWS
    if len(places) <= most:
        return places
    others = f"and {len(places) - most + 1} more"
    return [*places[: most - 1], BathPlace((), others, "", ())]


def _draw_row(page: Page, box: Box, places: Sequence[BathPlace], size: float) -> float:
    bench = box.y + _VESSEL
    page.line([box.x, box.right], [bench, bench], 0.5)
    ends, x = [bench], box.x
    for place, width in zip(places, _widths(box.width, places, size), strict=True):
        if place.steps:
            _draw_vessel(page, Box(x, box.y, min(_VESSEL_WIDTH, width), _VESSEL))
        ends.append(_draw_words(page, Box(x, bench, width, 0), place, size))
        x += width + _GAP
    return max(ends)


def _widths(width: float, places: Sequence[BathPlace], size: float) -> Sequence[float]:
    """Each place as wide as its words; where that is too much, the widest give way."""
    needs = [min(_WIDEST, _need(place, size)) for place in places]
    room = width - _GAP * (len(places) - 1)
    most = max(needs)
    while sum(min(need, most) for need in needs) > room:
        most -= 0.5
    spare = (room - sum(min(need, most) for need in needs)) / len(places)
    return [min(_WIDEST, min(need, most) + spare) for need in needs]


def _need(place: BathPlace, size: float) -> float:
    return max(
        _VESSEL_WIDTH,
        width_of(", ".join(place.steps), size, bold=True),
        *(width_of(words, size - 1) for words in (place.bath, place.amount)),
        *(width_of(words, size - 1) + _INDENT for words in place.made_of),
    )


def _draw_vessel(page: Page, box: Box) -> None:
    left, right = box.x, box.right
    page.line([left, left, right, right], [box.y, box.bottom, box.bottom, box.y], 1.2)
    surface = box.y + 0.32 * box.height
    page.line([left, right], [surface, surface], 0.5)


def _draw_words(page: Page, box: Box, place: BathPlace, size: float) -> float:
    names = wrapped_within(", ".join(place.steps), box.width, size, 2, bold=True)
    y = page.lines(box.x, box.y + 1.45 * size, names, size, bold=True)
    small = size - 1
    for text, most in ((place.bath, 2), (place.amount, 1)):
        y = page.lines(box.x, y, wrapped_within(text, box.width, small, most), small)
    for made in place.made_of:
        first, *others = wrapped_within(made, box.width - _INDENT, small, _MOST_LINES)
        y = page.lines(box.x, y, [first], small, ink=SOFT)
        y = page.lines(box.x + _INDENT, y, others, small, ink=SOFT)
    return y - LEADING * small
