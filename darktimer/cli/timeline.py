"""``darktimer timeline``: what happens and when."""

from collections.abc import Collection, Iterator

import click

from darktimer.cli.options import json_option, with_plan
from darktimer.prepare.prepared import Prepared
from darktimer.process.named import steps_named
from darktimer.process.summary import summarize
from darktimer.process.timeline import Cue
from darktimer.terminal.table import print_table
from darktimer.terminal.text import print_json, print_list, say
from darktimer.units import clock


@click.command("timeline")
@with_plan
@click.option("--step", "wanted", metavar="STEP", help="Show this step alone, such as develop.")
@json_option
def command(prepared: Prepared, wanted: str | None, as_json: bool) -> None:
    """Show every step of PLAN and every sound in it, in the order in which they are heard.

    \b
    Example:
      darktimer timeline open-tub-half-agitation
      darktimer timeline my-plan.yaml --step develop
      darktimer timeline my-plan.yaml --json
    """
    timeline = prepared.timeline
    every = range(len(timeline.steps))
    shown = set(every if wanted is None else steps_named(timeline, wanted))
    if as_json:
        cues = tuple(cue for cue in timeline.cues if cue.step in shown)
        spans = tuple(span for span in timeline.spans if span.step in shown)
        print_json(timeline._replace(cues=cues, spans=spans).as_json())
        return
    say(timeline.title, bold=True)
    say(f"{clock(timeline.duration_ms)} in all\n")
    columns = [("At", "point"), ("In step", "point"), ("Sound", "left"), ("Meaning", "left")]
    print_table(columns, _rows(prepared, shown))
    if wanted is None:
        print_list("Note", timeline.notes)


def _rows(prepared: Prepared, shown: Collection[int]) -> Iterator[list[str]]:
    """A heading row for each step with its own time, then a row for each cue heard in it."""
    timeline = prepared.timeline
    by_step: dict[int, list[Cue]] = {}
    for cue in timeline.cues:
        by_step.setdefault(cue.step, []).append(cue)
    for index, step in enumerate(summarize(timeline)):
        if index not in shown:
            continue
        light = "dark" if step.dark else "light"
        yield [clock(step.start_ms), "", f"-- {step.name}", f"{clock(step.time_ms)}, {light} --"]
        for cue in by_step.get(index, []):
            inside = cue.at_ms - step.clock_ms
            at = clock(inside) if inside >= 0 else f"-{clock(-inside)}"
            yield [clock(cue.at_ms), at, cue.meaning, prepared.cue_set.says(cue.meaning)]
