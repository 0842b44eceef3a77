"""Finds every cue that may begin in a stretch of sound, without deciding between them.

Beginnings of pulses are looked for first; at each beginning every meaning is fitted.
"""

from collections.abc import Iterator
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from darktimer.ear.bands import Reals
from darktimer.ear.fitting import Fit, Fitting
from darktimer.ear.spectrum import FRAME_MS, Matrix
from darktimer.ear.tones import Tones
from darktimer.ear.vocabulary import Vocabulary, Whole

#: A beginning is looked at when a landmark is this many deviations of the noise clear of it.
_PROMISING: Final = 3.5
#: A cue is believed when its energy is this many times the variance of the noise: noise alone
#: reaches 48 in two hours, and each 5 more comes about a third as often.
BELIEVED: Final = 64.0
#: and when it explains this share of what is heard while it lasts and just around it.
_EXPLAINS: Final = 0.55
#: A first look may fall short by so much of what a closer one must find.
_FIRST_LOOK: Final = 0.7
#: Meanings of about one length kept for each beginning.
_KEPT: Final = 3
#: The same meaning cannot begin twice within so many frames.
_NEARBY: Final = 10


class Candidate(NamedTuple):
    """A cue that may be there, in frames.

    ``energy`` is what it explains, in units of the variance of the noise, ``fit`` the share of all
    that is heard around it. ``whole`` is false where one of its pulses is not there.
    """

    start: float
    end: float
    meaning: int
    energy: float
    fit: float
    whole: bool


def candidates(tones: Tones, words: Vocabulary) -> list[Candidate]:
    """Every believable cue that begins in the stretch, several for each beginning."""
    fitting = Fitting(tones, words)
    starts = _beginnings(fitting.clearness, words)
    if not len(starts):
        return []
    energy, share = fitting.roughly(starts)
    possible = (share >= _FIRST_LOOK * _EXPLAINS) & (energy >= _FIRST_LOOK * BELIEVED)
    rank = np.where(possible, energy * share, 0)
    found: list[Candidate] = []
    for meaning, places in _best_of_each_length(rank, words.lengths_ms):
        fit = fitting.closely(meaning, starts[places])
        length = float(words.lengths_ms[meaning]) / FRAME_MS
        found += _believed(fit, meaning, length)
    return found


def _believed(fit: Fit, meaning: int, length: float) -> Iterator[Candidate]:
    for k in _highest(fit.onsets, fit.energy):
        start, energy, share = (float(column[k]) for column in fit[:3])
        if energy >= BELIEVED and share >= _EXPLAINS:
            whole = bool(fit.whole[k])
            yield Candidate(start, start + length, meaning, energy, share, whole)


def _beginnings(clearness: Matrix, words: Vocabulary) -> Reals:
    """Frames at which a cue may begin: a landmark is promising and clearest nearby."""
    starts: list[NDArray[np.floating]] = []
    for kind, at_ms in words.landmarks:
        row = clearness[kind]
        peak = (row[1:-1] >= row[:-2]) & (row[1:-1] > row[2:])
        peak &= row[1:-1] >= _PROMISING
        starts.append(np.flatnonzero(peak) + 1 - at_ms / FRAME_MS)
    return np.unique(np.concatenate(starts)).astype(np.float64)


def _best_of_each_length(rank: Matrix, lengths_ms: Whole) -> Iterator[tuple[int, Whole]]:
    """Meanings, each with the beginnings at which it is among the best of about its length.

    Long numbers can fit a whole row of other cues a little; they must not crowd out short cues.
    """
    classes = np.log2(lengths_ms).astype(np.int64)
    for length in np.unique(classes):
        members = np.flatnonzero(classes == length)
        mine = rank[members]
        least = np.sort(mine, axis=0)[-_KEPT:][0]
        kept: NDArray[np.bool_] = (mine > 0) & (mine >= least)
        for row in np.flatnonzero(kept.any(axis=1)):
            yield int(members[row]), np.flatnonzero(kept[row])


def _highest(onsets: Reals, energy: Reals) -> list[int]:
    """Which onsets have none with more energy close by."""
    kept: list[int] = []
    for index in np.argsort(-energy).tolist():
        if all(abs(onsets[index] - onsets[other]) > _NEARBY for other in kept):
            kept.append(index)
    return kept
