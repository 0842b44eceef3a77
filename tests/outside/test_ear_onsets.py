"""The ear's onsets and margins against general-purpose methods that know nothing of cues."""

from pathlib import Path

import numpy as np
import parselmouth
import pytest
import soundfile
from scipy.signal import butter, hilbert, sosfiltfilt, welch

from darktimer.cues.reader import load_cue_set
from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.ear.hearing import Detection, hear
from darktimer.ear.recording import Recording
from tests.ear.noises import CISTERN_DB, OCTAVES_HZ, a_weighting_db, cistern, level_dba
from tests.ear.noises import RATE as NOISE_RATE
from tests.ear.rooms import cues_in_turn

STANDARD = load_cue_set("standard")
RATE = 48_000
WANTED = ["move", "stand", "lift", "enter-fix", "tally-2", "alarm", "heartbeat", "light-safe"]


@pytest.fixture(scope="module")
def wave() -> np.ndarray:
    score = Score(cues_in_turn(STANDARD, WANTED, 11), STANDARD, RATE, SPEAKERS["none"])
    return score.fill(0, score.frames) / 32768


@pytest.fixture(scope="module")
def heard(wave: np.ndarray, tmp_path_factory: pytest.TempPathFactory) -> list[Detection]:
    path: Path = tmp_path_factory.mktemp("ear") / "a.wav"
    soundfile.write(path, wave, RATE)
    return list(hear(Recording(path), STANDARD))


def test_onsets_against_an_envelope(wave: np.ndarray, heard: list[Detection]) -> None:
    """scipy's analytic signal, smoothed: a sound begins where it rises over a tenth of its peak."""
    smooth = butter(2, 40, fs=RATE, output="sos")
    envelope = sosfiltfilt(smooth, np.abs(hilbert(wave)))
    assert [one.meaning for one in heard] == WANTED
    for one in heard:
        begin, end = (int(ms * RATE / 1000) for ms in (one.at_ms - 150, one.at_ms + 100))
        part = envelope[begin:end]
        rise_ms = one.at_ms - 150 + float(np.argmax(part > 0.5 * part.max())) * 1000 / RATE
        assert rise_ms == pytest.approx(one.at_ms + 8, abs=8)  # half way up a ramp of 16 ms


def test_onsets_against_silences(wave: np.ndarray, heard: list[Detection]) -> None:
    """Praat's silence detection (Boersma & Weenink, through parselmouth)."""
    rng = np.random.default_rng(1)
    sound = parselmouth.Sound(wave + 1e-5 * rng.standard_normal(len(wave)), RATE)
    intensity = sound.to_intensity(minimum_pitch=200, time_step=0.002)
    grid = parselmouth.praat.call(
        intensity, "To TextGrid (silences)", -35.0, 0.25, 0.02, "silent", "sounding"
    )
    count = parselmouth.praat.call(grid, "Get number of intervals", 1)
    begins = [
        1000 * parselmouth.praat.call(grid, "Get start time of interval", 1, index)
        for index in range(1, count + 1)
        if parselmouth.praat.call(grid, "Get label of interval", 1, index) == "sounding"
    ]
    for one in heard:
        assert min(abs(one.at_ms - begin) for begin in begins) < 15


def test_margin_against_a_periodogram(tmp_path: Path) -> None:
    """A margin is a partial's level over a third of an octave of noise, as Welch has it."""
    score = Score(cues_in_turn(STANDARD, ["light-safe"], 2), STANDARD, RATE, SPEAKERS["none"])
    tone = score.fill(0, score.frames) / 32768
    noise = 0.02 * np.random.default_rng(3).standard_normal(len(tone))
    soundfile.write(tmp_path / "a.wav", tone + noise, RATE, subtype="FLOAT")
    (one,) = hear(Recording(tmp_path / "a.wav"), STANDARD)
    margins = []
    hertz, density = welch(noise, RATE, nperseg=8192)
    for pulse in STANDARD.pulses("light-safe"):
        first = int((cues_in_turn(STANDARD, ["light-safe"], 2).cues[0].at_ms + pulse.at_ms) * 48)
        part = tone[first + 4800 : first + pulse.length_ms * 48 - 4800]
        best = -np.inf
        for partial, _ in STANDARD.voice.partials(pulse.frequency):
            line = np.exp(-2j * np.pi * partial * np.arange(len(part)) / RATE)
            power = 2 * abs(np.mean(part * line)) ** 2
            near = (hertz > partial * 2 ** (-1 / 6)) & (hertz < partial * 2 ** (1 / 6))
            third = density[near].mean() * partial * (2 ** (1 / 6) - 2 ** (-1 / 6))
            best = max(best, 10 * np.log10(power / third))
        margins.append(best)
    assert one.margin_db == pytest.approx(np.median(margins), abs=1.0)


def test_the_rooms_weigh_noise_as_the_standard_does() -> None:
    """IEC 61672-1's octave figures; a cistern's, from memory, are 63 dBA in all."""
    octaves = 1000 * 10 ** (0.3 * np.arange(-5, 4))  # the exact middles of 31.5 Hz to 8 kHz
    quoted = [-39.4, -26.2, -16.1, -8.6, -3.2, 0, 1.2, 1.0, -1.1]
    assert a_weighting_db(octaves) == pytest.approx(quoted, abs=0.1)
    weighted = np.array(CISTERN_DB) + a_weighting_db(np.array(OCTAVES_HZ))
    assert 10 * np.log10((10 ** (weighted / 10)).sum()) == pytest.approx(63, abs=0.7)


def test_the_rooms_cistern_has_the_octaves_of_the_table() -> None:
    noise = cistern(NOISE_RATE * 40, 3)
    assert level_dba(noise) == pytest.approx(0, abs=0.05)
    hertz, density = welch(noise, NOISE_RATE, nperseg=8192)
    found = [
        10 * np.log10(density[(hertz > f / 2**0.5) & (hertz < f * 2**0.5)].sum())
        for f in OCTAVES_HZ
    ]
    shape = np.array(found) - np.mean(found)
    assert shape == pytest.approx(np.array(CISTERN_DB) - np.mean(CISTERN_DB), abs=0.5)
