"""The frame of a plot: its title, a sentence under it, two axes and the marks on them."""

from typing import Final

from darktimer.paper.page import SOFT, Box, Page
from darktimer.paper.text_metrics import shortened

WIDTH: Final = 760.0
LEFT: Final = 70.0
RIGHT: Final = 40.0
TOP: Final = 76.0
BOTTOM: Final = 52.0
SIZE: Final = 10.0
APART: Final = 45.0  # from tick to tick, and from label to label


def framed(
    title: str, says: str, height: float, left: float = LEFT, right: float = RIGHT
) -> tuple[Page, Box]:
    """A page with its title, one sentence under it, and two axes; and the room between those."""
    page, room = Page(WIDTH, height), WIDTH - 2 * RIGHT
    page.words(RIGHT, 32, shortened(title, room, 17, bold=True), 17, bold=True)
    page.words(RIGHT, 52, shortened(says, room, 11), 11, ink=SOFT)
    box = Box(left, TOP, WIDTH - left - right, height - TOP - BOTTOM)
    page.line([box.x, box.x, box.right], [box.y, box.bottom, box.bottom], 0.8)
    return page, box


def mark_left(page: Page, box: Box, y: float, words: str) -> None:
    """A tick of the upright axis and its label."""
    page.line([box.x - 4, box.x], [y, y], 0.8, SOFT)
    page.words(box.x - 7, y + 0.36 * SIZE, words, SIZE, align="right")


def mark_below(page: Page, box: Box, x: float, words: str) -> None:
    """A tick of the level axis and its label."""
    page.line([x, x], [box.bottom, box.bottom + 4], 0.8, SOFT)
    page.words(x, box.bottom + 16, words, SIZE, align="center")
