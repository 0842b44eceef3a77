"""``darktimer journal``: what was done, what came of it, and what differs between two rolls."""

from collections.abc import Callable
from functools import wraps
from typing import TYPE_CHECKING, Any, Final

import click

from darktimer.cli.journal_add import add
from darktimer.cli.journal_exchange import export, import_command
from darktimer.cli.journal_plot import plot
from darktimer.cli.journal_result import add_result_command
from darktimer.cli.options import (
    WholeLines,
    WholeNumber,
    json_option,
    run_argument,
    runs_argument,
)
from darktimer.pages.runs import print_runs
from darktimer.prepare.kept_baths import journal
from darktimer.terminal.table import print_table
from darktimer.terminal.text import print_json, print_list, say
from darktimer.units import counted

if TYPE_CHECKING:  # loaded when somebody wants it
    from darktimer.journal.narrowing import Only

_LONGEST: Final = 1_000


class _RunOrCommand(WholeLines):
    """A group in which a number shows the run of that number."""

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        return super().resolve_command(ctx, ["show", *args] if args[0].isdigit() else args)


_last_option = click.option(
    "--last", type=WholeNumber(1), default=20, show_default=True, help="How many, the latest."
)
_all_option = click.option("--all", "every", is_flag=True, help="Every one there is.")


def _narrowing(function: Callable[..., Any]) -> Callable[..., Any]:
    """Adds options that narrow runs; the command is given ``only`` what they ask for."""

    @wraps(function)
    def narrowed(
        *arguments: Any, stock: str, developer: str, film_format: str, **given: Any
    ) -> Any:
        from darktimer.journal.narrowing import Only

        return function(*arguments, only=Only(stock, developer, film_format), **given)

    for name in ("film_format", "developer", "stock"):
        plain = name.removeprefix("film_")
        about = f"Only runs of this {plain}."
        option = click.option(f"--{plain}", name, metavar="NAME", default="", help=about)
        narrowed = option(narrowed)
    return narrowed


@click.group("journal", cls=_RunOrCommand, invoke_without_command=True)
@_narrowing
@_last_option
@_all_option
@json_option
@click.pass_context
def command(ctx: click.Context, only: "Only", last: int, every: bool, as_json: bool) -> None:
    """Show the latest runs; with a run's number, that one in full.

    \b
    Example:
      darktimer journal
      darktimer journal --stock meadow
      darktimer journal 12
      darktimer journal add-result 12 --density dense
      darktimer journal compare 11 12
    """
    if ctx.invoked_subcommand is not None:
        return
    if any(only):
        _print_found((), only, None if every else last, as_json)
        return
    from darktimer.journal.listing import latest

    with journal() as opened:
        print_runs(latest(opened, None if every else last), as_json)


@command.command("show")
@run_argument
@json_option
def show(run: int, as_json: bool) -> None:
    """Show one RUN in full: each bath as planned and as it was.

    \b
    Example:
      darktimer journal show 12
    """
    from darktimer.journal.review import review
    from darktimer.pages.review import print_review, review_json

    with journal() as opened:
        found = review(opened, run)
        if as_json:
            print_json(review_json(found, opened.events(run), opened.plan_text(run)))
        else:
            print_review(found)


@command.command("search")
@click.argument("words", nargs=-1)
@_narrowing
@_last_option
@_all_option
@json_option
def search_command(
    words: tuple[str, ...], only: "Only", last: int, every: bool, as_json: bool
) -> None:
    """List the runs in which all WORDS stand: in plan, film, baths, notes or photographs.

    A word may be cut short at its end: nett finds nettle. Of a stock, a developer and a format any
    part of the name will do.

    \b
    Example:
      darktimer journal search nettle 135-36
      darktimer journal search --stock meadow tub
    """
    if not words and not any(only):
        raise click.UsageError("name words to look for, or give --stock, --developer or --format")
    _print_found(words, only, None if every else last, as_json)


def _print_found(words: tuple[str, ...], only: "Only", most: int | None, as_json: bool) -> None:
    from darktimer.journal.listing import search

    with journal() as opened:
        found = search(opened, words, most, only)
        asked = " ".join((*words, *filter(None, only)))
        print_runs(found, as_json, f"No run matches: {asked}.")


@command.command("compare")
@runs_argument
@json_option
def compare_command(runs: tuple[int, ...], as_json: bool) -> None:
    """Show what differs between RUNS, and nothing else.

    \b
    Example:
      darktimer journal compare 11 12
    """
    from darktimer.journal.clocks import local_text, utc_text
    from darktimer.journal.compare import compare

    if len(runs) < 2:
        raise click.UsageError("name two runs or more")
    with journal() as opened:
        rows = compare(opened, runs, utc_text if as_json else local_text)
    if as_json:
        keys = [str(run) for run in runs]
        print_json([{"what": r.what, **dict(zip(keys, r.values, strict=True))} for r in rows])
    elif not rows:
        click.echo("Nothing differs.")
    else:
        columns = [("", "left"), *((f"Run {run}", "left") for run in runs)]
        cells = [[row.what, *map(_short, row.values)] for row in rows]
        print_table(columns, cells)


def _short(value: str) -> str:
    """A value that can be compared by eye; JSON has it whole."""
    more = len(value) - _LONGEST
    return f"{value[:_LONGEST]} ... and {more} letters more" if more > 0 else value


@command.command("known")
@_narrowing
@json_option
def known_command(only: "Only", as_json: bool) -> None:
    """Show what is known of each stock in each developer: times, what came of them, what is kept.

    Mark the one to repeat with darktimer journal add-result RUN --keep; darktimer new --like RUN
    begins from it.

    \b
    Example:
      darktimer journal known
      darktimer journal known --stock meadow
    """
    from darktimer.journal.known import known
    from darktimer.pages.known import print_known

    with journal() as opened:
        print_known(known(opened, only), as_json, " ".join(filter(None, only)))


@command.command("check")
@json_option
@click.pass_context
def check(ctx: click.Context, as_json: bool) -> None:
    """Look at every row; name each that the disk has damaged, exit with 1 if there is one.

    \b
    Example:
      darktimer journal check
    """
    from darktimer.journal.listing import forget

    with journal() as opened:
        rows, damaged = opened.store.check(), list(opened.store.damage)
        forget(opened.store)  # nothing tells whether it is whole, and it is soon made anew
        opened.store.damage.clear()  # it is reported here
    if as_json:
        print_json({"rows": rows, "damaged": damaged})
    else:
        whole = f"{counted(rows['runs'], 'run')}, {counted(rows['events'], 'event')}"
        say(f"Whole: {whole}, {counted(rows['baths'], 'bath')}")
        print_list("Damaged, and left out wherever something is shown", damaged)
    ctx.exit(1 if damaged else 0)


for each in (add, add_result_command, export, import_command, plot):
    command.add_command(each)
