"""``darktimer manual``: the manual page, made from the same commands and words as ``--help``.

Written in the ``man`` macros of roff. Knows how a command line is described; nothing of what the
commands do.
"""

from collections.abc import Iterator
from inspect import cleandoc
from typing import Final

import click

from darktimer import __version__

#: What click puts before a paragraph whose lines must stand as they are.
_AS_IT_STANDS: Final = "\b\n"


@click.command("manual")
@click.pass_context
def command(ctx: click.Context) -> None:
    """Print the manual page, for the program man.

    \b
    Example:
      darktimer manual > darktimer.1
      man -l darktimer.1
    """
    click.echo("\n".join(_page(ctx.find_root())))


def _page(root: click.Context) -> Iterator[str]:
    name = root.command_path
    paragraphs = _paragraphs(root.command.help)
    yield f'.TH {name.upper()} 1 "" "{name} {__version__}" "{name}"'
    yield ".nh"  # no word is broken, so that what is copied or read aloud is whole
    yield ".ad l"
    yield ".SH NAME"
    yield _text(f"{name} - {paragraphs[0].rstrip('.')}")
    yield ".SH SYNOPSIS"
    yield from _usage(root)
    yield ".SH DESCRIPTION"
    yield from _prose(paragraphs)
    yield from _options(root, ".SH OPTIONS")
    yield ".SH COMMANDS"
    for each in _commands(root):
        yield from _section(each)
    yield ".SH NOTES"
    yield from _prose(_paragraphs(root.command.epilog))


def _commands(parent: click.Context) -> Iterator[click.Context]:
    """A context for each command under ``parent``, those under it included."""
    group = parent.command
    if not isinstance(group, click.Group):
        return
    for name in group.list_commands(parent):
        if (found := group.get_command(parent, name)) and not found.hidden:
            ctx = click.Context(found, info_name=name, parent=parent)
            yield ctx
            yield from _commands(ctx)


def _section(ctx: click.Context) -> Iterator[str]:
    yield f".SS {_text(ctx.command_path)}"
    yield from _usage(ctx)
    yield ".PP"
    yield from _prose(_paragraphs(ctx.command.help))
    yield from _options(ctx, ".PP\nOptions:")
    yield from _prose(_paragraphs(ctx.command.epilog), begun=True)


def _usage(ctx: click.Context) -> Iterator[str]:
    yield f".B {_text(ctx.command_path)}"
    yield _text(" ".join(ctx.command.collect_usage_pieces(ctx)))


def _options(ctx: click.Context, heading: str) -> Iterator[str]:
    wanted = [each for each in ctx.command.get_params(ctx) if each.name != "help" or not ctx.parent]
    records = [record for each in wanted if (record := each.get_help_record(ctx)) and record[1]]
    if records:
        yield heading
    for names, means in records:
        yield ".TP"
        yield f".B {_text(names)}"
        yield _text(means)


def _paragraphs(help_text: str | None) -> list[str]:
    return [part for part in cleandoc(help_text or "").split("\n\n") if part]


def _prose(paragraphs: list[str], *, begun: bool = False) -> Iterator[str]:
    """Paragraphs, each after a break but the first, or that one too where text is ``begun``."""
    for paragraph in paragraphs:
        if begun:
            yield ".PP"
        begun = True
        if paragraph.startswith(_AS_IT_STANDS):
            lines = paragraph.removeprefix(_AS_IT_STANDS).split("\n")
            yield from (".nf", *map(_text, lines), ".fi")
        else:
            yield _text(" ".join(paragraph.split()))


def _text(text: str) -> str:
    """Text that roff shows as it stands: no escapes, no requests, every dash as it is typed."""
    plain = text.replace("\\", r"\e").replace("-", r"\-")
    return rf"\&{plain}" if plain.startswith((".", "'")) else plain
