"""How text is laid on the terminal: one console, tables without lines, nothing told by colour.

Tables have no box drawing, so that they read aloud and copy well; width follows the terminal.
"""

import sys
from collections.abc import Iterable, Sequence
from shutil import get_terminal_size
from textwrap import fill
from typing import TYPE_CHECKING, Any, Final

import click

if TYPE_CHECKING:  # loaded when something is laid out, which a script may never ask for
    from rich.console import Console
    from rich.table import Table

    from darktimer.process.timeline import Timeline


def console() -> "Console":
    """A console for standard output: weight on a terminal, plain text into a pipe, no colour."""
    from rich.console import Console

    return Console(
        width=get_terminal_size().columns,  # the same as for prose, into a pipe too
        highlight=False,
        markup=False,
        emoji=False,
        soft_wrap=False,
    )


def say(text: str, indent: str = "") -> None:
    """Prose, broken between words at the width of the terminal, all of it set in."""
    click.echo(_broken(text, indent, indent))


def _broken(line: str, indent: str, deeper: str) -> str:
    """Broken between words alone: a command or a name that is torn cannot be copied."""
    return fill(
        line,
        get_terminal_size().columns,
        initial_indent=indent,
        subsequent_indent=deeper,
        break_long_words=False,
        break_on_hyphens=False,
    )


def complain(text: str) -> None:
    """An error on the error stream: broken between words for a reader, whole lines for a script."""
    if not sys.stderr.isatty():
        click.echo(text, err=True)
        return
    for line in text.splitlines():
        click.echo(_broken(line, "", "  "), err=True)


def print_head(timeline: "Timeline") -> None:
    """A plan's title, and how long it is, whole and in the dark."""
    from darktimer.units import clock

    out = console()
    out.print(timeline.title, style="bold")
    whole, dark = clock(timeline.duration_ms), clock(timeline.dark_ms)
    out.print(f"{whole} in all, {dark} of it in the dark\n")


def table(columns: Sequence[tuple[str, str]], rows: Iterable[Sequence[str]]) -> "Table":
    """A table of (heading, justify) columns; words are torn only where no width would do.

    A column is justified "left", "right", or at the decimal "point".
    """
    from rich.table import Table

    made = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold")
    body = [list(row) for row in rows]
    widths = _word_widths(columns, body)
    for at, ((heading, justify), width) in enumerate(zip(columns, widths, strict=True)):
        if justify == "point":
            heading, *cells = _on_the_point(heading, [row[at] for row in body])
            for row, cell in zip(body, cells, strict=True):
                row[at] = cell
        made.add_column(
            heading,
            justify="right" if justify == "right" else "left",
            overflow="fold",
            min_width=width,
            no_wrap=justify == "point",
        )
    for row in body:
        made.add_row(*row)
    return made


def _on_the_point(heading: str, cells: list[str]) -> list[str]:
    """All of one length, with the points of the cells, or their ends, under each other.

    The table cannot do it: it takes spaces from the end of what it justifies to the right.
    """
    behind = [len("".join(cell.partition(".")[1:])) for cell in cells]
    most = max(behind, default=0)
    padded = [cell + " " * (most - own) for cell, own in zip(cells, behind, strict=True)]
    width = max(map(len, [heading, *padded]))
    return [text.rjust(width) for text in (heading, *padded)]


def _word_widths(columns: Sequence[tuple[str, str]], body: list[list[str]]) -> list[int]:
    """For each column what its longest word takes; nothing where all of them are too wide."""
    told = [(heading, *(row[at] for row in body)) for at, (heading, _) in enumerate(columns)]
    longest = [max(map(len, " ".join(words).split()), default=0) for words in told]
    fits = sum(longest) + 2 * len(columns) <= get_terminal_size().columns
    return longest if fits else [0] * len(columns)


#: What the times of a finished run's steps are, where a plan counts from the clock's start.
FROM_CHANGE_TO_CHANGE: Final = (
    "Times run from the change into a bath to the change out of it, the transfer included."
)


def print_list(title: str, lines: Iterable[str]) -> None:
    """A heading and its lines, each broken under its dash; nothing where there are no lines."""
    listed = list(lines)
    if listed:
        click.echo(f"\n{title}:")
    for line in listed:
        click.echo(_broken(line, "  - ", "    "))


def print_json_rows(rows: Iterable[Any]) -> None:
    """A JSON list, a row on each line: laying many rows out in full takes three times as long."""
    import json

    encode = json.JSONEncoder(ensure_ascii=False).encode
    click.echo("[" + ",\n".join(map(encode, rows)) + "]")


def print_json(content: Any) -> None:
    """One JSON document on standard output."""
    import json

    click.echo(json.dumps(content, indent=2, ensure_ascii=False))
