"""What small speakers, running water and older ears let through, measured on samples by scipy.

The figures: fundamentals of 150-1000 Hz and at least four harmonics in 300-4000 Hz within 15 dB of
the fundamental, as IEC 60601-1-8 Table 4 has it (from memory); the dependable band 600-2500
Hz from the roll-off of small speakers (Chang & Wang 2018) and the age curves of ISO 7029:2017;
separate events at least 80-90 ms apart (Jurado et al. 2021); A4 = 440 Hz (ISO 16, from memory).
Checked against these figures; conformity is not claimed.
"""

from itertools import pairwise

import numpy as np
import parselmouth
import pytest
from numpy.typing import NDArray
from scipy.signal import butter, sosfilt, welch

from darktimer.cues.cue_set import Pulse
from darktimer.cues.notation import hertz
from darktimer.cues.reader import load_cue_set
from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.cues.tone import tone
from darktimer.process.timeline import Cue, Timeline
from darktimer.shipped import names

RATE = 48_000
SETS = {name: load_cue_set(name) for name in names("sounds")}
COUNTED = ["tally-1", "tally-10", "tally-37", "left-0", "left-450"]
MEANINGS = [
    (name, meaning)
    for name, cue_set in SETS.items()
    for meaning in cue_set.meanings()
    if not meaning.startswith(("tally", "left")) or meaning in COUNTED
]
NOTES = sorted(
    {(n, pulse.frequency) for n, meaning in MEANINGS for pulse in SETS[n].pulses(meaning)}
)
Wave = NDArray[np.float64]


def wave(name: str, meaning: str) -> Wave:
    cue = Cue(0, SETS[name].length_ms(meaning), meaning, 0)
    line = Timeline("", 500, (), (), (cue,), ())
    score = Score(line, SETS[name], RATE, SPEAKERS["none"])
    return score.fill(0, score.frames) / 32_768


def held(name: str, frequency: float) -> Wave:
    """One note for a second."""
    return tone(Pulse(0, 1000, frequency, -18.0), SETS[name].voice, RATE) / 32_768


def power(samples: Wave, low: float, high: float) -> float:
    spectrum = np.abs(np.fft.rfft(samples)) ** 2
    frequencies = np.fft.rfftfreq(len(samples), 1 / RATE)
    return float(spectrum[(low <= frequencies) & (frequencies <= high)].sum())


def test_notes_are_tuned_to_a4_of_440_hz() -> None:
    assert hertz("A4") == 440
    # Equal temperament: the figures of any table of note frequencies.
    table = {"C5": 523.251, "D5": 587.330, "E5": 659.255, "G5": 783.991, "A5": 880.000}
    for note, frequency in table.items():
        assert hertz(note) == pytest.approx(frequency, abs=0.001)


@pytest.mark.parametrize(("name", "frequency"), NOTES)
def test_praat_hears_the_note_that_was_written(name: str, frequency: float) -> None:
    sound = parselmouth.Sound(held(name, frequency), sampling_frequency=RATE)
    pitch = sound.to_pitch_ac(pitch_floor=150, pitch_ceiling=1200)
    heard = pitch.selected_array["frequency"]
    assert np.median(heard[heard > 0]) == pytest.approx(frequency, rel=0.002)


@pytest.mark.parametrize(("name", "frequency"), NOTES)
def test_every_note_has_four_strong_harmonics(name: str, frequency: float) -> None:
    frequencies, density = welch(held(name, frequency), RATE, "blackmanharris", 8192)

    def level_db(at: float) -> float:
        return float(10 * np.log10(density[np.abs(frequencies - at) < 40].max()))

    assert 150 <= frequency <= 1000
    harmonics = [frequency * n for n in range(1, 8) if 300 <= frequency * n <= 4000]
    strong = [h for h in harmonics if level_db(h) >= level_db(frequency) - 15]
    assert len(strong) >= 4


@pytest.mark.parametrize(("name", "meaning"), MEANINGS)
def test_the_power_lies_where_speakers_and_ears_are_good(name: str, meaning: str) -> None:
    samples = wave(name, meaning)
    whole = power(samples, 0, RATE / 2)
    assert power(samples, 600, 2500) >= 0.7 * whole
    assert power(samples, 3000, RATE / 2) <= 0.1 * whole


@pytest.mark.parametrize("meaning", [meaning for n, meaning in MEANINGS if n == "without-highs"])
def test_without_highs_stays_below_1500_hz(meaning: str) -> None:
    # Where the median ear of a man of 70 has lost 13 dB at 1 kHz, 21 at 2, 33 at 4 (ISO 7029:2017).
    samples = wave("without-highs", meaning)
    assert power(samples, 1500, RATE / 2) <= 0.001 * power(samples, 0, RATE / 2)


@pytest.mark.parametrize("meaning", [meaning for n, meaning in MEANINGS if n == "small-speaker"])
def test_small_speaker_needs_nothing_below_800_hz(meaning: str) -> None:
    samples = wave("small-speaker", meaning)
    assert power(samples, 0, 800) <= 0.05 * power(samples, 0, RATE / 2)


@pytest.mark.parametrize(("name", "meaning"), MEANINGS)
def test_a_speaker_without_bass_loses_at_most_6_db(name: str, meaning: str) -> None:
    samples = wave(name, meaning)
    thin = sosfilt(butter(8, 800, "highpass", fs=RATE, output="sos"), samples)
    assert 10 * np.log10((thin**2).sum() / (samples**2).sum()) >= -6


@pytest.mark.parametrize(("name", "meaning"), MEANINGS)
def test_pulses_are_long_enough_and_apart_enough(name: str, meaning: str) -> None:
    pulses = SETS[name].pulses(meaning)
    samples = np.abs(wave(name, meaning)) > 0.0001
    for a, b in pairwise(pulses):
        gap = samples[(a.at_ms + a.length_ms) * 48 : b.at_ms * 48]
        assert len(gap) >= 90 * 48
        assert not gap.any()
    assert all(pulse.length_ms >= 100 for pulse in pulses)


@pytest.mark.parametrize(("name", "frequency"), NOTES)
def test_tones_rise_and_fall_within_10_to_40_ms(name: str, frequency: float) -> None:
    sound = held(name, frequency)
    period = int(RATE / frequency) + 1
    peaks = np.array([np.abs(sound[i : i + period]).max() for i in range(0, RATE // 10, 48)])
    full = np.abs(sound).max()
    assert np.argmax(peaks >= 0.95 * full) in range(8, 41)
    assert peaks[0] < 0.1 * full
