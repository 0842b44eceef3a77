"""A run put together and played: line, speaker, screen and session, taken down on every way out.

Knows the parts, not what is decided in them; prints nothing.
"""

import gc
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import NamedTuple

from darktimer.cues.cue_set import CueSet
from darktimer.cues.score import Score
from darktimer.cues.speaker import SPEAKERS
from darktimer.live.answers import here
from darktimer.live.conductor import Conductor
from darktimer.live.keyboard import Keyboard
from darktimer.live.lights import Lights
from darktimer.live.scribe import Scribe
from darktimer.live.session import Session
from darktimer.output.clock import Clock
from darktimer.output.protocol import Sound
from darktimer.output.speaker import SpeakerStream, lead_ms
from darktimer.process import meanings


class Speakers(NamedTuple):
    """Which speaker is played on, with how much sound handed over ahead, and at what rate."""

    profile: str
    name: str | None
    second_choice: str | None
    buffer_ms: int
    rate: int

    @property
    def lead_ms(self) -> int:
        """How long before its first frame a stream is to be started."""
        return lead_ms(self.buffer_ms)

    def stream(self, sound: Sound, clock: Clock, begin_ns: int) -> SpeakerStream:
        """A stream on which frame 0 is heard at ``begin_ns`` of the boot clock; not started."""
        return SpeakerStream(
            sound,
            device=self.name,
            second_choice=self.second_choice,
            buffer_ms=self.buffer_ms,
            clock=clock,
            begin_ns=begin_ns,
        )

    def line(self, conductor: Conductor, cue_set: CueSet) -> Score:
        """The line of a run, with every answer's sound made before it is wanted."""
        timeline = conductor.timeline
        line = Score(timeline, cue_set, self.rate, SPEAKERS[self.profile])
        line.prepare([*meanings.SINGLE, *map(here, meanings.STEP_KINDS)])
        return line


@dataclass(frozen=True, slots=True)
class Stage:
    """What a run is played with. ``begin_ns`` is the boot clock at the session's first moment.

    A ``patient`` stage begins without a speaker and finds one on the way.
    """

    speakers: Speakers
    keyboard: Keyboard
    screen: Lights
    scribe: Scribe
    clock: Clock
    begin_ns: int
    patient: bool = False

    def perform(
        self,
        conductor: Conductor,
        cue_set: CueSet,
        start: Callable[[Session], None],
        watch: Callable[[Session], None],
    ) -> Session:
        """Plays a run to its end. Raises `OutputError` where there is no speaker to begin with.

        ``start`` is called when all is dark, ``watch`` again and again while it is not.
        """
        line = self.speakers.line(conductor, cue_set)
        stream = self.speakers.stream(line, self.clock, self.begin_ns)
        parts = (self.keyboard, self.screen, self.scribe, self.clock)
        session = Session(conductor, line, stream, *parts)
        try:
            stream.start(patient=self.patient)
            with _undisturbed():
                self.screen.out()
                start(session)
                session.run(watch)
        finally:
            stream.close()
        return session


@contextmanager
def _undisturbed() -> Iterator[None]:
    """No pauses by the collector, which in a run of minutes has nothing to collect."""
    gc.collect()
    gc.freeze()
    gc.disable()
    try:
        yield
    finally:
        gc.enable()
        gc.unfreeze()
