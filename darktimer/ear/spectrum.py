"""Power in narrow bands against time, from blocks of samples. A filter bank by Fourier transform.

Each block is transformed once; each band is cut out of it with the response of a Hann window and
transformed back at the low rate of frames. That equals a windowed transform at the band's very
frequency, at any sample rate, without resampling.
"""

from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from darktimer.ear.bands import Bands
from darktimer.ear.recording import Mono, Recording

#: Something in bands or of notes against time, in frames.
Matrix = NDArray[np.float32]

FRAME_MS: Final = 10
#: Whole seconds, so that blocks and frames keep step at any rate.
_BLOCK_S: Final = 5
_STEP_S: Final = 4
_BLOCK_FRAMES: Final = _BLOCK_S * 1000 // FRAME_MS
_STEP_FRAMES: Final = _STEP_S * 1000 // FRAME_MS
_MARGIN_FRAMES: Final = (_BLOCK_FRAMES - _STEP_FRAMES) // 2


class FilterBank:
    """The bands, then the quiet places, of ``bands`` at one sample rate."""

    def __init__(self, bands: Bands, rate: int) -> None:
        self._rate = rate
        centres = np.concatenate((bands.hertz, bands.quiet)) * _BLOCK_S
        reach = int(np.ceil(3.5 * _BLOCK_S * 1000 / bands.window_ms))
        bins = np.rint(centres).astype(np.int64)[:, None] + np.arange(-reach, reach + 1)
        off = (bins - centres[:, None]) * (bands.window_ms / 1000 / _BLOCK_S)
        self._bins = bins
        self._response = (_hann_response(off) / rate * (1000 / FRAME_MS)).astype(np.float32)
        self._places = np.arange(-reach, reach + 1) % _BLOCK_FRAMES

    def powers(self, recording: Recording) -> Iterator[Matrix]:
        """Arrays (bands + quiet places, frames) that follow each other from 0 ms.

        A steady sine of amplitude a at the centre of a band has the power a**2 / 4.
        """
        rate = self._rate
        for block in recording.blocks(_BLOCK_S * rate, _STEP_S * rate, rate // 2):
            yield self._of_block(block)

    def _of_block(self, block: Mono) -> Matrix:
        spectrum = np.fft.rfft(block)
        cut = np.zeros((len(self._bins), _BLOCK_FRAMES), np.complex64)
        cut[:, self._places] = spectrum[self._bins] * self._response
        wave = np.fft.ifft(cut, axis=1)[:, _MARGIN_FRAMES : _MARGIN_FRAMES + _STEP_FRAMES]
        return np.asarray(wave.real**2 + wave.imag**2, np.float32)


def _hann_response(bins: NDArray[np.float64]) -> NDArray[np.float64]:
    """Response of a Hann window centred at 0, in units of 1/length; 1 at 0."""
    return np.sinc(bins) + 0.5 * (np.sinc(bins - 1) + np.sinc(bins + 1))
