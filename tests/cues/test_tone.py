import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from darktimer.cues.cue_set import CueSet, Pulse, Voice
from darktimer.cues.loudness import loudness_lufs
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


def hashed(value: int) -> float:
    """Three rounds of shift and product in whole numbers, and from -1 to 1."""
    for shift, factor in ((15, 0x2C1B3C6D), (12, 0x297A2D39), (15, 1)):
        value = (value ^ value >> shift) * factor % 2**32
    return value / 2**31 - 1


def test_noise_by_whole_numbers() -> None:
    """C: Python's whole numbers do not wrap, so that 32 bits are a remainder of 2^32."""
    scattered = [(k * 2_654_435_761 + 1) % 2**32 for k in range(50)]
    assert noise(50, seed=1).tolist() == [hashed(value) for value in scattered]
    assert noise(1, seed=0).tolist() == [-1.0]


def test_a_tone_of_one_sine_and_its_ramps() -> None:
    """997 Hz at full scale read -3.01 LUFS (ITU-R BS.1770): at -23.01 the amplitude is a tenth.

    Ramps of 3 ms at 1000 frames a second rise by the square of the sine of 22.5, 45 and 67.5
    degrees: 0.1464, 0.5, 0.8536.
    """
    wave = tone(Pulse(0, 1000, 997.0, -23.01), Voice((0.0,), 0), 48_000).astype(float)
    assert np.abs(wave).max() == pytest.approx(3276.8, rel=0.002)
    assert wave[0] == 0
    assert wave[1] > 0
    flat = tone(Pulse(0, 20, 250.0, -23), Voice((0.0,), 0), 1000).astype(float)
    ramped = tone(Pulse(0, 20, 250.0, -23), Voice((0.0,), 3), 1000).astype(float)
    rise = np.sin(np.radians([22.5, 45, 67.5])) ** 2
    envelope = np.concatenate((rise, np.ones(14), rise[::-1]))
    assert np.abs(ramped - flat * envelope).max() <= 1


def test_the_phases_of_two_and_three_harmonics() -> None:
    """C: of N harmonics, the k-th is late by pi k (k + 1) / N (Schroeder 1970), k from 0."""
    at = 2 * np.pi * 100 * np.arange(480) / 48_000
    for levels, phases in (((0.0, 0.0), (0, np.pi)), ((0.0,) * 3, (0, 2 / 3 * np.pi, 2 * np.pi))):
        wave = tone(Pulse(0, 10, 100.0, -30), Voice(levels, 0), 48_000).astype(float)
        shape = sum(np.sin((k + 1) * at - phase) for k, phase in enumerate(phases))
        assert wave / np.abs(wave).max() == pytest.approx(shape / np.abs(shape).max(), abs=0.005)


def test_what_lies_at_45_hundredths_of_the_rate_is_left_out() -> None:
    below = tone(Pulse(0, 100, 449.0, -23), Voice((0.0, 0.0), 0), 1000)
    at = tone(Pulse(0, 100, 225.0, -23), Voice((0.0, 0.0), 0), 1000)
    alone = tone(Pulse(0, 100, 225.0, -23), Voice((0.0,), 0), 1000)
    assert below.any()
    assert (at == alone).all()


@pytest.mark.parametrize(("amplitude", "peak"), [(0.7, 22_938), (0.65, 21_299)])
def test_full_scale_is_32768_steps(amplitude: float, peak: int) -> None:
    """16 bits (RIFF WAVE): a sine of 250 Hz at 1000 frames a second is 0, peak, 0, -peak."""
    level = loudness_lufs([(250.0, amplitude)])
    wave = tone(Pulse(0, 4, 250.0, level), Voice((0.0,), 0), 1000)
    assert wave.tolist() == [0, peak, 0, -peak]


def test_a_sound_at_the_knee_leaves_room_for_the_bed() -> None:
    """C: 23,170 less 30 of the bed, and one less: no sum with the bed is above the knee."""
    assert tone(Pulse(0, 4, 250.0, 20), Voice((0.0,), 0), 1000).tolist() == [0, 23_139, 0, -23_139]
