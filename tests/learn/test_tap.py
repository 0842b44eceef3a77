"""Tap noise against the figures it is made after, measured by other means (scipy)."""

import numpy as np
import pytest
from scipy.signal import butter, sosfilt

from darktimer.cues.reader import load_cue_set
from darktimer.cues.tone import KNEE
from darktimer.learn.sounds import Sounds
from darktimer.learn.tap import BESIDE_S, OCTAVES, a_weight, a_weighted_power, over_tap, tap_noise

RATE = 48_000

# A cistern that refills, from memory, no source: octaves of 63 Hz to 8 kHz.
CISTERN_DB = {63: 50, 125: 55, 250: 53, 500: 54, 1000: 57, 2000: 56, 4000: 57, 8000: 52}
# A-weighting of octaves from 31.5 Hz to 8 kHz, IEC 61672-1, recomputed.
A_WEIGHTING_DB = {31.5: -39.4, 63: -26.2, 125: -16.1, 250: -8.6, 500: -3.2} | {
    1000: 0.0,
    2000: 1.2,
    4000: 1.0,
    8000: -1.1,
}


def test_octaves_of_the_noise_are_those_of_the_table() -> None:
    noise = tap_noise(20 * RATE, RATE, seed=1)
    levels = {}
    for centre in OCTAVES:
        edges = [centre / 2**0.5, centre * 2**0.5]
        band = sosfilt(butter(6, edges, "bandpass", fs=RATE, output="sos"), noise)
        levels[centre] = 10 * np.log10((band**2).mean())
    for centre, level in levels.items():
        wanted = CISTERN_DB[centre] - CISTERN_DB[1000]
        assert level - levels[1000] == pytest.approx(wanted, abs=1.0)


@pytest.mark.parametrize(("hertz", "decibels"), A_WEIGHTING_DB.items())
def test_a_weighting_is_that_of_the_standard(hertz: float, decibels: float) -> None:
    centre = 1000 * 10 ** (0.3 * round(np.log2(hertz / 1000)))  # what the standard means by it
    assert 20 * np.log10(a_weight(np.array([centre]))[0]) == pytest.approx(decibels, abs=0.1)


def test_a_cue_is_as_loud_as_the_noise_around_it() -> None:
    sounds = Sounds(load_cue_set("standard"), seed=1)
    cue = sounds.alone("light-safe")
    sounding, beside = np.count_nonzero(cue) / len(cue), round(BESIDE_S * RATE)
    for above_db in (0.0, 6.0):
        mixed = over_tap(cue, RATE, seed=4, above_db=above_db).astype(np.float64)
        noise = a_weighted_power(mixed[:beside], RATE)
        both = a_weighted_power(mixed[beside:-beside], RATE)
        ratio = (both / noise - 1) / sounding
        assert 10 * np.log10(ratio) == pytest.approx(above_db, abs=0.7)
        assert np.abs(mixed).max() < KNEE


def test_noise_is_made_anew_each_time_and_follows_from_the_seed() -> None:
    cue_set = load_cue_set("standard")
    one, same = Sounds(cue_set, seed=8), Sounds(cue_set, seed=8)
    first, second = one.over_tap("move"), one.over_tap("move")
    assert (first == same.over_tap("move")).all()
    assert (first != second).any()
