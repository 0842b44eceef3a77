"""What different speakers need beside the cues: a faint bed, and a soft sound before a cue.

Some speakers fall asleep after a few seconds of silence and then swallow the head of a cue. A
profile adds sound; it never moves a cue.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from darktimer.cues.tone import BED_PEAK, Samples, noise, quantised
from darktimer.units import frames

#: A speaker may be asleep when the sound before ended longer ago than this.
QUIET_MS: Final = 3000

_BED_MS: Final = 5000
_FALL_MS: Final = 20
_LEAD_PEAK: Final = 700  # -33 dBFS, before cues of so many LUFS
_LEAD_FOR: Final = -18.0
_SMOOTHING_HZ: Final = 2500


@dataclass(frozen=True, slots=True)
class Speaker:
    """A kind of speaker: the highest sample of its bed, and the length of its lead-in."""

    name: str
    says: str
    bed_peak: int
    lead_ms: int

    def bed(self, rate: int) -> Samples:
        """One period of the bed, five seconds; all zeros where there is none."""
        count = frames(_BED_MS, rate)
        if not self.bed_peak:
            return np.zeros(count, np.int16)
        return quantised(noise(count, seed=1) * self.bed_peak)

    def lead_in(self, rate: int, loudness: float) -> Samples:
        """Soft noise that swells and ends where a cue begins; empty where there is none.

        It is softer where the cues are, whose ``loudness`` is in LUFS.
        """
        count = frames(self.lead_ms, rate)
        if not count:
            return np.zeros(0, np.int16)
        smooth = np.hanning(rate // _SMOOTHING_HZ * 2 + 1)
        hiss = np.convolve(noise(count, seed=2), smooth, mode="same")
        fall = frames(_FALL_MS, rate)
        swell = np.arange(count) / count
        swell[count - fall :] *= np.linspace(1, 0, fall)
        wave = hiss * swell**2
        peak = _LEAD_PEAK * 10 ** ((loudness - _LEAD_FOR) / 20)
        return quantised(wave * (peak / np.abs(wave).max()))


SPEAKERS: Final = {
    speaker.name: speaker
    for speaker in (
        Speaker("none", "adds nothing: silence between cues is digital silence", 0, 0),
        Speaker(
            "wired",
            "adds a bed of faint noise, and half a second of soft noise before a cue that "
            "follows more than 3 s of quiet",
            BED_PEAK // 2,
            500,
        ),
        Speaker(
            "sleepy",
            "adds a bed of faint noise, and 1.2 s of soft noise before a cue that follows more "
            "than 3 s of quiet, for wireless speakers and those that switch themselves off",
            BED_PEAK,
            1200,
        ),
    )
}
