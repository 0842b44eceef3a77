"""The ``darktimer`` command itself: finds a command's file when it is wanted, ends on an error.

Commands are imported only when they are run, so that each pays for its own imports alone.
"""

import os
import sys
from importlib import import_module
from typing import Any, Final

import click

from darktimer import __version__
from darktimer.errors import DarktimerError

# Set before the libraries load. No plug-in may look into our models, and looking for some reads the
# metadata of every installed package; the algebra library's threads have nothing to do here.
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

#: Every command with the line that the overview shows; its code is in the file of that name.
COMMANDS: Final = {
    "check": "Say what is wrong, doubtful or dangerous in a plan.",
    "timeline": "Show what happens and when, as a table or as JSON.",
    "render": "Write a sound file to work by.",
    "mix": "Print what to weigh, mix, mind and throw away for a plan.",
    "card": "Write a plan on one page to pin up, or its timeline as a picture.",
    "journal": "Show what was done and what came of it; add results, compare, export.",
    "next": "Propose a changed plan from how a run turned out.",
    "baths": "Keep account of baths that are used again.",
    "cues": "Show a cue set, or write a file that plays each cue.",
    "listen": "Hear a recording and say which cues of a plan are in it.",
    "schema": "Print the JSON Schema of plans, for editors.",
    "completion": "Print what a shell needs to complete commands and plans.",
}


class _Commands(click.Group):
    """A group whose commands live one to a file and are loaded when they are named."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, name: str) -> click.Command | None:
        if name not in COMMANDS:
            return None
        command: click.Command = import_module(f"darktimer.cli.{name}").command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


@click.command(
    cls=_Commands,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Exit status: 0 done, 1 something in what was given is at fault, 2 wrong usage. "
    "Errors go to the error stream.",
)
@click.version_option(__version__, message="%(prog)s %(version)s")
def root() -> None:
    """Turn a plan for processing film into sounds that lead the hands in total darkness.

    \b
    Example:
      darktimer render open-tub-half-agitation -o develop.wav
    """


def main(args: list[str] | None = None) -> Any:
    """Runs the command line and leaves with its exit status."""
    try:
        root.main(args=args, prog_name="darktimer")
    except DarktimerError as error:
        click.echo(str(error), err=True)
        sys.exit(1)
