"""``darktimer run``: a plan led through in the dark, or taken up again after it was cut off."""

from typing import TYPE_CHECKING

import click

from darktimer.cli.live_options import live_options, written
from darktimer.cli.options import (
    DURATION,
    cues_option,
    json_option,
    lights_out_option,
    plan_if_any_argument,
)
from darktimer.output.speakers import Speakers

if TYPE_CHECKING:
    from darktimer.live.knocks import Knocks

#: What a run that is taken up again can be given: how to play.
_WITH_RESUME = {"resume", "give_up", "as_json", "knocking", "microphone", *Speakers._fields}


@click.command(
    "run",
    epilog="Exit status: 0 all went well, 1 something in what was given is at fault, 2 wrong "
    "usage, 3 done but something failed on the way, 4 ended early.",
)
@plan_if_any_argument
@cues_option
@lights_out_option
@live_options
@click.option(
    "--start-in",
    "start_in_ms",
    type=DURATION,
    help="Start by itself after this time, without asking for keys.",
)
@click.option("--resume", is_flag=True, help="Take up the run that was cut off; needs no PLAN.")
@click.option(
    "--give-up", is_flag=True, help="With --resume: do not go on, close that run in the journal."
)
@json_option
@click.pass_context
def command(
    context: click.Context,
    plan: str | None,
    cue_set: str,
    lights_out_after_ms: int | None,
    gates: bool | None,
    speakers: Speakers,
    knocks: "Knocks | None",
    start_in_ms: int | None,
    resume: bool,
    give_up: bool,
    as_json: bool,
) -> None:
    """Lead the hands through PLAN in the dark, live, with two keys.

    Shows the plan and tries speaker and keys; then the screen goes black until light is safe and a
    key is pressed. Keys, signals, lost speakers and a full disk end nothing in the dark: the sound
    goes on where the film is. An act missed by less than 10 s is asked for at once, if it is still
    right; any other is replaced by the place of the bath and the time left in it; light-safe
    sounds however late.

    A run that was cut off is taken up where the film is by the clock, with --resume. Only you can
    give it up: in the dark as any run, or beforehand with --resume --give-up.

    \b
    Example:
      darktimer run open-tub-half-agitation
      darktimer run my-plan.yaml --gates --buffer "0.5 s"
      darktimer run --resume
    """
    if resume:
        _resume(context, speakers, knocks, give_up, as_json)
    elif give_up:
        raise click.UsageError("--give-up closes a run that was cut off: write --resume --give-up")
    elif plan is None:
        raise click.UsageError("name a PLAN, or take up the last run with --resume")
    elif as_json and start_in_ms is None:
        raise click.UsageError("--json shows no pages to turn, so say when to begin: --start-in")
    else:
        from darktimer.prepare.prepared import prepare

        prepared = prepare(plan, cue_set, lights_out_after_ms)  # faults are said before all else
        from darktimer.pages.leading import lead

        lead(prepared, cue_set, speakers, gates, start_in_ms, as_json, knocks)


def _resume(
    context: click.Context,
    speakers: Speakers,
    knocks: "Knocks | None",
    give_up: bool,
    as_json: bool,
) -> None:
    """A run goes on as it began: what would change its plan is refused, not passed over."""
    from darktimer.pages.resuming import close_run, take_up

    given = written(context)
    refused = [p.opts[-1] for p in context.command.params if p.name in given - _WITH_RESUME]
    if refused:
        raise click.UsageError(
            f"--resume continues a run as it began: leave out {', '.join(refused)}"
        )
    if give_up:
        close_run()
    else:
        take_up(speakers, given, as_json, knocks)
