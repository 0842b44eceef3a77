"""``darktimer journal plot``: what the journal holds, drawn to a PNG or an SVG."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from darktimer.cli.options import WholeLines, WholeNumber, force_option, output_option, run_argument
from darktimer.cli.wanted import wanted_options
from darktimer.errors import OutputError
from darktimer.prepare.kept_baths import journal
from darktimer.terminal.text import print_list

if TYPE_CHECKING:  # the drawing library is loaded when something is drawn
    from darktimer.journal.piece_times import Wanted
    from darktimer.paper.page import Page

#: Development is compared as the time that would give it at this temperature.
_CELSIUS: Final = 20.0

_target = output_option("Where to write: .png or .svg.", png="", svg="")


@click.group("plot", cls=WholeLines, no_args_is_help=False)
def plot() -> None:
    """Draw what the journal holds.

    \b
    Example:
      darktimer journal plot development -o development.png
      darktimer journal plot times 12 -o run-12.svg
      darktimer journal plot bath "plain fixer" -o fixer.png
      darktimer journal plot curve 13 -o curves.svg
      darktimer journal plot time 13 -o time.svg
    """


@plot.command("development")
@click.option("--last", type=WholeNumber(1), default=40, show_default=True, help="How many.")
@_target
@force_option
def development(last: int, target: Path, force: bool) -> None:
    """Draw the development that runs gave, and what was planned.

    Where the developer's activation energy is not known, other temperatures than 20 C are a guess.
    """
    from darktimer.journal.listing import latest
    from darktimer.journal.review import review
    from darktimer.paper.plots import Timed, plot_development

    with journal() as opened:
        runs = [review(opened, line.number) for line in reversed(latest(opened, last))]
    developed = [
        Timed(str(found.run.number), *found.development_ms(_CELSIUS))
        for found in runs
        if found.bases
    ]
    _refuse_empty(developed, target, "no run with a developer is in the journal")
    _write(plot_development(developed, _CELSIUS), target, "Development given", force)


@plot.command("times")
@run_argument
@_target
@force_option
def times(run: int, target: Path, force: bool) -> None:
    """Draw each step of RUN as it was planned and as it was."""
    from darktimer.journal.review import review
    from darktimer.paper.plots import Timed, plot_times

    with journal() as opened:
        found = review(opened, run)
    title = f"Run {run}: {found.run.title}"
    steps = [step for step in found.steps if step.kind not in ("ready", "done")]
    timed = [Timed(step.name, step.planned_ms, step.real_ms) for step in steps]
    _write(plot_times(title, timed), target, title, force)


@plot.command("bath")
@click.argument("name")
@_target
@force_option
def bath(name: str, target: Path, force: bool) -> None:
    """Draw how the bath called NAME has been used up."""
    from darktimer.journal.baths import bath_named
    from darktimer.journal.clocks import local_text
    from darktimer.paper.plots import plot_bath

    with journal() as opened:
        found = bath_named(opened, name)
    uses = [(local_text(n.at_utc_ms)[:10], n.area_m2) for n in found.notes if n.area_m2]
    _refuse_empty(uses, target, f"no film has gone through {found.name}")
    _write(plot_bath(found.name, uses, found.capacity_m2), target, found.name, force)


@plot.command("curve")
@run_argument
@_target
@force_option
def curve(run: int, target: Path, force: bool) -> None:
    """Draw the densities that were read of RUN's pieces against their exposures."""
    from darktimer.journal.piece_times import parts_of
    from darktimer.journal.review import review
    from darktimer.paper.sensitometry_plots import NamedStrip, plot_curves

    with journal() as opened:
        found = review(opened, run)
    read = [NamedStrip(each.called, strip) for each in parts_of(found) if (strip := each.strip)]
    _refuse_empty(read, target, f"no densities were read of run {run}")
    title = f"Run {run}: {found.run.title}"
    _write(plot_curves(title, read), target, title, force)


@plot.command("time")
@run_argument
@wanted_options
@_target
@force_option
def time(run: int, wanted: "Wanted | None", target: Path, force: bool) -> None:
    """Draw contrast index or gamma of RUN's pieces against their times, and the time wanted."""
    from darktimer.journal.piece_times import curve_for, read_of
    from darktimer.journal.refusal import JournalError
    from darktimer.journal.review import review
    from darktimer.paper.sensitometry_plots import plot_time
    from darktimer.sensitometry.refusal import SensitometryError
    from darktimer.sensitometry.wanted import time_for

    with journal() as opened:
        found = review(opened, run)
    title, estimate, against = f"Run {run}: {found.run.title}", None, []
    try:
        drawn, asked = curve_for(read_of(found), wanted)
    except SensitometryError as error:
        raise JournalError(f"run {run}", error.found, error.remedy) from None
    try:
        estimate = time_for(drawn.curve, asked.value)
    except SensitometryError as error:
        against = [str(error)]
    _write(plot_time(title, drawn.curve, asked.value, estimate), target, title, force)
    print_list("Against it", [*against, *drawn.without])


def _refuse_empty(content: Sequence[Any], target: Path, found: str) -> None:
    if not content:
        raise OutputError(str(target), found, "there is nothing to draw yet")


def _write(page: "Page", target: Path, title: str, force: bool) -> None:
    page.write(target, title, force=force)
    click.echo(f"{target}: {title}")
