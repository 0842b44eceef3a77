"""``darktimer baths``: baths that are used again, and when to throw them out."""

from typing import TYPE_CHECKING

import click

from darktimer.cli.options import (
    DURATION,
    VOLUME,
    Read,
    RealNumber,
    ShippedOrFile,
    WholeLines,
    WholeNumber,
    json_option,
    kept_bath_argument,
    new_bath_argument,
)
from darktimer.journal import baths as keeping
from darktimer.journal.clocks import day_utc_ms, read_clocks
from darktimer.prepare.kept_baths import journal
from darktimer.terminal.text import print_json, say

if TYPE_CHECKING:
    from darktimer.journal.baths import KeptBath


@click.group("baths", cls=WholeLines, invoke_without_command=True)
@click.option("--all", "discarded", is_flag=True, help="Also those that were thrown out.")
@json_option
@click.pass_context
def command(ctx: click.Context, discarded: bool, as_json: bool) -> None:
    """Show the baths in use: age, film run through them, capacity left, clearing times.

    A run of a plan that names a bath (bath: plain fixer) adds its film to the bath of that name.

    \b
    Example:
      darktimer baths begin "plain fixer" --volume "1 l"
      darktimer baths clearing "plain fixer" "1 min 30 s"
      darktimer baths
    """
    if ctx.invoked_subcommand is None:
        from darktimer.pages.baths import bath_json, print_baths

        with journal() as opened:
            found = keeping.all_baths(opened, discarded=discarded)
        if as_json:
            print_json([*map(bath_json, found)])
        else:
            print_baths(found)


@command.command("begin")
@new_bath_argument
@click.option("--volume", "volume_ml", required=True, type=VOLUME, help="1 l.")
@click.option("--born", "born_utc_ms", type=Read("day", day_utc_ms), help="The day, if not today.")
@click.option(
    "--keeps-days",
    type=WholeNumber(1, 3650),
    help="How long it keeps, if not as its recipe says.",
)
@click.option(
    "--capacity-rolls",
    type=RealNumber(0, 10_000, min_open=True),
    help="How many rolls the whole bath takes, if not as its recipe says; a roll is 80 square "
    "inches.",
)
@click.option(
    "--plan",
    metavar="PLAN",
    type=ShippedOrFile("sequences"),
    help="Look for its recipe as this plan does; else here and among those shipped.",
)
@json_option
def begin(
    name: str,
    volume_ml: float,
    born_utc_ms: int | None,
    keeps_days: int | None,
    capacity_rolls: float | None,
    plan: str | None,
    as_json: bool,
) -> None:
    """Begin a bath of the NAME that plans give it.

    Its recipe, where there is one, says how much it can do and how long it keeps.

    \b
    Example:
      darktimer baths begin "plain fixer" --volume "1 l"
    """
    from darktimer.plan.formats import ROLL_M2
    from darktimer.prepare.recipes import keeps, recipe_for

    found = recipe_for(name, plan)
    keeps_ms, capacity_m2 = keeps(found.recipe, volume_ml)
    with journal() as opened:
        bath = keeping.begin_bath(
            opened,
            name,
            volume_ml,
            read_clocks().wall_utc_ms if born_utc_ms is None else born_utc_ms,
            keeps_ms if keeps_days is None else keeps_days * keeping.DAY_MS,
            capacity_m2 if capacity_rolls is None else capacity_rolls * ROLL_M2,
        )
    _show(bath, as_json)
    if found.recipe and not as_json:
        say(f"For the rest its recipe counts: {found.recipe.title} ({found.where}).")


@command.command("use")
@kept_bath_argument
@click.option("--rolls", type=RealNumber(0, 10_000, min_open=True), required=True)
@json_option
def use(name: str, rolls: float, as_json: bool) -> None:
    """Note film that went through the bath NAME without a run; a roll is 80 square inches.

    \b
    Example:
      darktimer baths use "plain fixer" --rolls 2
    """
    from darktimer.plan.formats import ROLL_M2

    with journal() as opened:
        bath = keeping.note_use(opened, name, rolls * ROLL_M2)
    _show(bath, as_json)


@command.command("clearing")
@kept_bath_argument
@click.argument("time", type=DURATION)
@json_option
def clearing(name: str, time: int, as_json: bool) -> None:
    """Note the TIME in which a scrap of film cleared in the bath NAME.

    \b
    Example:
      darktimer baths clearing "plain fixer" "1 min 30 s"
    """
    if not time:
        raise click.UsageError("a clearing time is above zero")
    with journal() as opened:
        bath = keeping.note_clearing(opened, name, time)
    _show(bath, as_json)


@command.command("discard")
@kept_bath_argument
@json_option
def discard(name: str, as_json: bool) -> None:
    """Note that the bath NAME was thrown out.

    \b
    Example:
      darktimer baths discard "plain fixer"
    """
    with journal() as opened:
        bath = keeping.discard(opened, name)
    _show(bath, as_json)


def _show(bath: "KeptBath", as_json: bool) -> None:
    from darktimer.pages.baths import bath_json, print_baths

    if as_json:
        print_json(bath_json(bath))
    else:
        print_baths([bath])
