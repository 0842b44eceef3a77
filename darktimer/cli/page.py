"""How text is laid on the terminal: one console, tables without lines, nothing told by colour.

Tables have no box drawing, so that they read aloud and copy well; width follows the terminal.
"""

import json
from collections.abc import Iterable, Sequence
from typing import Any

import click
from rich.console import Console
from rich.table import Table


def console() -> Console:
    """A console for standard output; colour and markup are off, only weight is used."""
    return Console(highlight=False, markup=False, emoji=False, soft_wrap=False, color_system=None)


def table(columns: Sequence[tuple[str, str]], rows: Iterable[Sequence[str]]) -> Table:
    """A table of (heading, justify) columns."""
    made = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold")
    for heading, justify in columns:
        made.add_column(heading, justify="right" if justify == "right" else "left")
    for row in rows:
        made.add_row(*row)
    return made


def paragraphs(title: str, lines: Iterable[str]) -> list[str]:
    """A heading and its lines as a list; nothing where there are no lines."""
    listed = [f"  - {line}" for line in lines]
    return [f"{title}:", *listed, ""] if listed else []


def print_json(content: Any) -> None:
    """One JSON document on standard output."""
    click.echo(json.dumps(content, indent=2, ensure_ascii=False))
