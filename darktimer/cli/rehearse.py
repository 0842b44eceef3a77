"""``darktimer rehearse``: the same run with the screen on."""

from typing import TYPE_CHECKING

import click

from darktimer.cli.live_options import live_options
from darktimer.cli.options import json_option, with_plan
from darktimer.cues.cue_set import CueSet
from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.live.conductor import Conductor
from darktimer.live.gates import waits_of
from darktimer.live.journal_writer import JournalWriter
from darktimer.live.lights import Lights
from darktimer.live.session import Session
from darktimer.output.clock import Clock
from darktimer.output.speaker import SpeakerStream
from darktimer.output.speakers import Speakers
from darktimer.pages.controls import controls
from darktimer.pages.key_delays import presses, print_presses
from darktimer.pages.lazy_view import LazyView
from darktimer.prepare.prepared import Prepared
from darktimer.process.named import steps_named
from darktimer.terminal.text import print_json

if TYPE_CHECKING:
    from darktimer.live.knocks import Knocks

#: A rehearsal from a step begins so long before it.
_RUN_UP_MS = 5_000


@click.command("rehearse")
@with_plan
@live_options
@click.option(
    "--brisk",
    "skip_silence",
    is_flag=True,
    help="Cut the quiet between sounds short; no sound itself.",
)
@click.option("--from", "from_step", metavar="STEP", help="Begin at a step, by name or number.")
@click.option("--plain", is_flag=True, help="Only ever add lines, as screen readers like it.")
@json_option
def command(
    prepared: Prepared,
    gates: bool | None,
    speakers: Speakers,
    knocks: "Knocks | None",
    skip_silence: bool,
    from_step: str | None,
    plain: bool,
    as_json: bool,
) -> None:
    """Go through PLAN in daylight, with every sound and both keys as in the dark.

    Shows where you are, what the hands do now, what comes next, and what each sound means. Ctrl-C
    ends it. At the end it tells how late each key press was.

    \b
    Example:
      darktimer rehearse open-tub-half-agitation --brisk
      darktimer rehearse my-plan.yaml --from develop
    """
    cue_set = prepared.cue_set
    conductor = Conductor(prepared.timeline, cue_set, waits_of(gates), skip_silence=skip_silence)
    from_ms = _begin_at(conductor, from_step) if from_step else 0
    watch = LazyView(cue_set, silent=as_json, plain=plain)
    session = _rehearse(conductor, cue_set, speakers, knocks, from_ms, watch)
    pressed = list(presses(session))
    if as_json:
        print_json([press._asdict() for press in pressed])
    else:
        print_presses(session, pressed)


def _begin_at(conductor: Conductor, name: str) -> int:
    """The moment a rehearsal from a step begins; gates before it are left behind."""
    timeline = conductor.timeline
    start_ms = timeline.steps[steps_named(timeline, name)[0]].start_ms
    conductor.leave_gates_before(start_ms)
    return max(0, start_ms - _RUN_UP_MS)


def _rehearse(
    conductor: Conductor,
    cue_set: CueSet,
    speakers: Speakers,
    knocks: "Knocks | None",
    from_ms: int,
    watch: LazyView,
) -> Session:
    clock = Clock()
    with controls(knocks) as keys, watch:
        if knocks:
            knocks.prove()
        begin_ns = clock.boot_ns() + (speakers.lead_ms - from_ms) * 1_000_000
        line = Score(conductor.timeline, cue_set, speakers.rate, SPEAKERS[speakers.profile])
        stream = SpeakerStream(line, speakers, clock, begin_ns)
        session = Session(conductor, line, stream, keys, Lights(None), JournalWriter(None), clock)
        session.perform(lambda _: None, watch)
    return session
