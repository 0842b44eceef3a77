"""How text is laid on the terminal: prose and lists, weight and no colour.

Width follows the terminal. Text from elsewhere, a title or a file's name, steers no terminal: this
is the one place that sees to it.
"""

import errno
import os
import re
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from shutil import get_terminal_size
from textwrap import fill
from typing import TYPE_CHECKING, Any, Final, TextIO, cast

import click

from darktimer.units import TIED, tied_to_units

if TYPE_CHECKING:  # loaded when something moves on the screen
    from rich.console import Console
    from rich.segment import Segment


def console(*, err: bool = False) -> "Console":
    """A console for what is redrawn in place: weight on a terminal, no colour."""
    from rich.console import Console

    class Harmless(Console):
        def render(self, *what: Any, **how: Any) -> "Iterator[Segment]":
            for each in super().render(*what, **how):
                yield each if each.control else each._replace(text=visible(each.text))

    stream = sys.stderr if err else sys.stdout
    return Harmless(
        file=getattr(stream, "bare", None),  # what it writes itself may steer
        stderr=err,
        width=get_terminal_size().columns,  # the same as for prose, into a pipe too
        highlight=False,
        markup=False,
        emoji=False,
        soft_wrap=False,
    )


#: All control characters but the end of a line and the tab.
_CONTROL: Final = re.compile(r"[\0-\x08\x0b-\x1f\x7f-\x9f]")


def visible(text: str) -> str:
    """Control characters as JSON writes them, which changes no JSON."""
    return _CONTROL.sub(lambda found: f"\\u{ord(found[0]):04x}", text)


class _Harmless:
    """A stream that takes no control character, but a return where a line begins anew."""

    def __init__(self, bare: TextIO) -> None:
        self.bare = bare

    def write(self, text: str) -> int:
        line = text.removeprefix("\r")
        return self.bare.write(text[: len(text) - len(line)] + visible(line))

    def __getattr__(self, name: str) -> Any:
        return getattr(self.bare, name)


@contextmanager
def harmless_streams() -> Iterator[None]:
    """While this lasts, nothing that is written steers the terminal, whoever writes it."""
    before = sys.stdout, sys.stderr
    sys.stdout, sys.stderr = (cast("TextIO", _Harmless(stream)) for stream in before)
    try:
        yield
    finally:
        sys.stdout, sys.stderr = before


def say(
    text: str, indent: str = "", *, hang: str = "", bold: bool = False, err: bool = False
) -> None:
    """Prose, each line broken between words at the width of the terminal, all of it set in.

    What follows a break is set in by ``hang`` more. ``bold`` is weight on a terminal and nothing
    elsewhere. With ``err`` it goes to the error stream, where a script reads the other.
    """
    lines = "\n".join(_broken(line, indent, indent + hang) for line in text.split("\n"))
    if not bold:
        click.echo(lines, err=err)
        return
    stream = sys.stderr if err else sys.stdout
    click.echo(click.style(visible(lines), bold=True), file=getattr(stream, "bare", stream))


def _broken(line: str, indent: str, deeper: str) -> str:
    """Broken between words alone: a command or a name that is torn cannot be copied."""
    return fill(
        tied_to_units(line),
        get_terminal_size().columns,
        initial_indent=indent,
        subsequent_indent=deeper,
        break_long_words=False,
        break_on_hyphens=False,
    ).replace(TIED, " ")


def complain(text: str) -> None:
    """An error on the error stream: broken between words for a reader, whole lines for a script."""
    shown = visible(text)
    if sys.stderr.isatty():
        say(shown, hang="  ", err=True)
    else:
        click.echo(shown, err=True)


def not_shown(error: OSError) -> None:
    """Says why a stream takes no more, but to nobody who closed it; a file has a name, and raises.

    What is left for a stream goes nowhere, or Python would try again at its end.
    """
    if error.filename is not None:
        raise error
    _lead_nowhere(1)
    if error.errno != errno.EPIPE:
        reason = (error.strerror or "it cannot be written").lower()
        try:
            complain(f"output: {reason}; not all could be shown, send it to another place")
            sys.stderr.flush()
        except OSError:  # both went to one place
            _lead_nowhere(2)


def _lead_nowhere(stream: int) -> None:
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, stream)
    os.close(nowhere)


def print_list(title: str, lines: Iterable[str], numbered: bool = False) -> None:
    """A heading, or none, and its lines, each under its dash or number; nothing of no lines."""
    listed = list(lines)
    if listed and title:
        say(f"\n{title}:")
    for number, line in enumerate(listed, 1):
        lead = f"{number:3}. " if numbered else "  - "
        click.echo(_broken(line, lead, " " * len(lead)))


def print_json_rows(rows: Iterable[Any]) -> None:
    """A JSON list, a row on each line: laying many rows out in full takes three times as long."""
    import json

    encode = json.JSONEncoder(ensure_ascii=False, check_circular=False).encode
    click.echo("[" + ",\n".join(map(encode, rows)) + "]")


def print_json(content: Any) -> None:
    """One JSON document on standard output."""
    import json

    click.echo(json.dumps(content, indent=2, ensure_ascii=False))
