"""The speaker as a session needs it: its time, and what is already out of reach.

A brisk stream plays the same line with its quiet spans cut short, for rehearsals: every cue and
every countdown sounds at its true speed, and session time jumps over the quiet between them.
"""

from bisect import bisect_right
from typing import Final, NamedTuple

from darktimer.cues.score import Score
from darktimer.cues.tone import Samples
from darktimer.live.conductor import Conductor
from darktimer.output.speaker import SpeakerStream
from darktimer.output.trouble import Trouble
from darktimer.units import frames

#: Samples are taken while the row of cues is made anew, which takes 29 ms in a plan of a day.
_MARGIN_MS: Final = 50


class SteadyStream:
    """A speaker on which session time is real time."""

    def __init__(self, speaker: SpeakerStream) -> None:
        self._speaker = speaker

    def position_ms(self) -> int:
        """Session time now."""
        return self._speaker.position_ms()

    def heard_ms(self) -> int:
        """Session time up to which all was heard, or `trouble` tells of it."""
        return self._speaker.heard_ms()

    def filled_ms(self) -> int:
        """Session time up to which nothing can be changed any more."""
        return self.reach_ms()

    def reach_ms(self) -> int:
        """The same in the speaker's own time: a block may be handed over at any moment."""
        position_ms, filled_ms = self._speaker.position_ms(), self._speaker.filled_ms()
        playing = self._speaker.playing or filled_ms > position_ms  # which shows there first
        soon_ms = position_ms + self._speaker.buffer_ms * playing
        return max(soon_ms, filled_ms) + _MARGIN_MS

    def trouble(self) -> list[Trouble]:
        """What went wrong, or right again, since the last call."""
        return self._speaker.trouble()


class _Jump(NamedTuple):
    """From the frame ``played`` of the speaker on, the line is played from the frame ``line``."""

    played: int
    line: int


class BriskSound:
    """A line whose long quiet spans are jumped over, as it is asked for.

    ``frames`` is the line's own number; the sound ends sooner, by the quiet that is left out.
    """

    #: Quiet longer than this is cut short to what is left of it before the next sound.
    QUIET_MS: Final = 2_500
    LEFT_MS: Final = 700
    #: The quiet after a sound that is never cut, so that a key pressed at once finds it there.
    AFTER_MS: Final = 500

    def __init__(self, line: Score, conductor: Conductor, from_ms: int) -> None:
        self.rate = line.rate
        self.frames = line.frames
        self._line = line
        self._conductor = conductor
        self._jumps = [_Jump(0, frames(from_ms, line.rate))]
        self._asked = 0

    def fill(self, start: int, count: int) -> Samples:
        """``count`` samples from the speaker's frame ``start``; a jump falls between two calls."""
        if start >= self._asked:
            self._asked = start
            self._jump_from(start)
        return self._line.fill(self.line_frame(start), count)

    def cuts(self) -> tuple[int, int]:
        """No cuts within: what is quiet shows only as it is played."""
        return 0, self.frames

    def line_frame(self, played: int) -> int:
        """The line's frame that is played at a frame of the speaker."""
        jumps = self._jumps
        jump = jumps[max(0, bisect_right(jumps, played, key=lambda each: each.played) - 1)]
        return jump.line + played - jump.played

    def _jump_from(self, played: int) -> None:
        now_ms = self.line_frame(played) * 1000 // self.rate
        to_ms = self._quiet_until(now_ms)
        if to_ms is not None and to_ms - self.LEFT_MS > now_ms:
            line = frames(to_ms - self.LEFT_MS, self.rate)
            self._jumps.append(_Jump(played, line))

    def _quiet_until(self, now_ms: int) -> int | None:
        """The next sound, or stop, if it is far and the sound before it is well over."""
        state = self._conductor.state  # read once: it may be followed by another at any time
        if now_ms < 0 or state.waits(now_ms):
            return None
        stops_ms, cues = state.course.stops_ms, state.cues
        last_ms = max((c.end_ms for c in cues if c.at_ms <= now_ms), default=0)
        following = [c.at_ms for c in cues if c.at_ms > now_ms]
        following += [] if stops_ms is None else [stops_ms]
        if not following or now_ms < last_ms + self.AFTER_MS:
            return None
        return min(following) if min(following) - last_ms > self.QUIET_MS else None


class BriskStream(SteadyStream):
    """A speaker on which session time jumps over the quiet."""

    def __init__(self, speaker: SpeakerStream, sound: BriskSound) -> None:
        super().__init__(speaker)
        self._sound = sound

    def position_ms(self) -> int:
        """Session time now."""
        return self._line_ms(super().position_ms())

    def heard_ms(self) -> int:
        """Session time up to which all was heard, or `trouble` tells of it."""
        return self._line_ms(super().heard_ms())

    def filled_ms(self) -> int:
        """Session time up to which nothing can be changed any more."""
        return self._line_ms(self.reach_ms())

    def trouble(self) -> list[Trouble]:
        """What went wrong, or right again, since the last call."""
        return [t._replace(at_ms=self._line_ms(t.at_ms)) for t in super().trouble()]

    def _line_ms(self, played_ms: int) -> int:
        frame = self._sound.line_frame(frames(played_ms, self._sound.rate))
        return frame * 1000 // self._sound.rate
