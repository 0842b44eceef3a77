"""Chooses, among the candidates, the sequence of cues that explains most of the sound."""

from typing import Final

import numpy as np

from darktimer.ear.search import BELIEVED, Candidate
from darktimer.ear.spectrum import FRAME_MS

#: What a cue must explain beyond this is its gain: a candidate at what noise explains by chance.
_COST: Final = BELIEVED / 2
#: Half a second lies between two cues; of closer ones the weaker loses this share.
_CLOSE: Final = 400 / FRAME_MS
_HARDLY_TWO: Final = 0.9
#: A cue that lacks a pulse counts for this share of what it explains.
_IN_PART: Final = 0.85
#: One whole cue that begins and ends, within so many frames, with a row of cues stands for them
#: all where it explains this share of what they do: echoes and small speakers favour one note over
#: another, so that parts of a cue, each with its own loudness, may explain more.
_SAME_PLACE: Final = 3.5
_AS_WELL: Final = 0.75
#: Two cues may overlap by so many frames, for echo and error.
_OVERLAP: Final = 3.0


def best_sequence(found: list[Candidate], longest_rest_ms: int) -> list[Candidate]:
    """The cues that do not overlap and together explain most, in order of time."""
    found = sorted(found)
    if not found:
        return []
    starts, ends, _, energy, _, whole = np.array(found, np.float64).T
    energy *= np.where(whole, 1, _IN_PART)
    totals = np.zeros(len(found))
    before = np.full(len(found), -1)
    for i in range(len(found)):
        gaps = starts[i] - ends[:i]
        loss = _HARDLY_TWO * np.minimum(energy[:i], energy[i])
        gain = totals[:i] - np.where(gaps < _CLOSE, loss, 0)
        gain[gaps < -_OVERLAP] = -np.inf
        if i and gain.max() > 0:
            before[i] = int(gain.argmax())
        totals[i] = energy[i] - _COST + max(0.0, gain.max(initial=0.0))
    chosen: list[Candidate] = []
    at = int(totals.argmax())
    while at >= 0:
        chosen.append(found[at])
        at = int(before[at])
    return _joined(chosen[::-1], found, longest_rest_ms * 1.1 / FRAME_MS)


def _joined(chosen: list[Candidate], found: list[Candidate], near: float) -> list[Candidate]:
    """Rows of parts exchanged for the longest cue that they are parts of."""
    row: list[Candidate] = []
    at = 0
    while at < len(chosen):
        last, whole = at, chosen[at]
        energy = whole.energy
        for end in range(at + 1, len(chosen)):
            if chosen[end].start - chosen[end - 1].end > near:
                break
            energy += chosen[end].energy
            if one := _one_for(chosen[at], chosen[end], energy, found):
                last, whole = end, one
        row.append(whole)
        at = last + 1
    return row


def _one_for(
    first: Candidate, last: Candidate, energy: float, found: list[Candidate]
) -> Candidate | None:
    """The cue that explains most of what a row of cues does, or None."""
    fitting = [
        candidate
        for candidate in found
        if candidate.whole
        and abs(candidate.start - first.start) < _SAME_PLACE
        and abs(candidate.end - last.end) < _SAME_PLACE
        and candidate.energy > _AS_WELL * energy
    ]
    return max(fitting, key=lambda candidate: candidate.energy, default=None)
