"""The power of a sound in twelve bands from 1 to 7 kHz, every 2 ms, however it is cut into blocks.

A knock is broadband to beyond 4 kHz; taps, fans and voices have most of their power lower.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

Spectra = NDArray[np.floating]

#: Rows a second. A row spans two of these steps, short enough for the click of a knock.
ROWS_HZ: Final = 500
BANDS: Final = 12
LEAST_RATE_HZ: Final = 16_000
#: How much is kept: the quiet before a pattern, the longest pattern, and the wait after it.
_KEPT: Final = 4 * ROWS_HZ
_EDGES_HZ: Final = np.geomspace(1000, 7000, BANDS + 1)
#: Digital silence, as a power that has a logarithm.
_NOTHING: Final = np.float32(1e-14)
#: From here on, of full scale, a sample is clipped.
_FULL: Final = 0.99


class Spectrum:
    """The last four seconds: ``powers`` (rows, bands), ``clipped`` and ``moved`` (rows,).

    Powers are mean squares. ``clipped`` is the share of samples at full scale, ``moved`` whether
    any sample differs from the one before it. ``first`` is the number of the first row kept.
    """

    def __init__(self, rate_hz: int) -> None:
        if rate_hz < LEAST_RATE_HZ:
            raise ValueError(f"{rate_hz} Hz holds too little of a knock; {LEAST_RATE_HZ} is enough")
        self.step_s = round(rate_hz / ROWS_HZ) / rate_hz
        self._step = round(rate_hz / ROWS_HZ)
        self._window = np.hanning(2 * self._step + 1)[:-1].astype(np.float32)
        self._weights = _weights(rate_hz, 2 * self._step, float((self._window**2).sum()))
        self._rest = np.zeros(0, np.float32)
        self.first = 0
        self.powers = np.zeros((0, BANDS), np.float32)
        self.clipped = np.zeros(0, np.float32)
        self.moved = np.zeros(0, np.bool_)

    @property
    def end(self) -> int:
        """The number of the next row."""
        return self.first + len(self.powers)

    def append(self, block: NDArray[np.float32]) -> None:
        """Takes the next samples, from -1 to 1; what is older than four seconds is forgotten."""
        samples = np.concatenate((self._rest, block))
        rows = max(0, len(samples) // self._step - 1)
        self._rest = samples[rows * self._step :]
        if not rows:
            return
        windows = np.lib.stride_tricks.sliding_window_view(samples, 2 * self._step)
        windows = windows[:: self._step][:rows]
        spectra = np.fft.rfft(windows * self._window)
        powers = (spectra.real**2 + spectra.imag**2) @ self._weights + _NOTHING
        drop = max(0, len(self.powers) - _KEPT)
        self.first += drop
        self.powers = np.concatenate((self.powers[drop:], powers), dtype=np.float32)
        self.clipped = np.concatenate((self.clipped[drop:], (np.abs(windows) > _FULL).mean(1)))
        self.moved = np.concatenate((self.moved[drop:], np.ptp(windows, axis=1) > 0))


def _weights(rate_hz: int, length: int, gain: float) -> NDArray[np.float32]:
    """What each bin of a real transform adds to each band (bins, bands)."""
    hertz = np.fft.rfftfreq(length, 1 / rate_hz)[:, None]
    inside = (hertz >= _EDGES_HZ[:-1]) & (hertz < _EDGES_HZ[1:])
    return (inside * (2 / (length * gain))).astype(np.float32)


#: The bins of a row in each band, which lie about 250 Hz apart at any rate.
WIDTHS: Final = np.count_nonzero(_weights(LEAST_RATE_HZ, 2 * LEAST_RATE_HZ // ROWS_HZ, 1.0), axis=0)
