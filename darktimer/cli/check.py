"""``darktimer check``: what is wrong, doubtful or dangerous in plans."""

import sys
from dataclasses import asdict
from typing import Any

import click

from darktimer.cli.options import cues_option, json_option, plans_argument
from darktimer.errors import DarktimerError, FileError
from darktimer.pages.briefing import print_doubts_and_notes, print_head
from darktimer.prepare.prepared import Prepared, prepare
from darktimer.process.summary import StepSummary, summarize
from darktimer.terminal.table import Table
from darktimer.terminal.text import complain, console, print_json, print_list
from darktimer.units import clock


@click.command("check")
@plans_argument
@cues_option
@json_option
def command(plans: tuple[str, ...], cue_set: str, as_json: bool) -> None:
    """Say what is wrong, doubtful or dangerous in each PLAN.

    Every fault is named with its line and column, what was found and how to put it right. For a
    plan without faults: its steps, times, share agitated, warnings and cautions.

    \b
    Example:
      darktimer check my-plan.yaml
      darktimer check open-tub-half-agitation --json
    """
    reports = [_report(plan, cue_set, as_json) for plan in plans]
    if as_json:
        print_json(reports)
    if any(report["faults"] for report in reports):
        sys.exit(1)


def _report(plan: str, cue_set: str, as_json: bool) -> dict[str, Any]:
    try:
        prepared = prepare(plan, cue_set, None).with_recipes()
    except DarktimerError as error:
        if not as_json:
            complain(str(error))
        faults = error.faults if isinstance(error, FileError) else ()
        return {"plan": plan, "faults": [asdict(f) for f in faults] or [{"found": str(error)}]}
    steps = summarize(prepared.plan, prepared.timeline)
    if not as_json:
        _print(prepared, steps)
    return {
        "plan": plan,
        "faults": [],
        "title": prepared.timeline.title,
        "duration_ms": prepared.timeline.duration_ms,
        "dark_ms": prepared.timeline.dark_ms,
        "steps": [step._asdict() for step in steps],
        "warnings": [asdict(warning) for warning in prepared.warnings()],
        "notes": [*prepared.remarks, *prepared.timeline.notes],
        "cautions": prepared.cautions(),
    }


def _print(prepared: Prepared, steps: list[StepSummary]) -> None:
    out = console()
    print_head(prepared.timeline)
    columns = [("Starts", "point"), ("Step", "left"), ("Time", "point"), ("Moving", "right")]
    out.print(Table([*columns, ("Light", "left")], map(_row, steps)))
    print_doubts_and_notes(prepared)
    print_list("Cautions", prepared.cautions())
    out.print()


def _row(step: StepSummary) -> list[str]:
    moving = ""
    if step.kind not in ("ready", "load", "done"):
        moving = f"{clock(step.agitated_ms)}, {100 * step.agitated_ms / step.time_ms:.1f} %"
    light = "dark" if step.dark else "light"
    return [clock(step.start_ms), step.name, clock(step.time_ms), moving, light]
