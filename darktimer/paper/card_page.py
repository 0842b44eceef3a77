"""Lays a card out on one page, to pin up or to learn from before the lights go out.

Knows which part stands where and how the room is shared: the list of steps has what the others
leave, and they grow smaller where it would not be readable from a metre.
"""

from typing import Final, NamedTuple

from darktimer.knocks.patterns import IN_WORDS
from darktimer.paper.bench_row import draw_bench
from darktimer.paper.card import Card
from darktimer.paper.drawn_cues import draw_cues
from darktimer.paper.page import SOFT, Box, Page
from darktimer.paper.small_print import draw_paragraphs, height_of
from darktimer.paper.step_list import READABLE, best_setting, draw_list
from darktimer.paper.text_metrics import fitting_size, wrapped_within
from darktimer.paper.timeline_picture import draw_timeline
from darktimer.process.keys import KEYS_IN_BRIEF

#: Width and height in points: ISO 216 A4 is 210 by 297 mm, Letter 8.5 by 11 inches.
PAPERS: Final = {"A4": (210 / 25.4 * 72, 297 / 25.4 * 72), "Letter": (612.0, 792.0)}
_MARGIN: Final = 43.0
_LOWEST_BAR: Final = 16.0
#: All stands so much higher than the middle, and the keys so far below it; knocks a line further.
_RAISED: Final = 6.0
_TO_FOOT: Final = 11.0
_LEAST_FOOT: Final = 6.0
_FOOT_LEADING: Final = 1.2
_SECOND_LINE: Final = 8.0
_KNOCKS_IN_BRIEF: Final = "Knocks, with run --knocks: " + " · ".join(
    f"{words[0].lower()}{words[1:]}, {what}" for what, words in IN_WORDS.items()
)


class _Type(NamedTuple):
    """The sizes of everything but the list of steps, and how much is told."""

    body: float
    small: float
    bar_height: float
    with_masses: bool
    least_step: float = READABLE  # the steps must be so large; else there is room to be gained

    @property
    def gap(self) -> float:
        """Between the parts of the page; less where the bars are lowest."""
        return (1.6 if self.bar_height > _LOWEST_BAR else 1.35) * self.body


_OPEN: Final = _Type(10.5, 8.4, 54, True, 24.0)
_ROOMY: Final = _Type(9.0, 7.6, 30, True, 18.0)
_CLOSE: Final = _Type(8.4, 7.0, 24, True, 18.0)
_CLOSER: Final = _Type(8.0, 6.6, 20, True)
_TIGHT: Final = _Type(7.4, 6.2, _LOWEST_BAR, True)
_SHORT: Final = _Type(7.4, 6.2, _LOWEST_BAR, False)


def draw_card(shown: Card, paper: str) -> Page:
    """The card as one page of ``paper``, a key of `PAPERS`."""
    width, height = PAPERS[paper]
    high = height - 2 * _MARGIN - _SECOND_LINE
    box = Box(_MARGIN, _MARGIN - _RAISED, width - 2 * _MARGIN, high)
    page, sizes = Page(width, height), _fitting(shown, box)
    _draw_upper(page, box, shown, sizes)
    room = _room(shown, box, sizes)
    draw_list(page, room, shown.rows, best_setting(shown.rows, room.width, room.height))
    below = Box(box.x, room.bottom + sizes.gap, box.width, 0)
    y = _draw_lower(page, below, shown, sizes) + sizes.gap
    draw_paragraphs(page, Box(box.x, y, box.width, 0), shown.small_print, 2, sizes.small)
    _draw_foot(page, box, sizes.body)
    return page


def _draw_foot(page: Page, box: Box, most: float) -> None:
    """What may be asked of a live run, by keys and by knocks, a line each."""
    lines = (KEYS_IN_BRIEF, _KNOCKS_IN_BRIEF)
    size = min(fitting_size(line, box.width, most, _LEAST_FOOT) for line in lines)
    for line, words in enumerate(lines):
        page.words(box.x, box.bottom + _TO_FOOT + line * _FOOT_LEADING * size, words, size)


def _fitting(shown: Card, box: Box) -> _Type:
    """The largest type that leaves the steps one readable column, else any that is readable."""
    tried = []
    for sizes in (_OPEN, _ROOMY, _CLOSE, _CLOSER, _TIGHT, _SHORT):
        room = _room(shown, box, sizes)
        setting = best_setting(shown.rows, room.width, room.height)
        if setting.is_roomy and setting.size >= sizes.least_step:
            return sizes
        tried.append((sizes, setting))
    return next((sizes for sizes, setting in tried if setting.size >= READABLE), _SHORT)


def _room(shown: Card, box: Box, sizes: _Type) -> Box:
    """What the other parts leave for the list of steps."""
    scratch = Page(box.width, 1, scratch=True)
    top = _draw_upper(scratch, box, shown, sizes) + sizes.gap
    lower = _draw_lower(scratch, Box(0, 0, box.width, 0), shown, sizes)
    small = height_of(shown.small_print, box.width, 2, sizes.small)
    return Box(box.x, top, box.width, box.bottom - small - lower - 2 * sizes.gap - top)


def _draw_upper(page: Page, box: Box, shown: Card, sizes: _Type) -> float:
    y = _draw_head(page, box, shown) + sizes.gap
    below = Box(box.x, y, box.width, 0)
    size, bar_height = sizes.body - 0.5, sizes.bar_height
    return draw_timeline(page, below, shown.timeline, shown.rows, bar_height=bar_height, size=size)


def _draw_head(page: Page, box: Box, shown: Card) -> float:
    title = shown.timeline.title
    size = fitting_size(title, box.width, 27, 17, bold=True)
    lines = wrapped_within(title, box.width, size, 2, bold=True)
    y = page.lines(box.x, box.y + 0.78 * size, lines, size, bold=True) - 1.28 * size + 18
    facts = wrapped_within(" · ".join(shown.facts), box.width, 10.5, 2)
    y = page.lines(box.x, y, facts, 10.5)
    if shown.about:
        about = wrapped_within(shown.about, box.width, 8.5, 2)
        y = page.lines(box.x, y, about, 8.5, ink=SOFT)
    return y - 10


def _draw_lower(page: Page, box: Box, shown: Card, sizes: _Type) -> float:
    y = box.y
    if shown.places:
        y = draw_bench(page, box, shown.places, size=sizes.body, with_masses=sizes.with_masses)
        y += sizes.gap
    below = Box(box.x, y, box.width, 0)
    return draw_cues(page, below, shown.sounds, sizes.body - 0.6)
