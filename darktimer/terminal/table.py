"""A table laid out for the terminal: no lines, columns two blanks apart, words torn only where no
width would do, so that it reads aloud and copies well. Ten thousand rows take no longer than is
patient.
"""

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from shutil import get_terminal_size
from textwrap import wrap
from typing import Final

import click

from darktimer.terminal.text import say

_GAP: Final = 2


def print_table(columns: Sequence[tuple[str, str]], rows: Iterable[Sequence[str]]) -> None:
    """Rows under (heading, justify) columns; a column is "left", "right" or at the "point"."""
    headings = [heading for heading, _ in columns]
    cells = zip(*(headings, *rows), strict=True)
    made = [_TextColumn(justify, own) for (_, justify), own in zip(columns, cells, strict=True)]
    heads, lines = _laid(made, get_terminal_size().columns - _GAP * (len(made) - 1))
    say("\n".join(heads), bold=True)
    if lines:
        click.echo("\n".join(lines))


class _TextColumn:
    """Cells under their heading. Each is laid once, however many are alike."""

    def __init__(self, justify: str, cells: Sequence[str]) -> None:
        self._right = justify == "right"
        self._cells = _on_the_point(cells) if justify == "point" else cells
        lines = {line for cell in set(self._cells) for line in cell.split("\n")}
        words = lines if justify == "point" else {word for line in lines for word in line.split()}
        self.widest = max(map(_width, lines))
        self.longest_word = max(map(_width, words), default=0)

    def laid(self, width: int) -> list[list[str]]:
        """The lines of each cell, all of one width."""
        laid = {
            cell: [
                self._padded(part, width)
                for line in cell.split("\n")
                for part in _broken(line, width)
            ]
            for cell in set(self._cells)
        }
        return [laid[cell] for cell in self._cells]

    def _padded(self, text: str, width: int) -> str:
        blanks = " " * (width - _width(text))
        return blanks + text if self._right else text + blanks


def _laid(columns: Sequence[_TextColumn], room: int) -> tuple[list[str], list[str]]:
    """The lines of the headings, and those of all rows."""
    widths = _widths(columns, room)
    cells = [column.laid(width) for column, width in zip(columns, widths, strict=True)]
    heights = [max(map(len, row)) for row in zip(*cells, strict=True)]
    filled = [_filled(own, heights, " " * width) for own, width in zip(cells, widths, strict=True)]
    lines = [(" " * _GAP).join(parts).rstrip() for parts in zip(*filled, strict=True)]
    return lines[: heights[0]], lines[heights[0] :]


def _filled(cells: Iterable[list[str]], heights: Iterable[int], blank: str) -> list[str]:
    """The lines of a column, each cell filled with blank ones to the height of its row."""
    lines = list[str]()
    for cell, height in zip(cells, heights, strict=True):
        lines += cell
        lines += [blank] * (height - len(cell))
    return lines


def _widths(columns: Sequence[_TextColumn], room: int) -> list[int]:
    """As wide as its widest line for each column, or the wide ones as wide as there is room.

    None is narrower than its longest word, unless all of them together are too wide.
    """
    words = [column.longest_word for column in columns]
    least = words if sum(words) <= room else [1] * len(words)

    def capped(cap: int) -> list[int]:
        return [max(min(c.widest, cap), low) for c, low in zip(columns, least, strict=True)]

    caps = range(max(column.widest for column in columns) + 1)
    return capped(max(0, bisect_right(caps, room, key=lambda cap: sum(capped(cap))) - 1))


def _on_the_point(cells: Sequence[str]) -> list[str]:
    """All of one length, with the points of the cells, or their ends, under each other.

    The first is the heading, which ends where the longest cell does.
    """
    heading, *body = cells
    behind = [len("".join(cell.partition(".")[1:])) for cell in body]
    most = max(behind, default=0)
    padded = [cell + " " * (most - own) for cell, own in zip(body, behind, strict=True)]
    width = max(map(len, [heading, *padded]))
    return [text.rjust(width) for text in (heading, *padded)]


def _width(text: str) -> int:
    """How wide text is on a terminal, where some letters take two places."""
    if text.isascii():
        return len(text)
    from rich.cells import cell_len

    return cell_len(text)


def _broken(line: str, width: int) -> list[str]:
    wide = _width(line)
    if wide <= width:
        return [line]
    if wide == len(line):
        return wrap(line, width, break_on_hyphens=False)
    from rich.console import Console
    from rich.text import Text

    return [part.plain.rstrip() for part in Text(line).wrap(Console(), width)]
