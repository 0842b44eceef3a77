"""``darktimer run``: a plan led through in the dark, or taken up again after it was cut off."""

import sys
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

import click

from darktimer.cli.live_options import Named, live_options
from darktimer.cli.options import Duration, ShippedOrFile, json_option
from darktimer.errors import DarktimerError, OutputError
from darktimer.units import clock as shown

if TYPE_CHECKING:  # a run that is taken up again has no time for what it does not need
    from darktimer.cli.loading import Compiled
    from darktimer.cues.cue_set import CueSet
    from darktimer.live.scribe import Scribe
    from darktimer.live.session import Session

_WITH_FAULTS = 3
#: A run whose plan ended so long ago is not taken up any more.
_LONG_OVER_MS = 600_000


@click.command(
    "run",
    epilog="Exit status: 0 all went well, 1 something in what was given is at fault, 2 wrong "
    "usage, 3 done but something failed on the way, 4 ended early.",
)
@click.argument("plan", metavar="[PLAN]", type=ShippedOrFile("sequences"), required=False)
@live_options
@click.option(
    "--start-in",
    "start_in_ms",
    type=Duration(),
    help="Start by itself after this time, without asking for keys.",
)
@click.option("--resume", is_flag=True, help="Take up the run that was cut off; needs no PLAN.")
@json_option
def command(
    plan: str | None,
    cue_set: str,
    lights_out_after_ms: int | None,
    gates: bool | None,
    named: Named,
    start_in_ms: int | None,
    resume: bool,
    as_json: bool,
) -> None:
    """Lead the hands through PLAN in the dark, live, with two keys.

    Shows the plan and tries speaker and keys; then the screen goes black until light is safe and a
    key is pressed. Keys, signals, lost speakers and a full disk end nothing in the dark: the sound
    goes on where the film is. An act missed by less than 10 s is asked for at once; an older one is
    replaced by the signature of the step and the time left in it; light-safe is told however late.

    \b
    Example:
      darktimer run open-tub-half-agitation
      darktimer run my-plan.yaml --gates --buffer "0.5 s"
      darktimer run --resume
    """
    if resume:
        _take_up(named, as_json)
    elif plan is None:
        raise click.UsageError("name a PLAN, or take up the last run with --resume")
    elif as_json and start_in_ms is None:
        raise click.UsageError("--json shows no pages to turn, so say when to begin: --start-in")
    else:
        from darktimer.cli.loading import compiled

        done = compiled(plan, cue_set, lights_out_after_ms)
        _run(done, cue_set, named, gates, start_in_ms, as_json)


def _run(
    done: "Compiled",
    cue_set_name: str,
    named: Named,
    gates: bool | None,
    start_in_ms: int | None,
    as_json: bool,
) -> None:
    from darktimer.cli.later import Later
    from darktimer.cli.turning import Pages
    from darktimer.live.answers import with_answers
    from darktimer.live.awake import kept_awake
    from darktimer.live.conductor import Conductor
    from darktimer.live.display import display_words
    from darktimer.live.gates import waits_of
    from darktimer.live.keys import keyboard
    from darktimer.live.lights import Lights
    from darktimer.live.signals import Signals
    from darktimer.live.stage import Speakers, Stage
    from darktimer.live.trial import Trial
    from darktimer.output.clock import SystemClock

    cue_set, speakers, clock = with_answers(done.cue_set), Speakers(*named), SystemClock()
    with kept_awake() as sleepy, keyboard() as keys, Signals() as signals:
        waits = waits_of(gates if not keys.gone else False)
        warnings = [sleepy] if sleepy else []
        warnings.append(display_words())
        if keys.gone:
            warnings.append("there are no keys here: the plan waits nowhere")
        pages = Pages(keys, signals, start_in_ms)
        with Trial(cue_set, speakers) as trial:  # no speaker: said before anybody reads pages
            if as_json:
                pages.wait(start_in_ms or 0)
            else:
                pages.turn(done, trial, warnings)
        begin_ns = (clock.boot_ns() // 1_000_000 + speakers.lead_ms) * 1_000_000
        scribe = _scribe(done, cue_set_name, begin_ns)
        dark = any(step.dark for step in done.timeline.steps)
        with Lights(_log() if dark else None) as lights, Later(cue_set, silent=as_json) as watch:
            stage = Stage(speakers, keys, signals, lights, scribe, clock, begin_ns)
            try:
                session = stage.perform(
                    Conductor(done.timeline, cue_set, waits),
                    cue_set,
                    lambda session: session.begin(speakers=speakers._asdict()),
                    watch,
                )
            except OutputError:  # nothing was begun that could be taken up
                scribe.finish(aborted=True, exit_status=1)
                raise
        _close(session, scribe, as_json)


def _take_up(named: Named, as_json: bool) -> None:
    """Dark first; all that takes time comes after."""
    from darktimer.journal.journal import Journal
    from darktimer.live.keys import keyboard
    from darktimer.live.lights import Lights
    from darktimer.live.resume import cut_off
    from darktimer.live.signals import Signals

    journal = Journal.open()
    found = cut_off(journal)
    if found is None:
        raise DarktimerError("no run was cut off; begin one with darktimer run PLAN")
    if found.over_ms > _LONG_OVER_MS:
        journal.finish_run(found.run.number, "aborted", _WITH_FAULTS)
        ago = shown(found.over_ms // 1000 * 1000)
        raise DarktimerError(
            f"{found.run.title}: by its plan this was over {ago} ago; it is closed in the journal, "
            "and a new run begins with darktimer run PLAN"
        )
    with keyboard() as keys, Signals() as signals, Lights(_log() if found.dark else None) as lights:
        lights.out()
        from darktimer.cli.later import Later
        from darktimer.live.awake import kept_awake
        from darktimer.live.conductor import Conductor
        from darktimer.live.gates import Waits
        from darktimer.live.scribe import Scribe
        from darktimer.live.stage import Speakers, Stage
        from darktimer.output.clock import SystemClock

        clock, cue_set = SystemClock(), _cue_set(found.run.cue_set)
        begin_ns = clock.boot_ns() - found.now_ms * 1_000_000
        scribe = Scribe(journal, found.run.number)
        before = found.begun.get("speakers")
        speakers = Speakers(**before) if before and not named.name else Speakers(*named)
        waits = Waits.TRANSFERS if found.kept else Waits.LOADING  # of which those kept are left
        conductor = Conductor(found.timeline, cue_set, waits)
        kept = found.kept or conductor.kept()
        stage = Stage(speakers, keys, signals, lights, scribe, clock, begin_ns, patient=True)
        with kept_awake(), Later(cue_set, silent=as_json) as watch:
            session = stage.perform(
                conductor,
                cue_set,
                lambda session: session.take_up(
                    kept, found.silent_from_ms, found.doubt_ms, found.doubt
                ),
                watch,
            )
        _close(session, scribe, as_json)


def _cue_set(name: str) -> "CueSet":
    """The set that the run began with, or, where that is gone, the shipped one."""
    from darktimer.cues.reader import load_cue_set
    from darktimer.live.answers import with_answers

    try:
        return with_answers(load_cue_set(name))
    except DarktimerError:
        return with_answers(load_cue_set("standard"))


def _log() -> Path:
    """Where everything goes that anybody writes in the dark."""
    from darktimer.journal.folder import home

    return home() / "dark.log"


def _scribe(done: "Compiled", cue_set_name: str, begin_ns: int) -> "Scribe":
    """The run in the journal; a journal that cannot be kept stops no run."""
    from darktimer.journal.clocks import read_clocks
    from darktimer.journal.journal import Journal
    from darktimer.journal.runs import about_to_start
    from darktimer.live.scribe import Scribe
    from darktimer.output.clock import SystemClock

    now, begin_ms = read_clocks(), begin_ns // 1_000_000
    ahead_ms = begin_ms - SystemClock().boot_ns() // 1_000_000
    boot_ms = None if now.boot_ms is None else now.boot_ms + ahead_ms
    started = now._replace(wall_utc_ms=now.wall_utc_ms + ahead_ms, boot_ms=boot_ms)
    try:
        journal = Journal.open()
        for notice in journal.notices:
            click.echo(notice, err=True)
        start = about_to_start(done.file, cue_set_name, done.timeline, started)
        return Scribe(journal, journal.begin_run(start))
    except DarktimerError as error:
        scribe = Scribe(None)
        scribe.troubles.append(str(error))
        return scribe


def _close(session: "Session", scribe: "Scribe", as_json: bool) -> None:
    """The journal's last word, the closing page, and the exit status."""
    from darktimer.cli.closing import closing_json, exit_status, print_closing
    from darktimer.cli.page import print_json

    session.end(exit_status(session, scribe.troubles))
    status = exit_status(session, scribe.troubles)
    with suppress(OSError):  # the terminal may be gone
        if as_json:
            print_json(closing_json(session, scribe.run, scribe.troubles))
        else:
            print_closing(session, scribe.run, scribe.troubles)
        sys.stdout.flush()
    if status:
        sys.exit(status)
