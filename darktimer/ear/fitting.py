"""How well a meaning fits what is heard from a moment on.

A cue explains energy as a sum of its pulses, all as loud as the set wants them; but echoes and
small speakers favour one note over another by 10 dB and more, so the loudness of the notes is
allowed for as far as the recording shows it, and may differ somewhat in each cue besides.
"""

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from darktimer.ear.bands import Reals
from darktimer.ear.spectrum import FRAME_MS, Matrix
from darktimer.ear.tones import Tones
from darktimer.ear.vocabulary import Vocabulary

#: How far around a beginning, in frames, the onset is sought.
_SOUGHT: Final = np.arange(-6.0, 7.0)
#: How far the notes of a cue may be of unequal loudness: 0 not at all, 1 at will.
_FREEDOM: Final = 0.6
#: A pulse is there when it has this share of the amplitude that the whole cue has.
_LEAST_PULSE: Final = 0.12
#: or would have, were the noise this many deviations kinder.
_DEVIATIONS: Final = 1.5
#: No note is taken to be weaker than this against the clearest one, and how far that is believed.
_LEAST_GAIN: Final = 0.1
_BELIEF: Final = 0.8
#: What is heard this long before and after a cue counts against it.
AROUND_MS: Final = 150


class Fit(NamedTuple):
    """How a meaning fits at S onsets, in frames, each near the one that was asked for.

    ``energy`` is what it explains, in units of the variance of the noise, ``share`` its share of
    all that is heard around it, ``whole`` whether every pulse is there.
    """

    onsets: Reals
    energy: Reals
    share: Reals
    whole: NDArray[np.bool_]


class Fitting:
    """A stretch of sound that meanings can be fitted to."""

    def __init__(self, tones: Tones, words: Vocabulary) -> None:
        self._words = words
        responses = words.responses(tones.clarity * tones.reach)
        hidden = words.responses(1 - tones.reach**2, exponent=2)
        due = np.array(words.energies, np.float32)[:, None] - hidden
        #: How clearly each kind of pulse begins at each frame (kinds, T), in deviations of noise.
        self.clearness: Matrix = responses / np.sqrt(due * np.float32(words.variance))
        self._gains = _gains(responses, words, len(tones.clarity))
        notes = [kind.note for kind in words.kinds]
        gains = self._gains[notes, None].astype(np.float32)
        self._scaled: Matrix = responses * gains
        #: What the noise of the moment hides of the energy of each kind of pulse: (kinds, T).
        self._hidden: Matrix = hidden * gains**2
        self._weights = (words.note_energies @ self._gains**2).astype(np.float32)
        self._heard = np.concatenate(([0.0], np.cumsum(tones.strongest, dtype=np.float64)))

    def roughly(self, starts: Reals) -> tuple[Matrix, Matrix]:
        """The energy that each of M meanings explains from S starts, and its share: (M, S)."""
        sums = self._words.sums(self._scaled, starts)
        due = self._weights[:, None] - self._words.sums(self._hidden, starts, 2)
        energy = (np.maximum(sums, 0) ** 2 / due).astype(np.float32)
        heard = self._heard_around(starts, self._words.lengths_ms[:, None])
        return energy / self._words.variance, (energy / heard).astype(np.float32)

    def closely(self, meaning: int, starts: Reals) -> Fit:
        """The best onset near each start."""
        onsets = self._climbed(meaning, starts)
        pulses = self._words.pulses(self._scaled, meaning, onsets)
        shares = self._words.pulse_energies[meaning] * self._gains[:, None] ** 2
        shares = shares[shares.any(axis=1)]
        hidden = self._words.pulses(self._hidden, meaning, onsets, 2)
        expected = shares.sum(axis=0)[:, None] - hidden
        notes, weights = (shares > 0) @ pulses, (shares > 0) @ expected
        mean = notes.sum(axis=0) / weights.sum(axis=0)
        equal = np.maximum(mean, 0) ** 2 * weights.sum(axis=0)
        free = (np.maximum(notes, 0) ** 2 / weights).sum(axis=0)
        energy = equal + _FREEDOM * (free - equal)
        deviation = _DEVIATIONS * (expected * self._words.variance) ** 0.5
        return Fit(
            onsets=onsets,
            energy=energy / self._words.variance,
            share=energy / self._heard_around(onsets, self._words.lengths_ms[meaning]),
            whole=(pulses + deviation > _LEAST_PULSE * mean * expected).all(axis=0),
        )

    def _climbed(self, meaning: int, near: Reals) -> Reals:
        sums = self._words.pulses(self._scaled, meaning, near[:, None] + _SOUGHT).sum(axis=0)
        best = np.clip(sums.argmax(axis=1), 1, len(_SOUGHT) - 2)
        low, mid, high = (sums[np.arange(len(near)), best + k] for k in (-1, 0, 1))
        bend = np.minimum(low - 2 * mid + high, -1e-9)
        onsets: Reals = near + _SOUGHT[best] + np.clip((low - high) / (2 * bend), -1, 1)
        return onsets

    def _heard_around(self, starts: Reals, lengths_ms: NDArray[np.int64]) -> Reals:
        """All that is heard of any note while a cue lasts and just around it."""
        last = len(self._heard) - 1
        first = np.clip(np.rint(starts - AROUND_MS / FRAME_MS), 0, last)
        end = np.clip(np.rint(starts + (lengths_ms + AROUND_MS) / FRAME_MS), 0, last)
        heard = self._heard[end.astype(np.int64)] - self._heard[first.astype(np.int64)]
        return np.asarray(np.maximum(heard, 1.0))


def _gains(responses: Matrix, words: Vocabulary, notes: int) -> Reals:
    """How loud each note comes out of this room against the clearest one, by its best pulse."""
    best = np.zeros(notes)
    for row, kind, energy in zip(responses, words.kinds, words.energies, strict=True):
        best[kind.note] = max(best[kind.note], float(row.max()) / energy)
    gains: Reals = np.maximum(best / max(float(best.max()), 1e-9), _LEAST_GAIN) ** _BELIEF
    return gains
