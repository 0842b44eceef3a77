"""``darktimer card``: a plan on one page of paper, or its timeline as a picture."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from darktimer.cli.options import (
    force_option,
    json_option,
    measures_option,
    output_option,
    with_plan,
)
from darktimer.errors import FindingsError, OutputError
from darktimer.prepare.prepared import Prepared
from darktimer.terminal.text import print_json

if TYPE_CHECKING:  # the drawing library is loaded when the command runs
    from darktimer.bench.measures import Measures
    from darktimer.bench.sheet import Sheet
    from darktimer.paper.page import Page

_PAPERS = ("A4", "Letter")
_ENDINGS = (".pdf", ".svg", ".png")


@click.command("card")
@with_plan
@output_option("Where to write: .pdf is the whole card; .svg or .png is the timeline alone.")
@click.option(
    "--paper",
    type=click.Choice(_PAPERS, case_sensitive=False),
    default="A4",
    show_default=True,
    help="The paper of the card.",
)
@measures_option
@force_option
@json_option
def command(
    prepared: Prepared, target: Path, paper: str, measures: str, force: bool, as_json: bool
) -> None:
    """Write PLAN on one page, to pin up or to learn from before the lights go out.

    Steps and times in large type, the timeline to scale, the baths as they stand, what to mix,
    the sounds with their meanings, cautions.

    \b
    Example:
      darktimer card open-tub-half-agitation -o card.pdf
      darktimer card my-plan.yaml -o card.pdf --paper Letter
      darktimer card my-plan.yaml -o timeline.svg
    """
    if target.suffix.lower() not in _ENDINGS:
        found = repr(target.suffix) if target.suffix else "a name without ending"
        remedy = "end it in .pdf for the card, .svg or .png for the timeline"
        raise OutputError(str(target), f"{found} is no kind of picture known here", remedy)
    notes = _write(prepared, target, paper, measures, force)
    if as_json:
        print_json({"file": str(target), "bytes": target.stat().st_size, "notes": notes})
        return
    click.echo(f"{target}: {prepared.timeline.title}")
    for note in notes:
        click.echo(f"  - {note}")


def _write(
    prepared: Prepared,
    target: Path,
    paper: str,
    measures: str,
    force: bool,
) -> list[str]:
    """Draws and writes; returns what to mind."""
    from darktimer.bench.measures import measures_named
    from darktimer.paper import card, card_page, page, timeline_picture
    from darktimer.whole_file import write_whole

    say = measures_named(measures)
    sheet, notes = _sheet(prepared, say)
    kind: page.Kind = "pdf"
    with page.settings():
        shown = card.card(prepared.plan, prepared.timeline, prepared.cue_set, sheet, say)
        if target.suffix.lower() == ".pdf":
            drawn = card_page.draw_card(shown, paper)
        else:
            kind, notes = "svg" if target.suffix.lower() == ".svg" else "png", []
            drawn = timeline_picture.picture(prepared.timeline, shown.rows)
        content = drawn.written(kind, prepared.timeline.title)
    write_whole(target, content, force=force)
    return [*notes, *_missing(drawn)]


def _sheet(prepared: Prepared, say: "Measures") -> "tuple[Sheet | None, list[str]]":
    """The bench sheet; where the plan does not say enough for one, what it should say."""
    from darktimer.bench.bath import Wishes
    from darktimer.prepare.sheet import sheet_of

    try:
        return sheet_of(prepared, Wishes(say=say)), []
    except FindingsError as error:
        return None, [f"No amounts are on it: {error}."]


def _missing(drawn: "Page") -> list[str]:
    if not drawn.missing:
        return []
    return [f"No font here has {drawn.missing}: install one that has, and write it again."]
