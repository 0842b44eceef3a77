"""``darktimer timeline``: what happens and when."""

from collections.abc import Iterator

import click

from darktimer.cli.options import json_option, with_plan
from darktimer.prepare.prepared import Prepared
from darktimer.process.summary import summarize
from darktimer.process.timeline import Cue
from darktimer.terminal.table import Table
from darktimer.terminal.text import console, print_json, print_list
from darktimer.units import clock


@click.command("timeline")
@with_plan
@json_option
def command(prepared: Prepared, as_json: bool) -> None:
    """Show every step of PLAN and every sound in it.

    \b
    Example:
      darktimer timeline open-tub-half-agitation
      darktimer timeline my-plan.yaml --json
    """
    if as_json:
        print_json(prepared.timeline.as_json())
        return
    out = console()
    out.print(prepared.timeline.title, style="bold")
    out.print(f"{clock(prepared.timeline.duration_ms)} in all\n")
    columns = [("At", "point"), ("In step", "point"), ("Sound", "left"), ("Meaning", "left")]
    out.print(Table(columns, _rows(prepared)))
    print_list("Note", prepared.timeline.notes)


def _rows(prepared: Prepared) -> Iterator[list[str]]:
    """A heading row for each step with its own time, then a row for each cue heard in it."""
    timeline = prepared.timeline
    by_step: dict[int, list[Cue]] = {}
    for cue in timeline.cues:
        by_step.setdefault(cue.step, []).append(cue)
    for index, step in enumerate(summarize(prepared.plan, timeline)):
        light = "dark" if step.dark else "light"
        yield [clock(step.start_ms), "", f"-- {step.name}", f"{clock(step.time_ms)}, {light} --"]
        for cue in by_step.get(index, []):
            inside = cue.at_ms - step.clock_ms
            shown = clock(inside) if inside >= 0 else f"-{clock(-inside)}"
            yield [clock(cue.at_ms), shown, cue.meaning, prepared.cue_set.says(cue.meaning)]
