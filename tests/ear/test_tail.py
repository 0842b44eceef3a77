"""What a room keeps of a tone is taken out, and what hums on and on is no tone."""

import numpy as np

from darktimer.cues.reader import load_cue_set
from darktimer.ear.bands import bands_of
from darktimer.ear.spectrum import FRAME_MS
from darktimer.ear.tail import without_tail
from darktimer.ear.tones import tones_in

SECOND = 1000 // FRAME_MS
NOISE = 1e-4


def pulses(falls_db_a_second: float) -> np.ndarray:
    """One band of twenty pulses of 0.2 s, a second apart, each with a tail that falls so fast."""
    power = np.zeros((1, 20 * SECOND), np.float32)
    since = np.arange(SECOND - 20)
    power[0].reshape(20, SECOND)[:, :20] = 1
    power[0].reshape(20, SECOND)[:, 20:] = 10 ** (-falls_db_a_second / 10 * since / SECOND)
    return power + np.float32(NOISE)


def test_a_tail_is_taken_out_and_a_pulse_stays() -> None:
    """60 dB in 1.5 s: a moment after its end the pulse itself is gone, and its tail with it."""
    power = pulses(40)
    fresh = without_tail(power, np.full_like(power, NOISE))
    assert power[0, 30] > 0.3
    assert fresh[0, 30] < 0.1
    assert fresh[0].reshape(20, SECOND)[:, :9].min() > 0.99
    assert (fresh >= np.float32(NOISE) * 0.99).all()


def test_where_there_is_no_tail_nothing_is_taken_out() -> None:
    power = pulses(1e6)
    assert (without_tail(power, np.full_like(power, NOISE)) == power).all()


def test_what_hums_on_is_noise() -> None:
    """A hum on the very band of a note would be the longest pulse of all, as in light-safe."""
    bands = bands_of(load_cue_set("standard"), 16_000)
    chance = np.random.default_rng(1)
    powers = chance.exponential(1, (len(bands.hertz) + len(bands.quiet), 60 * SECOND))
    powers = powers.astype(np.float32)
    powers[3] += 1000
    assert np.percentile(tones_in(powers, bands).strongest, 90) < 20
