"""``darktimer run``: a plan led through in the dark, or taken up again after it was cut off."""

from typing import TYPE_CHECKING

import click

from darktimer.cli.live_options import live_options, written
from darktimer.cli.options import (
    DURATION,
    ShippedOrFile,
    cues_option,
    json_option,
    lights_out_option,
)
from darktimer.errors import DarktimerError, OutputError
from darktimer.output.speakers import Speakers

if TYPE_CHECKING:  # a run that is taken up again has no time for what it does not need
    from darktimer.live.journal_writer import JournalWriter
    from darktimer.live.keyboard import Keyboard
    from darktimer.prepare.prepared import Prepared

#: What a run that is taken up again can be given: how to play.
_WITH_RESUME = {"resume", "give_up", "as_json", *Speakers._fields}


@click.command(
    "run",
    epilog="Exit status: 0 all went well, 1 something in what was given is at fault, 2 wrong "
    "usage, 3 done but something failed on the way, 4 ended early.",
)
@click.argument("plan", metavar="[PLAN]", type=ShippedOrFile("sequences"), required=False)
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
    start_in_ms: int | None,
    resume: bool,
    give_up: bool,
    as_json: bool,
) -> None:
    """Lead the hands through PLAN in the dark, live, with two keys.

    Shows the plan and tries speaker and keys; then the screen goes black until light is safe and a
    key is pressed. Keys, signals, lost speakers and a full disk end nothing in the dark: the sound
    goes on where the film is. An act missed by less than 10 s is asked for at once, if it is still
    right; any other is replaced by the signature of the step and the time left in it; light-safe
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
        _resume(context, speakers, give_up, as_json)
    elif give_up:
        raise click.UsageError("--give-up closes a run that was cut off: write --resume --give-up")
    elif plan is None:
        raise click.UsageError("name a PLAN, or take up the last run with --resume")
    elif as_json and start_in_ms is None:
        raise click.UsageError("--json shows no pages to turn, so say when to begin: --start-in")
    else:
        from darktimer.prepare.prepared import prepare

        prepared = prepare(plan, cue_set, lights_out_after_ms)
        _run(prepared, cue_set, speakers, gates, start_in_ms, as_json)


def _resume(context: click.Context, speakers: Speakers, give_up: bool, as_json: bool) -> None:
    """A run goes on as it began: what would change its plan is refused, not passed over."""
    from darktimer.cli.resuming import close_run, take_up

    given = written(context)
    refused = [p.opts[-1] for p in context.command.params if p.name in given - _WITH_RESUME]
    if refused:
        raise click.UsageError(
            f"--resume continues a run as it began: leave out {', '.join(refused)}"
        )
    if give_up:
        close_run()
    else:
        take_up(speakers, given, as_json)


def _run(
    prepared: "Prepared",
    cue_set_name: str,
    speakers: Speakers,
    gates: bool | None,
    start_in_ms: int | None,
    as_json: bool,
) -> None:
    """Pages and a trial in the light, the run in the dark, the closing page."""
    from darktimer.cli.resuming import close, log
    from darktimer.cues.score import Score
    from darktimer.cues.speaker import SPEAKERS
    from darktimer.journal.folder import home
    from darktimer.live.awake import kept_awake
    from darktimer.live.conductor import Conductor
    from darktimer.live.gates import waits_of
    from darktimer.live.keyboards import keyboard
    from darktimer.live.lights import Lights
    from darktimer.live.lock import leading
    from darktimer.live.session import Session
    from darktimer.live.trial import Trial
    from darktimer.output.clock import Clock
    from darktimer.output.speaker import SpeakerStream
    from darktimer.pages.lazy_view import LazyView
    from darktimer.pages.pager import Pager

    cue_set, clock = prepared.cue_set, Clock()
    dark = any(step.dark for step in prepared.timeline.steps)
    with kept_awake() as sleepy, keyboard() as keys:
        conductor = Conductor(prepared.timeline, cue_set, waits_of(False if keys.gone else gates))
        with Trial(cue_set, speakers) as trial:  # no speaker: said before anybody reads pages
            pages = Pager(keys, start_in_ms)
            if as_json:
                pages.wait(start_in_ms or 0)
            else:
                pages.turn(prepared, trial, _warnings(sleepy, keys))
        begin_ns = (clock.boot_ns() // 1_000_000 + speakers.lead_ms) * 1_000_000
        writer = _writer(prepared, cue_set_name, begin_ns)
        with leading(home(), writer.run):
            lights = Lights(log() if dark else None)
            with lights, LazyView(cue_set, silent=as_json) as watch:
                line = Score(prepared.timeline, cue_set, speakers.rate, SPEAKERS[speakers.profile])
                stream = SpeakerStream(line, speakers, clock, begin_ns)
                session = Session(conductor, line, stream, keys, lights, writer, clock)
                try:
                    session.perform(lambda run: run.begin(speakers=speakers._asdict()), watch)
                except OutputError:  # no speaker to begin with: it could not be taken up
                    writer.finish(aborted=True, exit_status=1)
                    raise
            close(session, writer, as_json)


def _warnings(sleepy: str, keys: "Keyboard") -> list[str]:
    """What a person must know of this machine before the lights go out."""
    from darktimer.live.display import display_words

    warnings = [sleepy] if sleepy else []
    warnings.append(display_words())
    if keys.gone:
        warnings.append("there are no keys here: the plan waits nowhere")
    return warnings


def _writer(prepared: "Prepared", cue_set_name: str, begin_ns: int) -> "JournalWriter":
    """The run in the journal; a journal that cannot be kept stops no run."""
    from darktimer.journal.clocks import read_clocks
    from darktimer.journal.journal import Journal
    from darktimer.journal.start import about_to_start
    from darktimer.live.journal_writer import JournalWriter
    from darktimer.output.clock import Clock

    ahead_ms = (begin_ns - Clock().boot_ns()) // 1_000_000
    started = read_clocks().ahead(ahead_ms, begin_ns // 1_000_000)
    try:
        journal = Journal.open()
        for notice in journal.notices:
            click.echo(notice, err=True)
        start = about_to_start(prepared.file, cue_set_name, prepared.timeline, started)
        return JournalWriter(journal, journal.begin_run(start))
    except DarktimerError as error:
        writer = JournalWriter(None)
        writer.troubles.append(str(error))
        return writer
