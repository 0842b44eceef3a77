"""``darktimer journal add``: an evening by sound file, or by hand, entered into the journal."""

from typing import TYPE_CHECKING

import click

from darktimer import units
from darktimer.cli.options import Read, json_option, measured_option, notes_option, with_plan
from darktimer.journal.clocks import local_text, moment_utc_ms, utc_text
from darktimer.prepare.kept_baths import journal
from darktimer.terminal.text import print_json, say

if TYPE_CHECKING:  # every command of the journal loads this file, and few look at a plan
    from darktimer.prepare.prepared import Prepared

_MOMENT = Read("moment", moment_utc_ms)


def _step_time(text: str) -> tuple[str, int]:
    name, equals, time = text.partition("=")
    if not equals or not name.strip():
        raise ValueError(f"{text!r} is not a step with its time; write one such as develop=11:30")
    return name.strip(), units.duration_ms(time)


@click.command("add")
@with_plan
@click.option("--at", "began_utc_ms", type=_MOMENT, help='When it began: "2024-05-04 20:15".')
@click.option("--ended", "ended_utc_ms", type=_MOMENT, help="When it ended, if not just now.")
@click.option(
    "--step",
    "times",
    metavar="STEP=TIME",
    type=Read("step and time", _step_time),
    multiple=True,
    help="What a step really lasted, such as develop=11:30; may be repeated.",
)
@measured_option
@notes_option
@json_option
def add(
    prepared: "Prepared",
    began_utc_ms: int | None,
    ended_utc_ms: int | None,
    times: tuple[tuple[str, int], ...],
    celsius: float | None,
    notes: str,
    as_json: bool,
) -> None:
    """Enter an evening of PLAN that a sound file led, or you by hand.

    It has just ended, and all was as planned, unless you say otherwise. Baths in use that the plan
    names get its film noted, as by a run.

    \b
    Example:
      darktimer journal add my-plan.yaml --step develop=11:30
    """
    from darktimer.journal.enter import enter_run
    from darktimer.journal.results import Result
    from darktimer.prepare.entered import Evening, entered

    if began_utc_ms is not None and ended_utc_ms is not None:
        raise click.UsageError("give --at or --ended: the one follows from the other")
    evening = Evening(began_utc_ms, ended_utc_ms, times)
    try:
        start, events = entered(prepared, evening)
    except ValueError as error:
        raise click.UsageError(f"--step: {error}") from None
    with journal() as opened:
        run = enter_run(opened, start, events, Result(celsius=celsius, notes=notes))
    began, ended = start.started.wall_utc_ms, events[-1].wall_utc_ms
    if as_json:
        print_json({"run": run, "began": utc_text(began), "ended": utc_text(ended)})
        return
    say(f"Run {run}: {prepared.timeline.title}, from {local_text(began)} to {local_text(ended)}")
    say(f"Say how it turned out with darktimer journal add-result {run}.")
