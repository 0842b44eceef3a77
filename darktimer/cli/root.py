"""The ``darktimer`` command itself: finds a command's file when it is wanted, ends on an error.

Commands are imported only when they are run, so that each pays for its own imports alone.
"""

import gc
import os
import sys
from importlib import import_module
from inspect import cleandoc
from io import TextIOWrapper
from typing import Final, NoReturn

import click

from darktimer import __version__
from darktimer.errors import DarktimerError, did_you_mean
from darktimer.terminal.text import complain, harmless_streams, not_shown

# Set before the libraries load. No plug-in may look into our models, and looking for some reads the
# metadata of every installed package; the algebra library's threads have nothing to do here.
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

#: Every command with the line that the overview shows; its code is in the file of that name.
COMMANDS: Final = {
    "new": "Write a plan or a recipe of your own, from answers to a few questions.",
    "check": "Say what is wrong, doubtful or dangerous in a plan or a recipe.",
    "timeline": "Show what happens and when, as a table or as JSON.",
    "mix": "Print what to weigh, mix, watch for and throw away for a plan.",
    "card": "Write a plan on one page to pin up, or its timeline as a picture.",
    "cues": "Show or check a cue set, or write a file that plays each cue.",
    "learn": "Learn the cues by ear, in the light.",
    "rehearse": "Go through a plan in daylight, with every sound and both keys.",
    "speakers": "List the speakers of this computer, and try one.",
    "soundcheck": "Hear whether the faintest cue carries over the noise of the room.",
    "render": "Write a sound file to work by.",
    "run": "Lead the hands through a plan in the dark, live.",
    "listen": "Hear a recording and say which cues of a plan are in it.",
    "journal": "Show what was done and what came of it; add results, compare, export.",
    "next": "Propose a changed plan from how a run turned out.",
    "baths": "Keep account of baths that are used again.",
    "schema": "Print the JSON Schema of plans, for editors.",
    "completion": "Print what a shell needs to complete commands and plans.",
    "manual": "Print the manual page, for the program man.",
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

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args[0] not in COMMANDS:
            hint = did_you_mean(args[0], COMMANDS)
            ctx.fail(f"There is no command {args[0]!r}; {hint}darktimer --help lists all.")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


@click.command(
    cls=_Commands,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Exit status: 0 done, 1 something in what was given is at fault, 2 wrong usage. "
    "Errors go to the error stream.\n\n"
    "The journal lies in your own data folder, or in the folder that DARKTIMER_HOME names.",
)
@click.version_option(__version__, message="%(prog)s %(version)s")
@click.pass_context
def root(ctx: click.Context) -> None:
    """Turn a plan for processing film into sounds that lead the hands in total darkness.

    \b
    Example:
      darktimer new
      darktimer render open-tub-half-agitation -o develop.wav
    """
    ctx.with_resource(harmless_streams())
    if ctx.invoked_subcommand is None:
        from darktimer.pages.overview import print_overview

        print_overview()


def main(args: list[str] | None = None) -> NoReturn:
    """Runs the command line and leaves with its exit status."""
    gc.set_threshold(
        500_000
    )  # records make no circles: looking for some costs a tenth of a listing
    _steady_streams()
    try:
        status = _status(args)
        sys.stdout.flush()
    except OSError as error:
        not_shown(error)
        status = 1
    sys.exit(status)


def _status(args: list[str] | None) -> int:
    """Runs the command line; what is wrong with it, or with what it was given, is said."""
    try:
        return root.main(args=args, prog_name="darktimer", standalone_mode=False) or 0
    except SystemExit as left:
        return left.code if isinstance(left.code, int) else 0
    except DarktimerError as error:
        complain(str(error))
    except click.UsageError as error:
        complain(_wrong_usage(error))
        return error.exit_code
    except click.Abort:
        complain("\nStopped.")
    return 1


def _steady_streams() -> None:
    """A stream that was closed leads nowhere, and none fails at a letter that it has not.

    A file opened later would else take the place of a stream, and be written to as one.
    """
    for number, name in enumerate(("stdin", "stdout", "stderr")):
        if getattr(sys, name) is None:
            place = os.open(os.devnull, os.O_RDWR)  # the lowest that is free
            setattr(sys, name, os.fdopen(place, "w" if number else "r"))
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def _wrong_usage(error: click.UsageError) -> str:
    """What is wrong with a command line, and one that would do."""
    found = " ".join(error.format_message().split())  # it may list choices down the page
    if error.ctx is None:
        return found
    usage, path = error.ctx.get_usage(), error.ctx.command_path
    _, _, example = cleandoc(error.ctx.command.help or "").partition("Example:\n")
    shown = f"For example:\n{example}\n" if example else ""
    return f"{found}\n{usage}\n{shown}More: {path} --help"
