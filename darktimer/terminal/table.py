"""A table laid out for the terminal: no lines, columns two blanks apart, words torn only where no
width would do, so that it reads aloud and copies well. Ten thousand rows take no longer than is
patient.
"""

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import zip_longest
from shutil import get_terminal_size
from textwrap import wrap
from typing import Final

import click

from darktimer.terminal.text import say

_GAP: Final = 2


def print_table(columns: Sequence[tuple[str, str]], rows: Iterable[Sequence[str]]) -> None:
    """Rows under (heading, justify) columns; a column is "left", "right" or at the "point"."""
    heads, *lines = _Table(columns, rows).laid(get_terminal_size().columns)
    say(heads, bold=True)
    if lines:
        click.echo("\n".join(lines))


class _Table:
    def __init__(self, columns: Sequence[tuple[str, str]], rows: Iterable[Sequence[str]]) -> None:
        self._right = [justify == "right" for _, justify in columns]
        whole = [[heading for heading, _ in columns], *map(list, rows)]
        for at, (_, justify) in enumerate(columns):
            if justify == "point":
                for row, cell in zip(whole, _on_the_point([row[at] for row in whole]), strict=True):
                    row[at] = cell
        self._rows = [[cell.split("\n") for cell in row] for row in whole]
        self._kept = [justify == "point" for _, justify in columns]

    def laid(self, room: int) -> Iterator[str]:
        """Each row as lines, the headings first."""
        widths = self._widths(room - _GAP * (len(self._kept) - 1))
        for row in self._rows:
            cells = [
                [part for line in lines for part in _broken(line, width)]
                for lines, width in zip(row, widths, strict=True)
            ]
            lines_of_row = zip_longest(*cells, fillvalue="")
            yield "\n".join(self._line(parts, widths) for parts in lines_of_row)

    def _line(self, parts: Sequence[str], widths: Sequence[int]) -> str:
        padded = (
            " " * (width - _cells(part)) + part if right else part + " " * (width - _cells(part))
            for part, width, right in zip(parts, widths, self._right, strict=True)
        )
        return (" " * _GAP).join(padded).rstrip()

    def _widths(self, room: int) -> list[int]:
        """As wide as its widest line for each column, or the wide ones as wide as there is room.

        None is narrower than its longest word, unless all of them together are too wide.
        """
        columns = list(zip(*self._rows, strict=True))
        lines = [{line for cell in column for line in cell} for column in columns]
        widest = [max(map(_cells, each)) for each in lines]
        words = [
            width
            if kept
            else max(map(_cells, {word for line in each for word in line.split()}), default=0)
            for each, width, kept in zip(lines, widest, self._kept, strict=True)
        ]
        least = words if sum(words) <= room else [1] * len(words)

        def capped(cap: int) -> list[int]:
            return [max(min(w, cap), low) for w, low in zip(widest, least, strict=True)]

        caps = range(max(widest) + 1)
        return capped(max(0, bisect_right(caps, room, key=lambda cap: sum(capped(cap))) - 1))


def _on_the_point(cells: list[str]) -> list[str]:
    """All of one length, with the points of the cells, or their ends, under each other.

    The first is the heading, which ends where the longest cell does.
    """
    heading, *body = cells
    behind = [len("".join(cell.partition(".")[1:])) for cell in body]
    most = max(behind, default=0)
    padded = [cell + " " * (most - own) for cell, own in zip(body, behind, strict=True)]
    width = max(map(len, [heading, *padded]))
    return [text.rjust(width) for text in (heading, *padded)]


def _cells(text: str) -> int:
    """How wide text is on a terminal, where some letters take two places."""
    if text.isascii():
        return len(text)
    from rich.cells import cell_len

    return cell_len(text)


@lru_cache(maxsize=4096)
def _broken(line: str, width: int) -> list[str]:
    wide = _cells(line)
    if wide <= width:
        return [line]
    if wide == len(line):
        return wrap(line, width, break_on_hyphens=False)
    from rich.console import Console
    from rich.text import Text

    return [part.plain.rstrip() for part in Text(line).wrap(Console(), width)]
