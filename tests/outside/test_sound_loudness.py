"""Loudness as pyloudnorm measures it, which follows ITU-R BS.1770; true peak by scipy."""

import numpy as np
import pyloudnorm
import pytest
from numpy.typing import NDArray
from scipy.signal import resample_poly

from darktimer.cues.cue_set import CueSet
from darktimer.cues.loudness import loudness_lufs
from darktimer.cues.reader import load_cue_set
from darktimer.cues.score import Score
from darktimer.cues.speaker import SPEAKERS
from darktimer.process import meanings
from darktimer.process.timeline import Cue, Timeline

RATE = 48_000
METER = pyloudnorm.Meter(RATE)
STANDARD = load_cue_set("standard")
ACT_NOW = [
    *map(meanings.enter, meanings.STEP_KINDS),
    *(m for m in STANDARD.meanings() if m in meanings.ACT_NOW and m != "alarm"),
]


def wave(cue_set: CueSet, *names: str) -> NDArray[np.float64]:
    """The cues all at once, in a file of 400 ms at the least, the shortest a meter can take."""
    cues = tuple(Cue(0, cue_set.length_ms(name), name, 0) for name in names)
    line = Timeline("", 400, (), (), cues, ())
    score = Score(line, cue_set, RATE, SPEAKERS["none"])
    return score.fill(0, score.frames) / 32_768


def measured(*names: str) -> float:
    return float(METER.integrated_loudness(wave(STANDARD, *names)))


def sine(frequency: float, amplitude: float) -> NDArray[np.float64]:
    return amplitude * np.sin(2 * np.pi * frequency * np.arange(RATE * 5) / RATE)


def test_the_meter_reads_a_full_scale_sine_as_quoted() -> None:
    # The figure quoted for ITU-R BS.1770: 997 Hz at 0 dBFS in one channel reads -3.01 LUFS (from
    # memory). The meter's own filter is designed afresh and reads 0.04 lower.
    assert METER.integrated_loudness(sine(997, 1.0)) == pytest.approx(-3.01, abs=0.05)
    assert loudness_lufs([(997, 1.0)]) == pytest.approx(-3.01, abs=0.01)


@pytest.mark.parametrize("frequency", [100, 523.25, 880, 1500, 3000, 8000])
def test_our_weighting_agrees_with_the_meter(frequency: float) -> None:
    read = METER.integrated_loudness(sine(frequency, 0.1))
    assert loudness_lufs([(frequency, 0.1)]) == pytest.approx(read, abs=0.05)


@pytest.mark.parametrize("meaning", ACT_NOW)
def test_what_asks_for_the_hands_is_as_loud_as_the_set_says(meaning: str) -> None:
    assert measured(meaning) == pytest.approx(STANDARD.loudness, abs=2)


def test_the_alarm_is_3_to_6_lu_louder() -> None:
    assert 3 <= measured("alarm") - STANDARD.loudness <= 6


@pytest.mark.parametrize("meaning", ["heartbeat", "turn", "sheet", "pip"])
def test_company_is_at_least_6_lu_quieter(meaning: str) -> None:
    assert -20 <= measured(meaning) - STANDARD.loudness <= -6


@pytest.mark.parametrize(
    "together", [("alarm",), ("light-safe",), ("alarm", "light-safe"), ("alarm",) * 5]
)
def test_the_true_peak_stays_below_minus_1_dbtp(together: tuple[str, ...]) -> None:
    # ITU-R BS.1770 measures true peak by oversampling four times.
    assert np.abs(resample_poly(wave(STANDARD, *together), 4, 1)).max() <= 10 ** (-1 / 20)
