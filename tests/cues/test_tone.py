import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from darktimer.cues.cue_set import CueSet, Pulse
from darktimer.cues.tone import BED_PEAK, CEILING, KNEE, limited, noise, tone


@pytest.mark.parametrize("rate", [8000, 22_050, 44_100, 48_000, 192_000])
def test_a_tone_lasts_as_long_as_its_pulse_and_begins_at_once(standard: CueSet, rate: int) -> None:
    wave = tone(Pulse(0, 110, 523.25, -25.9), standard.voice, rate)
    assert len(wave) == (110 * rate + 500) // 1000
    assert np.argmax(np.abs(wave) > 32) / rate <= 0.002


@pytest.mark.parametrize("pitch", [523.25, 880.0, 1050.0, 1760.0, 2500.0])
def test_what_a_rate_cannot_hold_is_left_out_and_not_folded_back(
    standard: CueSet, pitch: float
) -> None:
    """By the sampling theorem (Shannon, 1949): what lies above half the rate would come back below.

    Of all that is within 60 dB of the loudest, everything is a harmonic of the pitch.
    """
    rate, seconds = 8000, 4
    wave = tone(Pulse(0, 1000 * seconds, pitch, -25.9), standard.voice, rate).astype(float)
    loud = np.abs(np.fft.rfft(wave * np.blackman(len(wave))))
    found_hz = np.flatnonzero(loud > loud.max() / 1000) / seconds
    nearest = np.round(found_hz / pitch) * pitch
    assert np.abs(found_hz - nearest).max() < 3
    assert found_hz.max() < 0.45 * rate + 3


def test_a_tone_is_never_higher_than_the_knee(standard: CueSet) -> None:
    wave = tone(Pulse(0, 260, 880.0, 20.0), standard.voice, 48_000)
    assert KNEE - BED_PEAK - 2 <= np.abs(wave).max() < KNEE - BED_PEAK


@given(st.lists(st.integers(-(2**20), 2**20), max_size=50))
def test_limiting_keeps_the_order_the_sign_and_the_ceiling(values: list[int]) -> None:
    total = np.array(sorted(values), np.int32)
    bent = limited(total)
    assert (np.diff(bent.astype(np.int32)) >= 0).all()
    assert (np.abs(bent) <= CEILING).all()
    quiet = np.abs(total) <= KNEE
    assert (bent[quiet] == total[quiet]).all()
    assert (np.sign(bent) == np.sign(total)).all()


def test_noise_is_spread_evenly_and_always_the_same() -> None:
    hiss = noise(100_000, seed=1)
    assert np.abs(hiss).max() <= 1
    assert abs(hiss.mean()) < 0.01
    assert hiss.std() == pytest.approx(3**-0.5, rel=0.01)
    lag_one = np.corrcoef(hiss[1:], hiss[:-1])[0, 1]
    assert abs(lag_one) < 0.01
    assert (hiss == noise(100_000, seed=1)).all()


def test_the_levels_that_sounds_are_held_to() -> None:
    """C: 16 bits hold 32768 steps; half the power is -3 dBFS, and -2 dBFS a ratio of 10^-0.1."""
    assert int(32_768 / 2**0.5) == KNEE
    assert int(32_768 * 10**-0.1) == CEILING
    assert 32_768 * 10**-3 > BED_PEAK > 29  # -60 dBFS, and as little below it as is safe


def test_a_sum_is_bent_from_the_knee_towards_the_ceiling() -> None:
    """As much over the knee as there is room to the ceiling is bent to half of it."""
    room = CEILING - KNEE
    total = np.array([KNEE, KNEE + 1, KNEE + room, -KNEE - room, KNEE + 9 * room], np.int32)
    assert limited(total).tolist() == [
        KNEE,
        KNEE,
        KNEE + room // 2,
        -KNEE - room // 2,
        KNEE + 9 * room // 10,
    ]
