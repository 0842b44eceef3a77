"""Each cue of a lesson as samples, alone or over tap noise."""

from darktimer.cues.cue_set import CueSet
from darktimer.cues.score import Score
from darktimer.cues.speaker import SPEAKERS
from darktimer.cues.tone import Samples
from darktimer.learn.tap import over_tap
from darktimer.process.timeline import Cue, Timeline

#: Before a cue, so that a speaker has woken up; after it, so that its end is not cut off.
_BEFORE_MS = 700
_AFTER_MS = 400


class Sounds:
    """The cues of a set at one rate. Noise follows from the seed, each time anew."""

    rate = 48_000

    def __init__(self, cue_set: CueSet, seed: int) -> None:
        self.seed = seed
        self._cue_set = cue_set
        self._noises = seed

    def alone(self, meaning: str) -> Samples:
        """A cue from its first frame to its last, and nothing else."""
        return self._made(meaning, "none", 0, 0)

    def quiet(self, meaning: str) -> Samples:
        """A cue with what a wired speaker needs before it."""
        return self._made(meaning, "wired", _BEFORE_MS, _AFTER_MS)

    def over_tap(self, meaning: str) -> Samples:
        """A cue in tap noise that is as loud as itself."""
        self._noises += 1
        return over_tap(self.alone(meaning), self.rate, self._noises)

    def _made(self, meaning: str, speaker: str, before_ms: int, after_ms: int) -> Samples:
        length_ms = self._cue_set.length_ms(meaning)
        cue = Cue(before_ms, length_ms, meaning, 0)
        end_ms = before_ms + length_ms + after_ms
        timeline = Timeline("", end_ms, (), (), (cue,), ())
        score = Score(timeline, self._cue_set, self.rate, SPEAKERS[speaker])
        return score.fill(0, score.frames)
