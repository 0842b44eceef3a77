"""``darktimer check``: what is wrong, doubtful or dangerous in plans and recipes."""

import sys
from dataclasses import asdict
from typing import Any

import click

from darktimer.bench.recipe_lookup import FOLDER
from darktimer.cli.options import ShippedOrFile, cues_option, json_option
from darktimer.errors import DarktimerError, FileError
from darktimer.pages.briefing import print_doubts_and_notes, print_head
from darktimer.prepare.prepared import Prepared, prepare
from darktimer.prepare.recipe_file import RecipeFile, recipe_file
from darktimer.process.summary import StepSummary, summarize
from darktimer.terminal.table import print_table
from darktimer.terminal.text import complain, print_json, print_list, say
from darktimer.units import clock


@click.command("check")
@click.argument(
    "files",
    metavar="FILE...",
    type=ShippedOrFile("sequences", FOLDER),
    nargs=-1,
    required=True,
)
@cues_option
@json_option
def command(files: tuple[str, ...], cue_set: str, as_json: bool) -> None:
    """Say what is wrong, doubtful or dangerous in each FILE, a plan or a recipe.

    Every fault is named with its line and column, what was found and how to put it right. For a
    plan without faults: its steps, times, share agitated, warnings and cautions. For a recipe: what
    it makes, how long that keeps, its pH, warnings and cautions.

    \b
    Example:
      darktimer check my-plan.yaml recipes/my-developer.yaml
      darktimer check open-tub-half-agitation --json
    """
    reports = [_report(name, cue_set, as_json) for name in files]
    if as_json:
        print_json(reports)
    if any(report["faults"] for report in reports):
        sys.exit(1)


def _report(name: str, cue_set: str, as_json: bool) -> dict[str, Any]:
    try:
        recipe = recipe_file(name)
        return _recipe(name, recipe, as_json) if recipe else _plan(name, cue_set, as_json)
    except DarktimerError as error:
        if not as_json:
            complain(str(error))
        faults = error.faults if isinstance(error, FileError) else ()
        return {"plan": name, "faults": [asdict(f) for f in faults] or [{"found": str(error)}]}


def _recipe(name: str, file: RecipeFile, as_json: bool) -> dict[str, Any]:
    from darktimer.pages.recipes import print_recipe, recipe_json

    if not as_json:
        print_recipe(file)
    return recipe_json(name, file)


def _plan(plan: str, cue_set: str, as_json: bool) -> dict[str, Any]:
    prepared = prepare(plan, cue_set, None).with_recipes()
    steps = summarize(prepared.timeline)
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
    print_head(prepared.timeline)
    columns = [("Starts", "point"), ("Step", "left"), ("Time", "point"), ("Moving", "right")]
    print_table([*columns, ("Light", "left")], map(_row, steps))
    print_doubts_and_notes(prepared)
    print_list("Cautions", prepared.cautions())
    say("")


def _row(step: StepSummary) -> list[str]:
    moving = ""
    if step.kind not in ("ready", "load", "done"):
        moving = f"{clock(step.agitated_ms)}, {100 * step.agitated_ms / step.time_ms:.1f} %"
    light = "dark" if step.dark else "light"
    return [clock(step.start_ms), step.name, clock(step.time_ms), moving, light]
