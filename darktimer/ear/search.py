"""Finds every cue that may begin in a stretch of sound, without deciding between them.

Beginnings of pulses are looked for first; at each beginning every meaning is fitted.
"""

from collections.abc import Callable, Iterator
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from darktimer.ear.spectrum import FRAME_MS
from darktimer.ear.tones import Tones
from darktimer.ear.vocabulary import Vocabulary

Matrix = NDArray[np.float32]
Whole = NDArray[np.int64]

#: A beginning is looked at when a first pulse is this many deviations of the noise clear of it.
_PROMISING: Final = 3.5
#: A cue is believed when its energy is this many times the variance of the noise,
BELIEVED: Final = 64.0
#: and when it explains this share of what is heard while it lasts and just around it.
_EXPLAINS: Final = 0.45
#: How far the notes of a cue may be of unequal loudness: 0 not at all, 1 at will.
_FREEDOM: Final = 0.6
#: A pulse is there when it has this share of the amplitude that the whole cue has.
_LEAST_PULSE: Final = 0.12
#: Just around a cue.
AROUND_MS: Final = 150
#: Meanings of about one length kept for each beginning, and how far around it, in frames, the onset is sought.
_KEPT: Final = 3
_SOUGHT: Final = np.arange(-6.0, 7.0)
#: The same meaning cannot begin twice within so many frames.
_NEARBY: Final = 10


class Guess(NamedTuple):
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


def guesses(tones: Tones, words: Vocabulary, variance: float) -> list[Guess]:
    """Every believable cue that begins in the stretch, several for each beginning."""
    responses = words.responses(tones.clarity)
    starts = _beginnings(responses, words, variance)
    if not len(starts):
        return []
    explained = np.maximum(words.fits(responses, starts), 0) ** 2 / words.weights[:, None]
    heard = _heard(tones.strongest)
    share = explained / heard(starts, words.lengths_ms[:, None])
    possible = (share >= 0.8 * _EXPLAINS) & (explained >= 0.7 * BELIEVED * variance)
    rank = np.where(possible, explained * share, 0)
    found: list[Guess] = []
    for meaning, places in _best_of_each_length(rank, words):
        onsets = _climbed(words, responses, meaning, starts[places])
        energy, whole = _explained(words, responses, meaning, onsets)
        fit = energy / heard(onsets, words.lengths_ms[meaning])
        length = words.lengths_ms[meaning] / FRAME_MS
        for k in _highest(onsets, energy):
            if energy[k] >= BELIEVED * variance and fit[k] >= _EXPLAINS:
                begin, strength = float(onsets[k]), float(energy[k] / variance)
                found.append(
                    Guess(begin, begin + length, meaning, strength, float(fit[k]), bool(whole[k]))
                )
    return found


def _explained(
    words: Vocabulary, responses: Matrix, meaning: int, onsets: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """The energy that a meaning explains at each onset, and whether all of its pulses are there.

    Between a cue whose notes are all equally loud and one in which each note is as loud as it is
    heard: echoes and small speakers favour one note over another by 10 dB and more.
    """
    loud = words.amplitudes(responses, meaning, onsets)
    shares = words.shares(meaning)
    notes, weights = shares @ loud, shares.sum(axis=1)
    mean = notes.sum(axis=0) / weights.sum()
    equal = np.maximum(mean, 0) ** 2 * weights.sum()
    free = (np.maximum(notes, 0) ** 2 / weights[:, None]).sum(axis=0)
    return equal + _FREEDOM * (free - equal), loud.min(axis=0) > _LEAST_PULSE * mean


def _best_of_each_length(rank: Matrix, words: Vocabulary) -> Iterator[tuple[int, Whole]]:
    """Meanings, each with the beginnings at which it is among the best of about its length.

    Long numbers can fit a whole row of other cues a little; they must not crowd out short cues.
    """
    classes = np.log2(words.lengths_ms).astype(np.int64)
    for length in np.unique(classes):
        members = np.flatnonzero(classes == length)
        mine = rank[members]
        least = np.sort(mine, axis=0)[-_KEPT:][0]
        rows, columns = np.nonzero((mine > 0) & (mine >= least))
        for row in np.unique(rows):
            yield int(members[row]), columns[rows == row]


def _beginnings(responses: Matrix, words: Vocabulary, variance: float) -> NDArray[np.float64]:
    """Frames at which the response of an opening pulse is promising and highest nearby."""
    frames: list[Whole] = []
    for kind in words.openings:
        row = responses[kind]
        energy = float(words.envelopes[kind] @ words.envelopes[kind])
        inner = row[1:-1]
        peak = (inner >= row[:-2]) & (inner > row[2:])
        peak &= inner >= _PROMISING * (energy * variance) ** 0.5
        frames.append(np.flatnonzero(peak) + 1)
    return np.unique(np.concatenate(frames)).astype(np.float64)


def _heard(strongest: Matrix):
    total = np.concatenate(([0.0], np.cumsum(strongest, dtype=np.float64)))
    last = len(strongest)

    def between(starts, lengths_ms):
        first = np.clip(np.rint(starts - AROUND_MS / FRAME_MS), 0, last).astype(np.int64)
        end = np.clip(np.rint(starts + (lengths_ms + AROUND_MS) / FRAME_MS), 0, last)
        return np.maximum(total[end.astype(np.int64)] - total[first], 1.0)

    return between


def _climbed(
    words: Vocabulary, responses: Matrix, meaning: int, near: NDArray[np.float64]
) -> NDArray[np.float64]:
    """The onset near each start at which a meaning fits best."""
    sums = words.fit(responses, meaning, near[:, None] + _SOUGHT)
    best = np.clip(sums.argmax(axis=1), 1, len(_SOUGHT) - 2)
    rows = np.arange(len(near))
    low, mid, high = (sums[rows, best + k].astype(np.float64) for k in (-1, 0, 1))
    bend = np.minimum(low - 2 * mid + high, -1e-9)
    onsets: NDArray[np.float64] = near + _SOUGHT[best] + np.clip((low - high) / (2 * bend), -1, 1)
    return onsets


def _highest(onsets: NDArray[np.float64], energy: NDArray[np.float64]) -> Whole:
    """Which onsets have none with more energy close by."""
    kept: list[int] = []
    for index in np.argsort(-energy):
        if all(abs(onsets[index] - onsets[other]) > _NEARBY for other in kept):
            kept.append(int(index))
    return np.array(kept)
