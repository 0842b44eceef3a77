"""Which pulses of a cue are missing, although the noise would have let them be heard.

Noise that hides a pulse fills its bands itself. So a pulse is missing where each of its bands that
the noise leaves open holds next to nothing of what the same note left there elsewhere in the
recording. Long pulses are looked at in slices, since a speaker may swallow no more than a head.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from darktimer.ear.bands import Reals
from darktimer.ear.spectrum import FRAME_MS, Matrix
from darktimer.ear.tones import Tones
from darktimer.ear.vocabulary import Vocabulary, Whole

#: The shortest slice, a little more than half of what a sleepy speaker swallows.
_SLICE_MS: Final = 60
#: A band is open where the noise is 15 dB below what is due: by chance it then neither adds nor
#: takes away enough to matter.
_OPEN: Final = 10**-1.5
#: As one partial alone may be cancelled by an echo, or dropped by a codec.
_FEWEST_BANDS: Final = 2
#: Less than this share of the power that is due is nothing.
_NOTHING: Final = 0.1
#: and a cue with less than this share of it as a whole is much softer than its notes are elsewhere.
_SOFT: Final = 0.2


@dataclass(frozen=True)
class Slices:
    """A cue cut into S slices: the pulse and the note of each, its power, and its middle in frames.

    The power is that of the pulse against one as loud as the set.
    """

    pulse: Whole
    note: Whole
    power: Reals
    middle: Reals
    reach: Whole


@dataclass(frozen=True, eq=False, repr=False)
class Pulses:
    """What the B bands held in the middle of each slice of a cue: power and noise, (S, B)."""

    slices: Slices
    power: Matrix
    noise: Matrix

    @cached_property
    def gains(self) -> Matrix:
        """What is heard of each slice, against the power with which it was played (S, B)."""
        return np.asarray(self._heard / self.slices.power[:, None])

    @cached_property
    def _heard(self) -> Matrix:
        return np.asarray(np.maximum(self.power - self.noise, 0))

    def soft(self, usual: Reals) -> bool:
        """Whether the cue is much softer than ``usual`` gains (N, B) would have it.

        Not where the noise leaves too little open, or nothing is known.
        """
        due = self._due(usual)
        is_open = self.noise < _OPEN * due
        if is_open.sum() < _FEWEST_BANDS:
            return False
        return bool(self._heard[is_open].sum() < _SOFT * due[is_open].sum())

    def missing(self, usual: Reals) -> tuple[float, ...]:
        """The share of each pulse that is missing, where ``usual`` gains (N, B) are known."""
        due = self._due(usual)
        shares, _ = self._shares(due)
        loudest = min(1.0, float(shares.max()))
        if loudest >= _NOTHING:  # of a cue that is softer as a whole nothing is missing
            due = due * loudest
        shares, seen = self._shares(due)
        gone = seen & (shares < _NOTHING)
        return tuple(
            float(gone[self.slices.pulse == number].mean())
            for number in range(self.slices.pulse[-1] + 1)
        )

    def _due(self, usual: Reals) -> Reals:
        return np.asarray(usual[self.slices.note] * self.slices.power[:, None])

    def _shares(self, due: Reals) -> tuple[Reals, NDArray[np.bool_]]:
        """Of each slice the best share of a band in what is due there, and if enough are open."""
        is_open = self.noise < _OPEN * due
        shares = np.where(is_open, self.power / np.maximum(due, 1e-30), 0).max(axis=1)
        return shares, is_open.sum(axis=1) >= _FEWEST_BANDS


def slices_of(words: Vocabulary, meaning: int) -> Slices:
    """The slices of a meaning of the vocabulary."""
    rows = []
    for number, beat in enumerate(words.paths[meaning]):
        note, length_ms = words.kinds[beat.kind]
        count = max(1, length_ms // _SLICE_MS)
        length = length_ms / count / FRAME_MS
        for k in range(count):
            middle = beat.at_ms / FRAME_MS + (k + 0.5) * length
            rows.append((number, note, beat.amplitude**2, middle, length // 4))
    pulse, note, power, middle, reach = np.array(rows).T
    whole = (column.astype(np.int64) for column in (pulse, note, reach))
    pulses, notes, reaches = whole
    return Slices(pulses, notes, power, middle, reaches)


def pulses_at(start: float, slices: Slices, tones: Tones, shapes: Reals) -> Pulses:
    """The pulses of a cue that begins at a frame; ``shapes`` (N, B) tell the bands of a note.

    Where the sound had not begun, or had ended, nothing is known, as in endless noise.
    """
    last = tones.power.shape[1] - 1
    middle = np.rint(start + slices.middle).astype(np.int64)
    reach = int(slices.reach.max())
    around = np.clip(np.arange(-reach, reach + 1), -slices.reach[:, None], slices.reach[:, None])
    frames = np.clip(middle[:, None] + around, 0, last)
    mine = shapes[slices.note] > 0
    power = tones.power[:, frames].max(axis=2).T * mine
    known = (middle >= 0) & (middle <= last)
    noise = np.where(known[:, None], tones.noise[:, frames].mean(axis=2).T, np.inf)
    return Pulses(slices, power, noise)


def usual_gains(heard: Sequence[Pulses], shapes: Reals) -> Reals:
    """How strongly each note comes through in each band (N, B); 0 where nothing is known."""
    usual = np.zeros(shapes.shape)
    if not heard:
        return usual
    notes = np.concatenate([one.slices.note for one in heard])
    gains = np.concatenate([one.gains for one in heard])
    for note in np.unique(notes):
        usual[note] = np.median(gains[notes == note], axis=0)
    return usual
