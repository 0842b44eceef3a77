"""From power in bands to how clearly each note sounds, in units of the noise.

The noise in a band is what its quiet places hold at the same time, so that water turned on or a
lid put down, which raise both, are no tone.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from darktimer.ear.bands import Bands, Reals
from darktimer.ear.response import without_response
from darktimer.ear.spectrum import FRAME_MS, Matrix
from darktimer.ear.tail import without_tail
from darktimer.ear.too_loud import beyond

#: The noise of a moment is averaged over this many frames.
_AVERAGED: Final = 300 // FRAME_MS | 1
#: What is too loud for a cue is noise in so many frames around.
_MOMENT: Final = 100 // FRAME_MS | 1
#: Noise so many times stronger than usual hides a part of a tone, and never more than all but this.
_STRONGER: Final = 1.0
_LEAST_REACH: Final = 0.03
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

    ``clarity`` (N, T) is how well the bands fit each note, with deviation 1 in noise, and ``reach``
    the share of it that noise stronger than usual leaves. ``strongest`` (T,) is the square of the
    best fit of any note, less what noise alone reaches. ``power`` and ``noise`` (B, T) are those of
    each band.
    """

    clarity: Matrix
    reach: Matrix
    strongest: Matrix
    power: Matrix
    noise: Matrix


def tones_in(
    powers: Matrix, bands: Bands, response: Matrix | None = None, most: Reals | None = None
) -> Tones:
    """The tones in (bands + quiet places, frames) of power, in a room whose response is known.

    What is above ``most`` (bands,), the power that a cue has at most, is noise.
    """
    count = len(bands.hertz)
    power = powers[:count]
    noise = _smoothed(bands.beside.astype(np.float32) @ powers[count:], _AVERAGED) + _NOTHING
    noise = np.maximum(noise, np.percentile(power, _ALWAYS, axis=1, keepdims=True))
    if response is None:
        fresh = without_tail(power, noise)
    else:
        fresh = without_response(power, noise, response)
    if most is not None:
        noise = np.maximum(noise, _smoothed(beyond(fresh, noise, most), _MOMENT))
    loudest = np.where(fresh > 10 * noise, fresh, 0).max(axis=1, keepdims=True, initial=0)
    floor = noise + np.float32(_FLOOR) * loudest
    amplitude = (np.sqrt(fresh / floor) - _MEAN * np.sqrt(noise / floor)) / _DEVIATION
    usual = np.median(floor, axis=1, keepdims=True)
    through = np.sqrt(np.minimum(_STRONGER * usual / floor, 1))
    shapes = bands.shapes.astype(np.float32)
    deviation = np.sqrt(shapes**2 @ through**2)
    clarity = shapes @ (amplitude * through).astype(np.float32) / deviation
    amplitudes = shapes**3 / (shapes**3).sum(axis=1, keepdims=True)
    reach = amplitudes @ through**2 / deviation
    strongest = np.maximum(clarity.max(axis=0), 0) ** 2
    return Tones(
        clarity=clarity,
        reach=np.maximum(reach, _LEAST_REACH),
        strongest=np.maximum(strongest - 4, 0),
        power=power,
        noise=noise,
    )


def _smoothed(powers: Matrix, frames: int) -> Matrix:
    """A running mean over so many frames, shorter at both ends."""
    half = frames // 2
    total = np.cumsum(powers, axis=1, dtype=np.float64)
    total = np.concatenate((np.zeros((len(powers), 1)), total), axis=1)
    last = np.minimum(np.arange(powers.shape[1]) + half + 1, powers.shape[1])
    first = np.maximum(np.arange(powers.shape[1]) - half, 0)
    mean = (total[:, last] - total[:, first]) / (last - first)
    return np.asarray(mean, np.float32)
