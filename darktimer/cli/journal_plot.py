"""``darktimer journal plot``: what the journal holds, drawn to a PNG or an SVG."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, Literal

import click

from darktimer.cli.options import force_option, kept_bath_argument, output_option, run_argument
from darktimer.errors import OutputError
from darktimer.prepare.kept import journal

if TYPE_CHECKING:  # the drawing library is loaded when something is drawn
    from matplotlib.figure import Figure


_KINDS: Final[dict[str, Literal["png", "svg"]]] = {".png": "png", ".svg": "svg"}
#: Development is compared as the time that would give it at this temperature.
_CELSIUS: Final = 20.0

_target = output_option("Where to write: .png or .svg.")


@click.group("plot", no_args_is_help=False)
def plot() -> None:
    """Draw what the journal holds.

    \b
    Example:
      darktimer journal plot development -o development.png
      darktimer journal plot times 12 -o run-12.svg
      darktimer journal plot bath "plain fixer" -o fixer.png
    """


@plot.command("development")
@click.option("--last", type=click.IntRange(1), default=40, show_default=True, help="How many.")
@_target
@force_option
def development(last: int, target: Path, force: bool) -> None:
    """Draw the development that runs gave, and what was planned.

    Where the developer's activation energy is not known, other temperatures than 20 C are a guess.
    """
    from darktimer.journal.listing import latest
    from darktimer.journal.review import review

    with journal() as opened:
        runs = [review(opened, line.run.number) for line in reversed(latest(opened, last))]
    with _drawing(target, "Development delivered", force) as draw:
        from darktimer.paper.plots import Timed, plot_development

        developed = [
            Timed(str(found.run.number), *found.development_ms(_CELSIUS))
            for found in runs
            if found.bases
        ]
        _refuse_empty(developed, target, "no run with a developer is in the journal")
        draw(plot_development(developed, _CELSIUS))


@plot.command("times")
@run_argument
@_target
@force_option
def times(run: int, target: Path, force: bool) -> None:
    """Draw each step of RUN as it was planned and as it was."""
    from darktimer.journal.review import review

    with journal() as opened:
        found = review(opened, run)
    title = f"Run {run}: {found.run.title}"
    with _drawing(target, title, force) as draw:
        from darktimer.paper.plots import Timed, plot_real_against_planned

        steps = [step for step in found.steps if step.kind not in ("ready", "done")]
        told = [Timed(step.name, step.planned_ms, step.real_ms) for step in steps]
        draw(plot_real_against_planned(title, told))


@plot.command("bath")
@kept_bath_argument
@_target
@force_option
def bath(name: str, target: Path, force: bool) -> None:
    """Draw how the bath called NAME has been used up."""
    from darktimer.journal.baths import bath_named
    from darktimer.journal.clocks import local_text

    with journal() as opened:
        found = bath_named(opened, name)
    uses = [note for note in found.notes if note.area_m2]
    with _drawing(target, found.name, force) as draw:
        from darktimer.paper.plots import plot_bath

        _refuse_empty(uses, target, f"no film has gone through {found.name}")
        days = [(local_text(note.at_utc_ms)[:10], note.area_m2 or 0) for note in uses]
        draw(plot_bath(found.name, days, found.capacity_m2))


def _refuse_empty(content: list[Any], target: Path, found: str) -> None:
    if not content:
        raise OutputError(str(target), found, "there is nothing to draw yet")


@contextmanager
def _drawing(target: Path, title: str, force: bool) -> "Iterator[Callable[[Figure], None]]":
    """What takes a figure to its file, within the settings that figures are drawn in."""
    kind = _KINDS.get(target.suffix.lower())
    if kind is None:
        found = repr(target.suffix) if target.suffix else "a name without ending"
        raise OutputError(str(target), f"{found} is no picture here", "end it in .png or .svg")
    from darktimer.paper import page
    from darktimer.whole_file import write_whole

    def draw(figure: "Figure") -> None:
        write_whole(target, page.written(figure, kind, title), force=force)

    with page.settings():
        yield draw
    click.echo(f"{target}: {title}")
