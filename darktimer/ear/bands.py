"""Which narrow bands to listen in: every partial of the set's notes, and quiet places between them.

A quiet place is a frequency that no partial comes near; what is heard there is noise, and tells how
much noise there is in the bands beside it at the same moment.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from darktimer.cues.cue_set import CueSet, Pulse
from darktimer.cues.margins import gaps_ms

Reals = NDArray[np.float64]

#: A Hann window resolves partials this many widths of 1/length apart, and no less.
_SAME: Final = 0.75
#: The same, for a place where the partial is more than 40 dB down.
_CLEAR: Final = 2.95
#: How many quiet places stand for the noise in a band.
_BESIDE: Final = 4


@dataclass(frozen=True, eq=False)
class Bands:
    """The bands that a set needs at a rate.

    ``window_ms`` is the length of the analysis window: as long as the shortest pulse or gap, so
    that no gap is bridged. ``hertz`` holds the B bands, ``quiet`` the Q quiet places, ``beside``
    (B, Q) the weights that average quiet places into the noise of a band. ``shapes`` (N, B) has a
    row of length 1 for each of the ``notes``: how a note spreads over the bands.
    """

    window_ms: float
    notes: tuple[float, ...]
    hertz: Reals
    quiet: Reals
    beside: Reals
    shapes: Reals

    @property
    def width_hertz(self) -> float:
        """The equivalent noise bandwidth of the Hann window."""
        return 1500 / self.window_ms

    @cached_property
    def third_octaves(self) -> Reals:
        """How much more noise a third of an octave around each band holds than the band (B,)."""
        return np.asarray((2 ** (1 / 6) - 2 ** (-1 / 6)) * self.hertz / self.width_hertz)

    def powers_of(self, notes: NDArray[np.float32]) -> NDArray[np.float32]:
        """The power in each band (B, T) of notes of such power (N, T)."""
        shares = self.shapes.T**4  # since shapes are roots of amplitudes
        return np.asarray(shares.astype(np.float32) @ notes)


def bands_of(cue_set: CueSet, rate: int) -> Bands:
    """The bands of every note of ``cue_set`` that a recording at ``rate`` can hold."""
    pulses = all_pulses(cue_set)
    notes = tuple(sorted({pulse.frequency for pulse in pulses}))
    window_ms = float(np.clip(_shortest_ms(cue_set), 40, 120))
    resolution = 1000 / window_ms
    highest = rate / 2 - 4 * resolution
    partials = sorted(
        hertz for note in notes for hertz, _ in cue_set.voice.partials(note) if hertz < highest
    )
    hertz = _merged(np.array(partials), _SAME * resolution)
    quiet = _quiet_places(hertz, _CLEAR * resolution, 1.5 * resolution, highest)
    return Bands(
        window_ms=window_ms,
        notes=notes,
        hertz=hertz,
        quiet=quiet,
        beside=_beside(hertz, quiet),
        shapes=np.array([_shape(cue_set, note, hertz, _SAME * resolution) for note in notes]),
    )


def all_pulses(cue_set: CueSet) -> set[Pulse]:
    """Every pulse of every meaning, as it lies in its cue."""
    return {pulse for meaning in cue_set.meanings() for pulse in cue_set.pulses(meaning)}


def _shortest_ms(cue_set: CueSet) -> int:
    """The shortest pulse or gap of the set."""
    gaps = [gap for meaning in cue_set.meanings() for gap in gaps_ms(cue_set.pulses(meaning))]
    return min([*gaps, *(pulse.length_ms for pulse in all_pulses(cue_set))])


def _merged(partials: Reals, apart: float) -> Reals:
    """Partials too close to be told apart become one band between them."""
    groups = np.split(partials, np.flatnonzero(np.diff(partials) > apart) + 1)
    return np.array([group.mean() for group in groups])


def _quiet_places(hertz: Reals, clear: float, apart: float, highest: float) -> Reals:
    grid = np.arange(max(hertz[0] / 2, 2 * clear), min(hertz[-1] * 1.2, highest), apart)
    distance = np.abs(grid[:, None] - hertz).min(axis=1)
    return np.asarray(grid[distance >= clear])


def _beside(hertz: Reals, quiet: Reals) -> Reals:
    """Equal weights for the quiet places nearest to each band."""
    nearest = np.argsort(np.abs(hertz[:, None] - quiet), axis=1)[:, :_BESIDE]
    weights = np.zeros((len(hertz), len(quiet)))
    np.put_along_axis(weights, nearest, 1 / nearest.shape[1], axis=1)
    return weights


def _shape(cue_set: CueSet, note: float, hertz: Reals, apart: float) -> Reals:
    """A note over the bands; roots of amplitudes, since a room may favour any partial."""
    row = np.zeros(len(hertz))
    for partial, amplitude in cue_set.voice.partials(note):
        nearest = int(np.argmin(np.abs(hertz - partial)))
        if abs(hertz[nearest] - partial) <= 2 * apart:
            row[nearest] += amplitude**0.5
    return row / max(float(np.linalg.norm(row)), 1e-9)
