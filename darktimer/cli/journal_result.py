"""``darktimer journal add-result``: how a run turned out, by eye and by what was read."""

import os
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any

import click

from darktimer.cli.options import (
    FilePath,
    Read,
    WholeNumber,
    json_option,
    measured_option,
    notes_option,
    run_argument,
)
from darktimer.cli.readings import reading_options
from darktimer.journal.results import (
    SCALES,
    Result,
    RunPart,
    add_result,
    figure,
    part_of,
    result_of,
    written_scale,
)
from darktimer.prepare.kept_baths import journal
from darktimer.terminal.text import print_json, say

if TYPE_CHECKING:  # loaded when somebody gives them
    from darktimer.journal.readings import Readings


def _scale_options(function: Callable[..., Any]) -> Callable[..., Any]:
    for scale in reversed(SCALES):
        about = f"{written_scale(scale)}."
        function = click.option(f"--{scale}", type=Read(scale, partial(figure, scale)), help=about)(
            function
        )
    return function


@click.command("add-result")
@run_argument
@click.option("--film", type=WholeNumber(1), help="Of which film it is, where it had several.")
@click.option("--piece", type=WholeNumber(1), help="Of which piece it is, where it was cut.")
@_scale_options
@click.option(
    "--keep/--no-longer-keep",
    "kept",
    default=None,
    help="Mark it as the one to repeat, or take that mark away.",
)
@reading_options
@measured_option
@click.option(
    "--good-for",
    "usable_for",
    default="",
    metavar="WORDS",
    help="Such as printing or scanning.",
)
@notes_option
@click.option(
    "--photograph",
    "photographs",
    multiple=True,
    metavar="FILE",
    type=FilePath(),
    help="May be repeated.",
)
@json_option
def add_result_command(
    run: int,
    film: int | None,
    piece: int | None,
    readings: "Readings | None",
    as_json: bool,
    **said: Any,
) -> None:
    """Add how RUN turned out; more may be added later, the latest figure of each kind stands.

    A figure from -2 to +2 or its word; 0 is as it should be. Who has a step tablet gives the
    densities that were read of it, and is shown gamma, contrast index and speed point.

    \b
    Example:
      darktimer journal add-result 12 --density +1
      darktimer journal add-result 12 --film 2 --keep
      darktimer journal add-result 13 --piece 2 --density thin
    """
    said["photographs"] = tuple(str(path.absolute()) for path in said["photographs"])
    said |= readings.columns() if readings else {}
    said["kept"] = None if said["kept"] is None else int(said["kept"])
    part = RunPart(film, piece)
    strip = readings and readings.strip_of(part.of(run))
    with journal() as opened:
        part = part_of(opened.run(run), part)
        add_result(opened, run, Result(**said), part)
        stands = result_of(opened, run, part)
    if as_json:
        print_json(stands.as_json())
        return
    bare = f"{len(strip.densities)} densities are kept" if strip else "no figures yet"
    say(f"{part.of(run).capitalize()}: {'; '.join(stands.words()) or bare}")
    if strip:
        from darktimer.pages.parts import print_figures

        print_figures(strip)
    for path in said["photographs"]:
        if not os.path.exists(path):
            say(f"  - {path} does not exist now; its path is noted all the same")
