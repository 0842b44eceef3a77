"""``darktimer baths``: baths that are used again, and when to throw them out."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from darktimer import units
from darktimer.cli.options import Duration, ShippedOrFile, WholeLines, json_option
from darktimer.errors import UnreadableError
from darktimer.journal import baths as keeping
from darktimer.journal.clocks import read_clocks, utc_text
from darktimer.prepare.kept import journal
from darktimer.terminal.table import Table
from darktimer.terminal.text import console, print_json, print_list, say

if TYPE_CHECKING:
    from darktimer.bench.recipe import Recipe
    from darktimer.bench.shelf import Found
    from darktimer.journal.baths import Bath

_HOUR_MS = 3_600_000

_name = click.argument("name")


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
        with journal() as opened:
            found = keeping.all_baths(opened, discarded=discarded)
        if as_json:
            print_json([_as_json(bath) for bath in found])
        else:
            _print(found)


def _read(read: Callable[[str], Any]) -> Callable[..., Any]:
    def callback(_: click.Context, __: click.Parameter, text: str | None) -> Any:
        try:
            return None if text is None else read(text)
        except (UnreadableError, ValueError) as error:
            raise click.BadParameter(str(error)) from None

    return callback


def _day(text: str) -> int:
    """The start of a day, in the user's own time zone, written as 2024-05-04."""
    from datetime import datetime

    try:
        born_utc_ms = int(datetime.strptime(text, "%Y-%m-%d").timestamp() * 1000)
    except (ValueError, OverflowError, OSError):
        raise ValueError(f"{text!r} is not a day; write one such as 2024-05-04") from None
    if born_utc_ms > read_clocks().wall_utc_ms:
        raise ValueError(f"{text} is yet to come; write the day on which the bath was mixed")
    return born_utc_ms


@command.command("begin")
@_name
@click.option("--volume", "volume_ml", required=True, callback=_read(units.volume_ml), help="1 l.")
@click.option("--born", "born_utc_ms", callback=_read(_day), help="The day, if not today.")
@click.option(
    "--keeps-days",
    type=click.IntRange(1, 3650),
    help="How long it keeps, if not as its recipe says.",
)
@click.option(
    "--capacity-rolls",
    type=click.FloatRange(0, 10_000, min_open=True),
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

    What it can do, and how long it keeps, is told by its recipe, where there is one.

    \b
    Example:
      darktimer baths begin "plain fixer" --volume "1 l"
    """
    from darktimer.bench.film import ROLL_M2

    found = _recipe(name, plan)
    keeps_ms, capacity_m2 = _by_recipe(found.recipe, volume_ml)
    with journal() as opened:
        bath = keeping.begin_bath(
            opened,
            name,
            volume_ml,
            read_clocks().wall_utc_ms if born_utc_ms is None else born_utc_ms,
            keeps_ms if keeps_days is None else keeps_days * keeping.DAY_MS,
            capacity_m2 if capacity_rolls is None else capacity_rolls * ROLL_M2,
        )
    _tell(bath, as_json)
    if found.recipe and not as_json:
        say(f"What is not said otherwise is by its recipe: {found.recipe.title} ({found.where}).")


def _recipe(name: str, plan: str | None) -> "Found":
    from darktimer.bench.shelf import recipe_called, recipes_of
    from darktimer.plan.baths import bath_key
    from darktimer.plan.reader import read_plan

    if plan is None:
        return recipe_called(name, Path.cwd())
    found = recipes_of(read_plan(plan)).get(bath_key(name))
    if found is None:
        raise click.UsageError(f"{plan} has no bath {name!r}")
    return found


def _by_recipe(recipe: "Recipe | None", volume_ml: float) -> tuple[int | None, float | None]:
    """How long ``volume_ml`` of a bath keep, ms, and the film they take, m2; None if not known."""
    if recipe is None:
        return None, None
    keeps_ms = recipe.keeps and recipe.keeps * _HOUR_MS
    per_l = recipe.capacity_m2_per_l
    return keeps_ms, per_l and per_l * volume_ml / 1000


@command.command("use")
@_name
@click.option("--rolls", type=click.FloatRange(0, 10_000, min_open=True), required=True)
@json_option
def use(name: str, rolls: float, as_json: bool) -> None:
    """Note film that went through the bath NAME without a run; a roll is 80 square inches.

    \b
    Example:
      darktimer baths use "plain fixer" --rolls 2
    """
    from darktimer.bench.film import ROLL_M2

    with journal() as opened:
        bath = keeping.note_use(opened, name, rolls * ROLL_M2)
    _tell(bath, as_json)


@command.command("clearing")
@_name
@click.argument("time", type=Duration())
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
    _tell(bath, as_json)


@command.command("discard")
@_name
@json_option
def discard(name: str, as_json: bool) -> None:
    """Note that the bath NAME was thrown out.

    \b
    Example:
      darktimer baths discard "plain fixer"
    """
    with journal() as opened:
        bath = keeping.discard(opened, name)
    _tell(bath, as_json)


def _tell(bath: "Bath", as_json: bool) -> None:
    if as_json:
        print_json(_as_json(bath))
    else:
        _print([bath])


def _print(found: list["Bath"]) -> None:
    if not found:
        say('No bath in use. Begin one: darktimer baths begin "plain fixer" --volume "1 l"')
        return
    out, now = console(), read_clocks().wall_utc_ms
    columns = [
        ("Bath", "left"), ("Volume", "right"), ("Age", "right"), ("Film through", "right"),
        ("Left", "right"), ("Clearing", "right"), ("State", "left"),
    ]  # fmt: skip
    out.print(Table(columns, [_row(bath, now) for bath in found]))
    for bath in found:
        print_list(bath.name, _remarks(bath, now))


def _row(bath: "Bath", now_utc_ms: int) -> list[str]:
    times = bath.clearing_ms
    return [
        bath.name,
        f"{bath.volume_ml:g} ml",
        f"{max(0, now_utc_ms - bath.born_utc_ms) // keeping.DAY_MS} days",
        _rolls(bath.used_m2),
        "-" if bath.left_m2 is None else _rolls(bath.left_m2),
        " to ".join(units.clock(time) for time in dict.fromkeys((times[0], times[-1])))
        if times
        else "-",
        _state(bath, now_utc_ms),
    ]


def _state(bath: "Bath", now_utc_ms: int) -> str:
    if bath.discarded_utc_ms is not None:
        return "discarded"
    return "discard it" if bath.reasons_to_discard(now_utc_ms) else "in use"


def _rolls(area_m2: float) -> str:
    from darktimer.bench.film import ROLL_M2

    return f"{area_m2 / ROLL_M2:.1f} rolls"


def _remarks(bath: "Bath", now_utc_ms: int) -> Iterator[str]:
    if bath.discarded_utc_ms is not None:
        return
    reasons = bath.reasons_to_discard(now_utc_ms)
    yield from (f"discard it: {reason}" for reason in reasons)
    yield from bath.doubts()
    if reasons:
        yield "local rules first; spent fixer holds silver: hand it in, never into a septic tank"


def _as_json(bath: "Bath") -> dict[str, Any]:
    return {
        "name": bath.name,
        "volume_ml": bath.volume_ml,
        "born": utc_text(bath.born_utc_ms),
        "keeps_days": None if bath.keeps_ms is None else bath.keeps_ms // keeping.DAY_MS,
        "capacity_m2": bath.capacity_m2,
        "used_m2": bath.used_m2,
        "left_m2": bath.left_m2,
        "clearing_ms": list(bath.clearing_ms),
        "discard_because": bath.reasons_to_discard(read_clocks().wall_utc_ms),
        "doubts": bath.doubts(),
        "discarded": None if bath.discarded_utc_ms is None else utc_text(bath.discarded_utc_ms),
    }
