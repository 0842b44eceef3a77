"""From power in bands to how clearly each note sounds, in units of the noise.

The noise in a band is what its quiet places hold at the same time, so that water turned on or a
lid put down, which raise both, are no tone.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from darktimer.ear.bands import Bands
from darktimer.ear.response import without_response
from darktimer.ear.spectrum import FRAME_MS, Powers
from darktimer.ear.tail import without_tail

#: The noise of a moment is averaged over this many frames.
_AVERAGED: Final = 300 // FRAME_MS | 1
#: What is further below the loudest tone in its band counts as noise: echoes, and digital silence.
_FLOOR: Final = 10**-2.4
#: What is never quieter than this, in percent of the time, is a hum or a fan; cues have rests.
_ALWAYS: Final = 20
#: Mean and deviation of the amplitude of noise of power 1 (Rayleigh's distribution).
_MEAN: Final = (np.pi / 4) ** 0.5
_DEVIATION: Final = (1 - np.pi / 4) ** 0.5
_NOTHING: Final = 1e-20


@dataclass(frozen=True, eq=False)
class Tones:
    """What is heard in a stretch of T frames.

    ``clarity`` (N, T) is how well the bands fit each note, with deviation 1 in noise. ``strongest``
    (T,) is the square of the best fit of any note, less what noise alone reaches. ``power`` and
    ``noise`` (B, T) are those of each band.
    """

    clarity: Powers
    strongest: Powers
    power: Powers
    noise: Powers


def tones_in(powers: Powers, bands: Bands, response: Powers | None = None) -> Tones:
    """The tones in (bands + quiet places, frames) of power, in a room whose response is known."""
    count = len(bands.hertz)
    power = powers[:count]
    noise = _smoothed(bands.beside.astype(np.float32) @ powers[count:]) + _NOTHING
    noise = np.maximum(noise, np.percentile(power, _ALWAYS, axis=1, keepdims=True))
    if response is None:
        fresh = without_tail(power, noise)
    else:
        fresh = without_response(power, noise, response)
    loudest = np.where(fresh > 10 * noise, fresh, 0).max(axis=1, keepdims=True, initial=0)
    floor = noise + np.float32(_FLOOR) * loudest
    amplitude = np.sqrt(fresh / floor) - _MEAN * np.sqrt(noise / floor)
    clarity = bands.shapes.astype(np.float32) @ (amplitude / _DEVIATION).astype(np.float32)
    strongest = np.maximum(clarity.max(axis=0), 0) ** 2
    return Tones(
        clarity=clarity,
        strongest=np.maximum(strongest - 4, 0),
        power=power,
        noise=noise,
    )


def _smoothed(powers: Powers) -> Powers:
    """A running mean over time, shorter at both ends."""
    half = _AVERAGED // 2
    total = np.cumsum(powers, axis=1, dtype=np.float64)
    total = np.concatenate((np.zeros((len(powers), 1)), total), axis=1)
    last = np.minimum(np.arange(powers.shape[1]) + half + 1, powers.shape[1])
    first = np.maximum(np.arange(powers.shape[1]) - half, 0)
    mean = (total[:, last] - total[:, first]) / (last - first)
    return np.asarray(mean, np.float32)
