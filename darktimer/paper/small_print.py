"""Paragraphs of small print in columns of even height, under headings in bold.

The first line of a paragraph stands out to the left, so that each is seen to begin.
"""

from collections.abc import Sequence
from typing import NamedTuple

from darktimer.paper.page import Box, Page
from darktimer.paper.text_metrics import wrapped_within

_GAP = 20.0
_LEADING = 1.27
_MOST = 5  # lines of a paragraph
_INDENT = 7.0
_ABOVE_HEADING = 0.6  # of a line


class _Line(NamedTuple):
    text: str
    indent: float = 0.0
    bold: bool = False


class Paragraph(NamedTuple):
    """A heading, which may be empty, and sentences."""

    heading: str
    text: str


def height_of(paragraphs: Sequence[Paragraph], width: float, columns: int, size: float) -> float:
    """How high the paragraphs stand in so many columns."""
    deepest = max(_tops(lines)[-1] for lines in _columns(paragraphs, width, columns, size))
    return deepest * _LEADING * size


def draw_paragraphs(
    page: Page, box: Box, paragraphs: Sequence[Paragraph], columns: int, size: float
) -> None:
    """Draws the paragraphs from the top of ``box``."""
    width = (box.width - _GAP * (columns - 1)) / columns
    for index, lines in enumerate(_columns(paragraphs, box.width, columns, size)):
        x = box.x + index * (width + _GAP)
        for line, top in zip(lines, _tops(lines), strict=False):
            y = box.y + size + top * _LEADING * size
            page.words(x + line.indent, y, line.text, size, bold=line.bold)


def _tops(lines: Sequence[_Line]) -> list[float]:
    """Where each line of a column begins and the last one ends, in lines from the top.

    A heading has room above it, but at the top.
    """
    above = [_ABOVE_HEADING if line.bold and index else 0.0 for index, line in enumerate(lines)]
    tops = [index + sum(above[: index + 1]) for index in range(len(lines))]
    return [*tops, len(lines) + sum(above)]


def _columns(
    paragraphs: Sequence[Paragraph], width: float, columns: int, size: float
) -> list[list[_Line]]:
    """The lowest columns that hold all, a block never torn."""
    width = (width - _GAP * (columns - 1)) / columns
    blocks = [_block(paragraph, width, size) for paragraph in paragraphs]
    depths = range(max(map(len, blocks)), 1 + sum(map(len, blocks)))
    filled = (_filled(blocks, deep) for deep in depths)
    return next(lines for lines in filled if len(lines) <= columns)


def _block(paragraph: Paragraph, width: float, size: float) -> list[_Line]:
    heading = [_Line(paragraph.heading, bold=True)] if paragraph.heading else []
    first, *others = wrapped_within(paragraph.text, width - _INDENT, size, _MOST)
    return [*heading, _Line(first), *(_Line(line, _INDENT) for line in others)]


def _filled(blocks: Sequence[list[_Line]], deep: int) -> list[list[_Line]]:
    columns: list[list[_Line]] = [[]]
    for block in blocks:
        if columns[-1] and len(columns[-1]) + len(block) > deep:
            columns.append([])
        columns[-1] += block
    return columns
