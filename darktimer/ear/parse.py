"""Chooses, among cues that may be there, the row of cues that explains most of the sound."""

from typing import Final

import numpy as np

from darktimer.ear.search import BELIEVED, Guess
from darktimer.ear.spectrum import FRAME_MS

#: What a cue must explain beyond this is its gain: a guess at what noise explains by chance.
_COST: Final = BELIEVED / 2
#: Cues closer than the longest rest inside a cue are rather one; this share of the weaker is lost.
_RATHER_ONE: Final = 0.15
#: Two cues may overlap by so many frames, for echo and error.
_OVERLAP: Final = 3.0


def best_row(found: list[Guess], longest_rest_ms: int) -> list[Guess]:
    """The cues that do not overlap and together explain most, in order of time."""
    found = sorted(found)
    if not found:
        return []
    starts, ends, _, energy, _ = np.array(found, np.float64).T
    near = longest_rest_ms * 1.1 / FRAME_MS
    totals = np.zeros(len(found))
    before = np.full(len(found), -1)
    for i in range(len(found)):
        gaps = starts[i] - ends[:i]
        loss = _RATHER_ONE * np.minimum(energy[:i], energy[i])
        gain = np.where(gaps < -_OVERLAP, -np.inf, totals[:i] - np.where(gaps < near, loss, 0))
        if i and gain.max() > 0:
            before[i] = int(gain.argmax())
        totals[i] = energy[i] - _COST + max(0.0, gain.max(initial=0.0))
    chosen: list[Guess] = []
    at = int(totals.argmax())
    while at >= 0:
        chosen.append(found[at])
        at = int(before[at])
    return chosen[::-1]
