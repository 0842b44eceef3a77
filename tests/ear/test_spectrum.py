"""Power in a band: right at any sample rate, and at the right time."""

from collections.abc import Iterator

import numpy as np
import pytest

from darktimer.cues.reader import load_cue_set
from darktimer.ear.bands import bands_of
from darktimer.ear.spectrum import FRAME_MS, FilterBank


class Wave:
    """Samples in place of a file."""

    def __init__(self, samples: np.ndarray) -> None:
        self._samples = samples.astype(np.float32)

    def blocks(self, length: int, step: int, before: int) -> Iterator[np.ndarray]:
        padded = np.concatenate((np.zeros(before), self._samples, np.zeros(length)))
        for first in range(0, len(self._samples), step):
            yield padded[first : first + length].astype(np.float32)


@pytest.mark.parametrize("rate", [11_025, 22_050, 44_056, 44_100, 48_000, 96_000])
def test_a_steady_tone_has_a_quarter_of_its_squared_amplitude(rate: int) -> None:
    bands = bands_of(load_cue_set("standard"), rate)
    for band in (0, len(bands.hertz) - 1):
        tone = 0.3 * np.sin(2 * np.pi * bands.hertz[band] * np.arange(9 * rate) / rate)
        power = np.concatenate(
            list(FilterBank(bands, rate).powers(Wave(tone))),
            axis=1,  # type: ignore[arg-type]
        )
        middle = power[:, 50:850]
        assert middle[band] == pytest.approx(0.3**2 / 4, rel=0.01)
        assert bands.beside[band] @ middle[len(bands.hertz) :].max(axis=1) < 1e-3 * 0.3**2 / 4


@pytest.mark.parametrize("rate", [8000, 44_056, 48_000])
def test_a_click_is_highest_in_its_own_frame(rate: int) -> None:
    bands = bands_of(load_cue_set("standard"), rate)
    for at_ms in (70, 3990, 4000, 4010, 7770):
        wave = np.zeros(9 * rate)
        wave[round(at_ms * rate / 1000)] = 1
        power = np.concatenate(
            list(FilterBank(bands, rate).powers(Wave(wave))),
            axis=1,  # type: ignore[arg-type]
        )
        assert set(power.argmax(axis=1)) == {at_ms // FRAME_MS}
