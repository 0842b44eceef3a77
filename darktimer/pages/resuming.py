"""Takes up a run that was cut off, or closes it; and the end that every run comes to."""

import sys
from collections.abc import Collection, Iterator
from contextlib import ExitStack, contextmanager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING

import click

from darktimer.errors import DarktimerError
from darktimer.output.speakers import Speakers

if TYPE_CHECKING:  # a run that is taken up again has no time for what it does not need
    from darktimer.cues.cue_set import CueSet
    from darktimer.journal.journal import Journal
    from darktimer.journal.runs import Run
    from darktimer.live.journal_writer import JournalWriter
    from darktimer.live.keyboard import Keyboard
    from darktimer.live.knocks import Knocks
    from darktimer.live.lights import Lights
    from darktimer.live.resume import CutOff
    from darktimer.live.session import Session

_ENDED_EARLY = 4


def take_up(
    speakers: Speakers, asked: Collection[str], as_json: bool, knocks: "Knocks | None"
) -> None:
    """Dark first; all that takes time comes after.

    Of the ``speakers`` those parts are taken that were ``asked`` for; else it is as it began.
    """
    from darktimer.live.journal_writer import JournalWriter
    from darktimer.live.keyboards import keyboard
    from darktimer.live.lights import Lights
    from darktimer.live.resume import cut_off

    with _alone() as (journal, run):
        found = cut_off(journal, run)
        writer = JournalWriter(journal, found.run.number)
        if found.warning and not (found.dark or as_json):
            _warn(found.warning)
        with keyboard() as keys:
            with Lights(log() if found.dark else None) as lights:
                lights.out()
                kept = {k: v for k, v in found.begun.get("speakers", {}).items() if k not in asked}
                speakers = speakers._replace(**kept)
                keys.knocks = _knocks(found, knocks)
                session = _led_on(found, writer, keys, lights, speakers, as_json)
            close(session, writer, as_json)


def _warn(warning: str) -> None:
    from darktimer.terminal.text import say

    say(f"Note: {warning}.")


def close_run() -> None:
    """Gives a run up that was cut off: it is closed in the journal, ended early."""
    with _alone() as (journal, run):
        journal.finish_run(run.number, "aborted", _ENDED_EARLY)
    click.echo(f"{run.title}: run {run.number} is closed in the journal, as ended early.")


@contextmanager
def _alone() -> Iterator[tuple["Journal", "Run"]]:
    """The journal and the run that was cut off, while no other process can lead that."""
    from darktimer.journal.folder import home
    from darktimer.journal.journal import Journal
    from darktimer.live.lock import leading

    journal = Journal.open()
    run = journal.unfinished_run()
    if run is None:
        raise _nothing()
    with leading(home(), run.number) as mine:
        if not mine:
            raise DarktimerError(
                f"{run.title}: run {run.number} is still going on in another process; "
                "it can be taken up, or given up, once that has ended"
            )
        if journal.run(run.number).state != "unfinished":  # it ended before the lock was had
            raise _nothing()
        yield journal, run


def _nothing() -> DarktimerError:
    return DarktimerError("no run was cut off; begin one with darktimer run PLAN")


def _led_on(
    found: "CutOff",
    writer: "JournalWriter",
    keys: "Keyboard",
    lights: "Lights",
    speakers: Speakers,
    as_json: bool,
) -> "Session":
    from darktimer.cues.score import Score
    from darktimer.cues.speaker_profiles import SPEAKERS
    from darktimer.live.awake import kept_awake
    from darktimer.live.conductor import Conductor
    from darktimer.live.gates import Waits
    from darktimer.live.resume import begin_ns
    from darktimer.live.session import Session
    from darktimer.output.clock import Clock
    from darktimer.output.speaker import SpeakerStream
    from darktimer.pages.lazy_view import LazyView

    clock, cue_set = Clock(), _cue_set(found.run.cue_set)
    waits = Waits.TRANSFERS if found.begun else Waits.LOADING  # of which those kept are left
    conductor = Conductor(found.timeline, cue_set, waits)
    line = Score(found.timeline, cue_set, speakers.rate, SPEAKERS[speakers.profile])
    stream = SpeakerStream(line, speakers, clock, begin_ns(found.origin, clock))
    session = Session(conductor, line, stream, keys, lights, writer, clock)
    with ExitStack() as held, LazyView(cue_set, silent=as_json) as watch:

        def start(session: Session) -> None:
            session.take_up(found)
            held.enter_context(keys.knocks or nullcontext())
            held.enter_context(kept_awake())  # which takes its time

        session.perform(start, watch, wait_for_device=True)
    return session


def _knocks(found: "CutOff", asked: "Knocks | None") -> "Knocks | None":
    """Those asked for now, else those that it began with; the person's own are the same."""
    kept = found.begun.get("knocks")
    if not (asked or kept):
        return None
    from darktimer.live.knocks import Knocks

    knocks = Knocks.taken_up(kept or {})
    knocks.name = asked.name if asked and asked.name else knocks.name
    return knocks


def _cue_set(name: str) -> "CueSet":
    """The set that the run began with, or, where that is gone, the shipped one."""
    from darktimer.cues.reader import load_cue_set

    try:
        return load_cue_set(name)
    except DarktimerError:
        return load_cue_set("standard")


def log() -> Path:
    """Where everything goes that anybody writes in the dark."""
    from darktimer.journal.folder import home

    return home() / "dark.log"


def close(session: "Session", writer: "JournalWriter", as_json: bool) -> None:
    """The journal's last word, the closing page, and the exit status."""
    from darktimer.pages.closing import closing_json, exit_status, print_closing
    from darktimer.terminal.text import not_shown, print_json

    session.end(exit_status(session, writer.troubles))
    status = exit_status(session, writer.troubles)
    try:
        if as_json:
            print_json(closing_json(session, writer.run, writer.troubles))
        else:
            print_closing(session, writer.run, writer.troubles)
        sys.stdout.flush()
    except OSError as error:  # the terminal may be gone; the run ended as it did all the same
        not_shown(error)
    if status:
        sys.exit(status)
