"""``darktimer card``: a plan on one page of paper, or its timeline as a picture."""

from pathlib import Path

import click

from darktimer.cli.options import (
    force_option,
    json_option,
    measures_option,
    output_option,
    with_plan,
)
from darktimer.errors import FindingsError
from darktimer.prepare.prepared import Prepared
from darktimer.terminal.text import print_json


@click.command("card")
@with_plan
@output_option(
    "Where to write: .pdf is the whole card; .svg or .png is the timeline alone.",
    pdf=" for the card",
    svg="",
    png=" for the timeline",
)
@click.option(
    "--paper",
    type=click.Choice(["A4", "Letter"], case_sensitive=False),
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

    Steps and times in large type, the timeline to scale, the baths on the bench, what to mix,
    the sounds with their meanings, cautions.

    \b
    Example:
      darktimer card open-tub-half-agitation -o card.pdf
      darktimer card my-plan.yaml -o card.pdf --paper Letter
      darktimer card my-plan.yaml -o timeline.svg
    """
    from darktimer.bench.bath_sheet import BenchOptions
    from darktimer.bench.unit_system import unit_system_named
    from darktimer.paper.card import card
    from darktimer.paper.card_page import draw_card
    from darktimer.paper.timeline_picture import picture
    from darktimer.prepare.sheet import sheet_of

    say, title = unit_system_named(measures), prepared.timeline.title
    notes: list[str] = []
    try:
        sheet = sheet_of(prepared, BenchOptions(say=say))
    except FindingsError as error:  # the plan does not say enough for one
        sheet = None
        notes += [f"No amounts are on it: {error}."] if prepared.plan.in_baths else []
    shown = card(prepared.plan, prepared.timeline, prepared.cue_set, sheet, say)
    if target.suffix.lower() == ".pdf":
        drawn = draw_card(shown, paper)
    else:
        drawn, notes = picture(prepared.timeline, shown.rows), []
    drawn.write(target, title, force=force)
    if drawn.missing:
        notes.append(f"The font has no {drawn.missing}: a square stands in place of each.")
    if as_json:
        print_json({"file": str(target), "bytes": target.stat().st_size, "notes": notes})
        return
    click.echo(f"{target}: {title}")
    for note in notes:
        click.echo(f"  - {note}")
