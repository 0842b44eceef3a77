"""``darktimer check``: what is wrong, doubtful or dangerous in plans and recipes."""

import sys
from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

import click

from darktimer.bench.recipe_lookup import FOLDER
from darktimer.cli.options import ShippedOrFile, cues_option, json_option
from darktimer.errors import DarktimerError, FileError
from darktimer.pages.briefing import known_words, print_head, print_warnings_and_notes
from darktimer.plan.kinds import UNTIMED_KINDS
from darktimer.prepare.prepared import Prepared, prepare
from darktimer.prepare.recipe_file import RecipeFile, is_recipe, recipe_file
from darktimer.process.summary import PieceSummary, StepSummary, summarize, summarize_pieces
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
        kind = "recipe" if is_recipe(name) else "plan"
        return {kind: name, "faults": [asdict(f) for f in faults] or [{"found": str(error)}]}


def _recipe(name: str, file: RecipeFile, as_json: bool) -> dict[str, Any]:
    from darktimer.pages.recipes import print_recipe, recipe_json

    if not as_json:
        print_recipe(file)
    return recipe_json(name, file)


def _plan(plan: str, cue_set: str, as_json: bool) -> dict[str, Any]:
    prepared = prepare(plan, cue_set, None).with_recipes()
    steps, pieces = summarize(prepared.timeline), summarize_pieces(prepared.timeline)
    known = known_words(prepared.plan)
    if not as_json:
        _print(prepared, steps, pieces, known)
    return {
        "plan": plan,
        "faults": [],
        "title": prepared.timeline.title,
        "duration_ms": prepared.timeline.duration_ms,
        "dark_ms": prepared.timeline.dark_ms,
        "steps": [step._asdict() for step in steps],
        **({"pieces": [piece._asdict() for piece in pieces]} if pieces else {}),
        "warnings": [asdict(warning) for warning in prepared.warnings()],
        "notes": [*prepared.remarks, *prepared.timeline.notes],
        "cautions": prepared.cautions(),
        "known": known,
    }


def _print(
    prepared: Prepared, steps: list[StepSummary], pieces: list[PieceSummary], known: list[str]
) -> None:
    print_head(prepared.timeline)
    columns = [("Starts", "point"), ("Step", "left"), ("Time", "point"), ("Moving", "right")]
    print_table([*columns, ("Light", "left")], _rows(steps, pieces))
    print_list("The journal knows", known)
    print_warnings_and_notes(prepared)
    print_list("Cautions", prepared.cautions())
    say("")


def _rows(steps: list[StepSummary], pieces: list[PieceSummary]) -> Iterator[list[str]]:
    """A row for each step, and after one that is cut into pieces one for each of them."""
    for index, step in enumerate(steps):
        moving = step.kind not in UNTIMED_KINDS
        light = "dark" if step.dark else "light"
        yield [clock(step.start_ms), step.name, *_figures(step, moving), light]
        for piece in (each for each in pieces if each.step == index):
            yield [clock(piece.start_ms), f"  piece {piece.number}", *_figures(piece), ""]


def _figures(each: StepSummary | PieceSummary, moving: bool = True) -> tuple[str, str]:
    """The time, and how much of it is moving."""
    share = f"{clock(each.agitated_ms)}, {100 * each.agitated_ms / each.time_ms:.1f} %"
    return clock(each.time_ms), share if moving else ""
