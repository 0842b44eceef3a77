"""A live run from the first page to the last: in the light, in the dark, and what came of it."""

from typing import TYPE_CHECKING

from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.errors import DarktimerError, OutputError
from darktimer.journal.clocks import read_clocks
from darktimer.journal.folder import home
from darktimer.journal.journal import Journal
from darktimer.journal.start import about_to_start
from darktimer.live.awake import kept_awake
from darktimer.live.conductor import Conductor
from darktimer.live.display import display_words
from darktimer.live.gates import waits_of
from darktimer.live.journal_writer import JournalWriter
from darktimer.live.keyboard import Keyboard
from darktimer.live.lights import Lights
from darktimer.live.lock import leading
from darktimer.live.session import Session
from darktimer.live.trial import Trial
from darktimer.output.clock import Clock
from darktimer.output.player import Player
from darktimer.output.speaker import SpeakerStream
from darktimer.output.speakers import Speakers
from darktimer.pages.controls import controls
from darktimer.pages.lazy_view import LazyView
from darktimer.pages.overview import unfinished
from darktimer.pages.pager import Pager
from darktimer.pages.resuming import close, log
from darktimer.prepare.prepared import Prepared
from darktimer.terminal.text import complain

if TYPE_CHECKING:
    from darktimer.live.knocks import Knocks


def lead(
    prepared: Prepared,
    cue_set_name: str,
    speakers: Speakers,
    gates: bool | None,
    start_in_ms: int | None,
    as_json: bool,
    knocks: "Knocks | None",
) -> None:
    """Pages and a trial in the light, the run in the dark, the closing page."""
    cue_set, clock = prepared.cue_set, Clock()
    dark = any(step.dark for step in prepared.timeline.steps)
    with kept_awake() as sleepy, controls(knocks) as keys:
        if keys.gone and start_in_ms is None:
            raise DarktimerError(
                "there are no keys here to begin with; say when to begin: --start-in"
            )
        conductor = Conductor(prepared.timeline, cue_set, waits_of(False if keys.silent else gates))
        if knocks:
            knocks.prove()
        if speakers.second_choice:  # it plays in the dark when the first is lost
            with Player(speakers._replace(name=speakers.second_choice, second_choice=None)):
                pass
        with Trial(cue_set, speakers) as trial:  # no speaker: said before anybody reads pages
            pages = Pager(keys, start_in_ms)
            if as_json:
                pages.wait(start_in_ms or 0, trial)
            else:
                pages.turn(prepared, trial, machine_warnings(sleepy, keys))
        begin_ns = (clock.boot_ns() // 1_000_000 + speakers.lead_ms) * 1_000_000
        writer = _writer(prepared, cue_set_name, begin_ns)
        with leading(home(), writer.run) as mine:
            if writer.run and not mine:
                raise DarktimerError(
                    f"run {writer.run} was taken up by another process; begin anew"
                )
            lights = Lights(log() if dark else None)
            with lights, LazyView(cue_set, silent=as_json) as watch:
                line = Score(prepared.timeline, cue_set, speakers.rate, SPEAKERS[speakers.profile])
                stream = SpeakerStream(line, speakers, clock, begin_ns)
                session = Session(conductor, line, stream, keys, lights, writer, clock)
                begun = {"speakers": speakers._asdict(), "knocks": knocks and knocks.kept()}
                try:
                    session.perform(lambda run: run.begin(**begun), watch)
                except OutputError:  # no speaker to begin with: it could not be taken up
                    writer.finish(aborted=True, exit_status=1)
                    raise
            close(session, writer, as_json)


def machine_warnings(sleepy: str, keys: Keyboard) -> list[str]:
    """What a person must know of this machine before the lights go out."""
    warnings = [sleepy] if sleepy else []
    warnings.append(display_words())
    if keys.gone:
        waits = "nowhere" if keys.silent else "for knocks alone"
        warnings.append(f"there are no keys here: the plan waits {waits}")
    if run := unfinished():
        found = f"run {run.number}, {run.title}, has not ended: darktimer run --resume takes it up"
        warnings.append(found)
    return warnings


def _writer(prepared: Prepared, cue_set_name: str, begin_ns: int) -> JournalWriter:
    """The run in the journal; a journal that cannot be kept stops no run."""
    ahead_ms = (begin_ns - Clock().boot_ns()) // 1_000_000
    started = read_clocks().ahead(ahead_ms, begin_ns // 1_000_000)
    try:
        journal = Journal.open()
        for notice in journal.notices:
            complain(notice)
        start = about_to_start(prepared.file, cue_set_name, prepared.timeline, started)
        return JournalWriter(journal, journal.begin_run(start))
    except DarktimerError as error:
        writer = JournalWriter(None)
        writer.troubles.append(str(error))
        return writer
