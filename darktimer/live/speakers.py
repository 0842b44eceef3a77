"""Which speaker a run plays on, and what it plays there. Light to load: a run is dark before."""

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from darktimer.cues.cue_set import CueSet
    from darktimer.cues.score import Score
    from darktimer.output.clock import Clock
    from darktimer.output.protocol import Sound
    from darktimer.output.speaker import SpeakerStream
    from darktimer.process.timeline import Timeline


class Speakers(NamedTuple):
    """Which speakers are played on, with how much sound handed over ahead, and at what rate."""

    profile: str
    name: str | None
    second_choice: str | None
    buffer_ms: int
    rate: int

    @property
    def lead_ms(self) -> int:
        """How long before its first frame a stream is to be started."""
        from darktimer.output.speaker import lead_ms

        return lead_ms(self.buffer_ms)

    def stream(self, sound: "Sound", clock: "Clock", begin_ns: int) -> "SpeakerStream":
        """A stream on which frame 0 is heard at ``begin_ns`` of the boot clock; not started."""
        from darktimer.output.speaker import SpeakerStream

        return SpeakerStream(
            sound,
            device=self.name,
            second_choice=self.second_choice,
            buffer_ms=self.buffer_ms,
            clock=clock,
            begin_ns=begin_ns,
        )

    def line(self, timeline: "Timeline", cue_set: "CueSet") -> "Score":
        """The line that a timeline's cues are played from."""
        from darktimer.cues.score import Score
        from darktimer.cues.speaker import SPEAKERS

        return Score(timeline, cue_set, self.rate, SPEAKERS[self.profile])
