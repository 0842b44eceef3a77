"""Draws the baths as they stand: vessels on one line, what is in each written under it."""

from collections.abc import Sequence
from typing import Final

from darktimer.paper.lettering import LEADING, wrapped_within
from darktimer.paper.page import BLACK, SOFT, Box, Page
from darktimer.paper.places import Place

_VESSEL: Final = 16.0
_GAP: Final = 10.0
_MOST_IN_A_ROW: Final = 9
_MOST_ROWS: Final = 2
_WIDEST: Final = 150.0
_WEIGHED_ELSEWHERE: Final = "what to weigh: darktimer mix"


def draw_bench(
    page: Page, box: Box, places: Sequence[Place], *, size: float, with_masses: bool
) -> float:
    """Draws from the top of ``box``; returns the y of the lower end."""
    y = box.y + size
    page.words(box.x, y, "On the bench, left to right", size + 1.5, bold=True)
    if not with_masses and any(place.made_of for place in places):
        page.words(box.right, y, _WEIGHED_ELSEWHERE, size - 1, ink=SOFT, align="right")
    shown = _shown(places)
    rows = -(-len(shown) // _MOST_IN_A_ROW)
    in_a_row = -(-len(shown) // rows)
    for first in range(0, len(shown), in_a_row):
        part = shown[first : first + in_a_row]
        row = Box(box.x, y + 7, box.width, 0)
        y = _draw_row(page, row, part, in_a_row, size, with_masses)
    return y


def _shown(places: Sequence[Place]) -> Sequence[Place]:
    """All places, or as many as have room and then the number of the others."""
    most = _MOST_IN_A_ROW * _MOST_ROWS
    if len(places) <= most:
        return places
    others = f"and {len(places) - most + 1} more"
    return [*places[: most - 1], Place((), others, "", ())]


def _draw_row(
    page: Page, box: Box, places: Sequence[Place], in_a_row: int, size: float, with_masses: bool
) -> float:
    width = min(_WIDEST, (box.width + _GAP) / in_a_row)
    bench = box.y + _VESSEL
    page.line([box.x, box.right], [bench, bench], 0.5)
    ends = [bench]
    for index, place in enumerate(places):
        x = box.x + index * width
        if place.steps:
            _draw_vessel(page, Box(x, box.y, min(44, width - _GAP), _VESSEL))
        ends.append(_draw_words(page, Box(x, bench, width - _GAP, 0), place, size, with_masses))
    return max(ends)


def _draw_vessel(page: Page, box: Box) -> None:
    left, right = box.x, box.right
    page.line([left, left, right, right], [box.y, box.bottom, box.bottom, box.y], 1.2)
    surface = box.y + 0.32 * box.height
    page.line([left, right], [surface, surface], 0.5)


def _draw_words(page: Page, box: Box, place: Place, size: float, with_masses: bool) -> float:
    names = wrapped_within(", ".join(place.steps), box.width, size, 2, bold=True)
    y = page.lines(box.x, box.y + 1.45 * size, names, size, bold=True)
    small = size - 1
    for text, most, ink in (
        (place.bath, 2, BLACK),
        (place.amount, 1, BLACK),
        *((made, 2, SOFT) for made in (place.made_of if with_masses else ())),
    ):
        lines = wrapped_within(text, box.width, small, most)
        y = page.lines(box.x, y, lines, small, ink=ink)
    return y - LEADING * small
