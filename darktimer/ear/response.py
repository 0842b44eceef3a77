"""How a room answers a tone in each band, learnt from cues that were heard, and taken out again.

Where a room rings, a band may hold more of an echo than of what came straight from the speaker: a
pulse then seems late, or long, or two. But a room answers every pulse alike. So the power in a band
is what was played convolved with the response of that band, and either is found where the other is
known (non-negative deconvolution in bands: Kameoka et al. 2009; updates of Richardson 1972 and Lucy
1974; from memory).
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from darktimer.ear.spectrum import FRAME_MS, Matrix

Transform = NDArray[np.complexfloating]

#: A response lasts so many frames: one that falls by 60 dB in 1.5 s has then lost 32.
_LASTS: Final = 800 // FRAME_MS
#: What nothing is known of falls by 60 dB in a second.
_FALLING: Final = 10 ** (-6 * FRAME_MS / 1000)
_LEARNING_STEPS: Final = 30
_STEPS: Final = 15
#: What has this factor is transformed fast.
_FAST: Final = 512
_NOTHING: Final = 1e-20


def learnt(power: Matrix, noise: Matrix, played: Matrix) -> Matrix:
    """The response of each band (bands, frames) to ``played``, which has powers of any scale."""
    falling = _FALLING ** np.arange(_LASTS, dtype=np.float32)
    tones = np.maximum(power - noise, 0).sum(axis=1, keepdims=True)
    loudness = tones / (played.sum(axis=1, keepdims=True) + _NOTHING)
    return _fitted(loudness * falling / falling.sum(), played, power, noise, _LEARNING_STEPS)


def without_response(power: Matrix, noise: Matrix, response: Matrix) -> Matrix:
    """(bands, frames) of power as it would be, had the room answered at once and no later."""
    response = response / (response.sum(axis=1, keepdims=True) + _NOTHING)
    dry = _fitted(np.maximum(power - noise, noise / 10), response, power, noise, _STEPS)
    spectrum = np.fft.rfft(response, _size(power))
    return np.asarray(dry + power * noise / _model(dry, spectrum, noise), np.float32)


def _fitted(sought: Matrix, known: Matrix, power: Matrix, noise: Matrix, steps: int) -> Matrix:
    """What, convolved with ``known`` and the noise added, is nearest to the power."""
    total = known.sum(axis=1, keepdims=True) + _NOTHING
    size = _size(power)
    spectrum = np.fft.rfft(known, size)
    for _ in range(steps):
        errors = power / _model(sought, spectrum, noise) - 1
        correlated = np.fft.irfft(np.fft.rfft(errors, size) * spectrum.conj(), size)
        sought = sought * np.maximum(1 + correlated[:, : sought.shape[1]] / total, 0)
    return sought


def _model(sought: Matrix, spectrum: Transform, noise: Matrix) -> Matrix:
    size = _size(noise)
    convolved = np.fft.irfft(np.fft.rfft(sought, size) * spectrum, size)[:, : noise.shape[1]]
    return np.asarray(np.maximum(convolved, 0) + noise, np.float32)


def _size(powers: Matrix) -> int:
    """The length of transforms, with room for a response after the last frame."""
    blocks = (powers.shape[1] + _LASTS) // _FAST + 1
    return int(blocks * _FAST)
