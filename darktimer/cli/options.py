"""Arguments and options that several commands share, with what a shell completes for them."""

import os
from collections.abc import Callable
from functools import wraps
from math import isnan, nan
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from darktimer import units
from darktimer.cli.offered import baths, names_or_files, offers, recipes, runs
from darktimer.errors import OutputError

if TYPE_CHECKING:  # loaded when a shell asks
    from click.shell_completion import CompletionItem


class ShippedOrFile(click.ParamType[str]):
    """A file's path, or the bare name of something that is shipped in one of these folders."""

    name = "name or file"

    def __init__(self, *folders: str) -> None:
        self._folders = folders

    def convert(self, value: str, param: click.Parameter | None, ctx: click.Context | None) -> str:
        return os.path.expanduser(value)

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> "list[CompletionItem]":
        return names_or_files(self._folders, incomplete)


class FilePath(click.Path):
    """A file's path, in which ``~`` is the home where a shell has left it in quotes."""

    def __init__(self) -> None:
        super().__init__(path_type=Path)

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        return super().convert(os.path.expanduser(value), param, ctx)


def _limits(of: click.IntRange | click.FloatRange) -> str:
    """What may be written, as a person says it: ``from 1 to 20``; empty where all may."""
    low = "" if of.min is None else f"{'above' if of.min_open else 'from'} {of.min:g}"
    return " ".join(filter(None, (low, "" if of.max is None else f"to {of.max:g}")))


class RealNumber(click.FloatRange):
    """A number in a range; ``nan``, which is not a number, is in none, though no limit stops it."""

    name = "number"
    _describe_range = _limits

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        try:
            found = super().convert(value, param, ctx)
        except click.BadParameter:
            found = nan
        if isnan(found):
            self.fail(f"found {value!r}; write a number {_limits(self)}", param, ctx)
        return found


class WholeNumber(click.IntRange):
    """A whole number, in a range if one is given; a refusal says what to write."""

    name = "number"
    _describe_range = _limits

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        try:
            return super().convert(value, param, ctx)
        except click.BadParameter:
            remedy = f"write a whole number {_limits(self)}".strip()
            self.fail(f"found {value!r}; {remedy}", param, ctx)


class WholeLines(click.Group):
    """A group whose help shows the first sentence of each command whole, never cut short."""

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        named = [(name, self.get_command(ctx, name)) for name in self.list_commands(ctx)]
        rows = [(name, found.get_short_help_str(1000)) for name, found in named if found]
        with formatter.section("Commands"):
            formatter.write_dl(rows)


class Read(click.ParamType[Any]):
    """A value by ``read``, which raises `ValueError` for text that it cannot take."""

    def __init__(self, name: str, read: Callable[[str], Any]) -> None:
        self.name = name
        self._read = read

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        try:
            return self._read(value) if isinstance(value, str) else value
        except ValueError as error:
            self.fail(str(error), param, ctx)


#: A duration as people write it, or none.
DURATION = Read("duration", units.duration_or_none_ms)
VOLUME = Read("volume", units.volume_ml)
TEMPERATURE = Read("temperature", units.answered_celsius)

plan_argument = click.argument("plan", metavar="PLAN", type=ShippedOrFile("sequences"))
plan_if_any_argument = click.argument(
    "plan", metavar="[PLAN]", type=ShippedOrFile("sequences"), required=False
)
run_argument = click.argument("run", type=WholeNumber(), shell_complete=offers(runs))
runs_argument = click.argument(
    "runs", type=WholeNumber(), nargs=-1, required=True, shell_complete=offers(runs)
)
new_bath_argument = click.argument("name", shell_complete=offers(recipes))
kept_bath_argument = click.argument("name", shell_complete=offers(baths))
cues_option = click.option(
    "--cues",
    "cue_set",
    metavar="SET",
    type=ShippedOrFile("sounds"),
    default="standard",
    show_default=True,
    help="The cue set to use, by name or file.",
)
lights_out_option = click.option(
    "--lights-out-after",
    "lights_out_after_ms",
    type=DURATION,
    help="Time from the start of the sound to the start of the dark, in place of the plan's own.",
)


def with_plan(command: Callable[..., Any]) -> Callable[..., Any]:
    """Adds PLAN and how it is to sound; the command is given it ``prepared``."""

    @wraps(command)
    def gathered(plan: str, cue_set: str, lights_out_after_ms: int | None, **given: Any) -> Any:
        from darktimer.prepare.prepared import prepare

        return command(prepared=prepare(plan, cue_set, lights_out_after_ms), **given)

    return plan_argument(cues_option(lights_out_option(gathered)))


measures_option = click.option(
    "--measures",
    type=click.Choice(["metric", "US", "imperial"], case_sensitive=False),
    default="metric",
    show_default=True,
    help="The measures to show amounts in.",
)
profile_option = click.option(
    "--speaker",
    "profile",
    type=click.Choice(["wired", "sleepy", "none"]),
    default="wired",
    show_default=True,
    help="What is added for the speaker: some fall asleep when it is quiet.",
)
rate_option = click.option(
    "--rate",
    type=click.IntRange(8000, 192_000),
    default=48_000,
    show_default=True,
    help="Samples a second.",
)
device_option = click.option(
    "--device", metavar="NAME", help="The speaker to play on: its name or a part of it."
)
microphone_option = click.option(
    "--microphone", metavar="NAME", help="The microphone, by its name or a part of it."
)
measured_option = click.option(
    "--temperature", "celsius", type=TEMPERATURE, help="The developer's, as measured."
)
notes_option = click.option(
    "--notes", default="", metavar="WORDS", help="Anything worth knowing next time."
)
json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON for scripts.")
force_option = click.option("--force", is_flag=True, help="Write over a file that exists.")


def output_option(where: str, *, required: bool = True, **means: str) -> Callable[[Any], Any]:
    """The file to write, as ``target``; ``where`` says what its ending decides.

    Where ``means`` names endings, and what each is for, another ending raises `OutputError`.
    """

    def checked(_: click.Context, __: click.Parameter, target: Path | None) -> Path | None:
        if means and target and target.suffix[1:].lower() not in means:
            found = repr(target.suffix) if target.suffix else "a name without an ending"
            *others, last = (f".{ending}{use}" for ending, use in means.items())
            remedy = f"end it in {', '.join(others)} or {last}"
            raise OutputError(
                str(target), f"{found} is not a kind of picture that can be written", remedy
            )
        return target

    return click.option(
        "-o",
        "--output",
        "target",
        required=required,
        metavar="FILE",
        type=FilePath(),
        callback=checked,
        help=where,
    )
