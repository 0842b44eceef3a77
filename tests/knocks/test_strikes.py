"""Bands of power, and the strikes in them: sounds that rise at once and soon fall."""

import numpy as np
import pytest

from darktimer.knocks.spectrum import BANDS, WIDTHS, Spectrum
from darktimer.knocks.strikes import Strike, StrikeFinder
from tests.knocks.rooms import Wave

RATE = 16_000


def spectrum(wave: Wave, rate: int = RATE) -> Spectrum:
    filled = Spectrum(rate)
    filled.append(wave.astype(np.float32))
    return filled


def strikes(wave: Wave, block: int = 800, clear_db: float = -1.0) -> list[Strike]:
    """Those that stand so far above the noise, which has strikes too."""
    filled, found = Spectrum(RATE), []
    finder = StrikeFinder(filled)
    for at in range(0, len(wave), block):
        filled.append(wave[at : at + block].astype(np.float32))
        found += finder.found()
    return [strike for strike in found if strike.clear_db > clear_db]


def hiss(seconds: float, level: float = 1e-3) -> Wave:
    return level * np.random.default_rng(3).standard_normal(round(seconds * RATE))


def burst(decay_s: float, level: float = 0.1, seconds: float = 0.3) -> Wave:
    """Noise that begins at once and decays."""
    shape = np.exp(-np.arange(round(seconds * RATE)) / RATE / decay_s)
    return level * shape * np.random.default_rng(4).standard_normal(len(shape))


def with_bursts(*placed: tuple[float, Wave], level: float = 1e-3) -> Wave:
    wave = hiss(3.0, level)
    for at_s, each in placed:
        at = round(at_s * RATE)
        wave[at : at + len(each)] += each
    return wave


@pytest.mark.parametrize("rate", [16_000, 44_100, 48_000])
def test_the_power_of_a_sine_is_in_its_band_alone(rate: int) -> None:
    middles = np.sqrt(
        np.geomspace(1000, 7000, BANDS + 1)[:-1] * np.geomspace(1000, 7000, BANDS + 1)[1:]
    )
    for band, hertz in enumerate(middles):
        wave = 0.5 * np.sin(2 * np.pi * hertz * np.arange(rate) / rate)
        powers = spectrum(wave, rate).powers.mean(axis=0)
        assert np.argmax(powers) == band
        assert powers.sum() == pytest.approx(0.125, rel=0.1)


@pytest.mark.parametrize("hertz", [400, 7700])
def test_what_is_out_of_the_bands_is_not_heard(hertz: int) -> None:
    wave = 0.5 * np.sin(2 * np.pi * hertz * np.arange(RATE) / RATE)
    assert spectrum(wave).powers.mean(axis=0).sum() < 1e-4


def test_rows_come_every_two_milliseconds_and_are_forgotten() -> None:
    once = spectrum(hiss(1.0))
    assert (once.first, once.end, once.step_s) == (0, 499, 0.002)
    for _ in range(9):
        once.append(hiss(1.0).astype(np.float32))
    assert once.end == 4999
    assert once.end - once.first == len(once.powers) == len(once.moved) == len(once.clipped)
    assert 2000 <= len(once.powers) <= 2500


def test_a_rate_that_holds_too_little_is_refused() -> None:
    Spectrum(16_000)
    with pytest.raises(ValueError, match="15999 Hz holds too little"):
        Spectrum(15_999)


def test_clipped_samples_and_still_ones_are_counted() -> None:
    wave = np.concatenate((np.full(RATE, 0.5), np.full(RATE, 0.985), np.full(RATE, 0.995)))
    filled = spectrum(wave)
    assert filled.clipped[:990].max() == 0
    assert filled.clipped[1010:].min() == 1
    assert np.flatnonzero(filled.moved).tolist() == [499, 999]


@pytest.mark.parametrize("block", [100, 800, 48_000])
def test_a_strike_is_found_where_it_begins(block: int) -> None:
    (found,) = strikes(with_bursts((2.0, burst(0.01))), block)
    assert found.at_s == pytest.approx(2.0, abs=0.004)


def test_a_strike_has_the_level_and_the_noise_of_its_bands() -> None:
    (found,) = strikes(with_bursts((2.0, burst(1000.0, seconds=0.03))), clear_db=20.0)
    heard = 6 / 8  # of white noise to 8 kHz, what lies between 1 and 7 kHz
    begun = 2.5 / 3  # of the first three rows it lacks a half
    assert found.level_db == pytest.approx(10 * np.log10(0.01 * heard * begun), abs=1.5)
    noise_db = found.level_db - found.clear_db
    assert noise_db == pytest.approx(10 * np.log10(1e-6 * heard), abs=1)
    begins, struck, rings = (10 ** (found.timbre / 10)).sum(axis=1)
    assert begins == pytest.approx(1)
    assert struck == pytest.approx(1, abs=0.3)
    assert rings == pytest.approx(9 / 14, abs=0.25)  # of 12 to 40 ms it sounds for 18


@pytest.mark.parametrize(
    ("sound", "count"),
    [
        (burst(0.01), 1),
        (burst(0.06), 1),  # as steel, or a room, rings
        (burst(0.01, level=0.001), 0),  # in the noise
    ],
)
def test_only_what_rises_at_once_and_falls_is_a_strike(sound: Wave, count: int) -> None:
    assert len(strikes(with_bursts((2.0, sound)))) == count


def test_a_long_tone_is_no_strike() -> None:
    at_s = np.arange(round(0.255 * RATE)) / RATE
    tone = sum(np.sin(2 * np.pi * 880 * n * at_s) for n in (1, 2, 3, 4, 5))
    ramp = np.clip(np.minimum(at_s, 0.255 - at_s) / 0.016, 0, 1)
    assert strikes(with_bursts((2.0, 0.05 * tone * ramp))) == []


@pytest.mark.parametrize(
    ("apart_s", "second", "count"),
    [(0.01, 0.1, 1), (0.06, 0.4, 2), (0.1, 0.1, 2), (0.12, 0.05, 2)],
)
def test_one_soon_after_another_is_a_part_of_it(apart_s: float, second: float, count: int) -> None:
    two = (2.0, burst(0.008)), (2.0 + apart_s, burst(0.008, second))
    assert len(strikes(with_bursts(*two))) == count


@pytest.mark.parametrize("block", [800, 64_000])
def test_noise_that_has_grown_is_noise(block: int) -> None:
    wave = np.concatenate((hiss(1.5), hiss(2.5, 0.02)))
    late = round(3.0 * RATE)
    assert [s for s in strikes(wave, block) if s.at_s > 2.6] == []
    wave[late : late + 4800] += burst(0.01, 0.3)
    assert len([s for s in strikes(wave, block) if s.at_s > 2.6]) == 1


@pytest.mark.parametrize("rate", [16_000, 22_050, 44_100, 48_000, 96_000])
def test_bands_hold_as_many_bins_at_any_rate(rate: int) -> None:
    assert np.count_nonzero(Spectrum(rate)._weights, axis=0).tolist() == WIDTHS.tolist()
