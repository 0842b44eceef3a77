"""Cues as samples, alone, in the quiet or over tap noise."""

from typing import Final

from darktimer.cues.cue_set import CueSet
from darktimer.cues.demonstration import in_a_row
from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.cues.tone import Samples
from darktimer.learn.tap import over_tap

#: Before a cue, so that a speaker has woken up; after it, so that its end is not cut off.
BEFORE_MS: Final = 700
_AFTER_MS: Final = 400


class Sounds:
    """The cues of a set at one rate. Noise follows from the seed."""

    rate = 48_000

    def __init__(self, cue_set: CueSet, seed: int) -> None:
        self.seed = seed
        self._cue_set = cue_set
        self._noises = seed

    def alone(self, meaning: str) -> Samples:
        """From the first frame of a cue to its last, and nothing else."""
        return self._made(meaning, "none", 0, 0)

    def quiet(self, meaning: str) -> Samples:
        """With what a wired speaker needs before it."""
        return self._made(meaning, "wired", BEFORE_MS, _AFTER_MS)

    def over_tap(self, meaning: str) -> Samples:
        """In tap noise, other each time, that is as loud as the cue."""
        self._noises += 1
        return over_tap(self.alone(meaning), self.rate, self._noises)

    def _made(self, meaning: str, speaker: str, before_ms: int, after_ms: int) -> Samples:
        timeline = in_a_row(self._cue_set, [meaning], before_ms, 0, after_ms)
        score = Score(timeline, self._cue_set, self.rate, SPEAKERS[speaker])
        return score.fill(0, score.frames)
