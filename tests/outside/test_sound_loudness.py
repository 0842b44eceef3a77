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
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.process import meanings
from darktimer.process.timeline import Cue, Timeline
from darktimer.shipped import names

RATE = 48_000
METER = pyloudnorm.Meter(RATE)
SETS = {name: load_cue_set(name) for name in names("sounds")}
COUNTED = ("tally-1", "tally-12", "tally-39", "tally-99", "left-0", "left-450", "left-1790")
QUIET = ("heartbeat", "turn", "sheet", "pip")
MATCHED = [
    (name, meaning)
    for name, cue_set in SETS.items()
    for meaning in cue_set.meanings()
    if meaning not in ("alarm", *QUIET)
    and (not meaning.startswith(("tally", "left")) or meaning in COUNTED)
]


def wave(cue_set: CueSet, *together: str) -> NDArray[np.float64]:
    """The cues all at once, in a file of 400 ms at the least, the shortest a meter can take."""
    cues = tuple(Cue(0, cue_set.length_ms(one), one, 0) for one in together)
    line = Timeline("", 400, (), (), cues, ())
    score = Score(line, cue_set, RATE, SPEAKERS["none"])
    return score.fill(0, score.frames) / 32_768


def above(name: str, meaning: str) -> float:
    """The loudness of a cue against that of its set, in LU."""
    cue_set = SETS[name]
    return float(METER.integrated_loudness(wave(cue_set, meaning))) - cue_set.loudness


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


@pytest.mark.parametrize(("name", "meaning"), MATCHED)
def test_a_cue_is_as_loud_as_its_set_says(name: str, meaning: str) -> None:
    assert above(name, meaning) == pytest.approx(0, abs=2)


@pytest.mark.parametrize("name", SETS)
def test_the_alarm_is_3_to_6_lu_louder(name: str) -> None:
    assert 3 <= above(name, "alarm") <= 6


@pytest.mark.parametrize("name", SETS)
def test_accompaniment_is_at_least_6_lu_quieter(name: str) -> None:
    quiet = [meaning for meaning in QUIET if meaning not in SETS[name].unsaid]
    assert all(-20 <= above(name, meaning) <= -6 for meaning in quiet)


def test_the_set_for_the_night_is_softer_by_6_lu_or_more_and_says_less() -> None:
    standard, night = SETS["standard"], SETS["at-night"]
    assert night.loudness <= standard.loudness - 6
    assert night.unsaid == {"heartbeat"}
    assert night.unsaid.isdisjoint(meanings.ACT_NOW)


@pytest.mark.parametrize("name", SETS)
@pytest.mark.parametrize(
    "together", [("alarm",), ("light-safe",), ("alarm", "light-safe"), ("alarm",) * 5]
)
def test_the_true_peak_stays_below_minus_1_dbtp(name: str, together: tuple[str, ...]) -> None:
    # ITU-R BS.1770 measures true peak by oversampling four times.
    assert np.abs(resample_poly(wave(SETS[name], *together), 4, 1)).max() <= 10 ** (-1 / 20)
