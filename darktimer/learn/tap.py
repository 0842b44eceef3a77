"""Noise like a running tap, and cues mixed into it as loud as it is. Knows no device.

The octave levels are those of a cistern that refills, which stands in for a tap (from memory, no
source). Loudness is by A-weighting (IEC 61672-1, its formula).
"""

from typing import Final

import numpy as np

from darktimer.cues.tone import KNEE, Samples, Wave, quantised

#: Octave centres in hertz, and their levels in dB.
OCTAVES: Final = {63: 50, 125: 55, 250: 53, 500: 54, 1000: 57, 2000: 56, 4000: 57, 8000: 52}
#: Tap before a cue and after it.
BESIDE_S: Final = 0.3


def tap_noise(count: int, rate: int, seed: int) -> Wave:
    """``count`` samples of noise with the spectrum of a tap, of the power 1 by A-weighting."""
    spectrum = np.fft.rfft(np.random.default_rng(seed).standard_normal(count))
    hertz = np.fft.rfftfreq(count, 1 / rate)
    centres = np.array(list(OCTAVES), np.float64)
    density_db = np.array(list(OCTAVES.values())) - 10 * np.log10(centres)
    octave = np.rint(np.log2(np.maximum(hertz, 1) / centres[0])).astype(int)
    gain_db = density_db[np.clip(octave, 0, len(centres) - 1)]
    spectrum *= 10 ** (gain_db / 20) * (hertz >= 40)
    noise: Wave = np.fft.irfft(spectrum, count)
    noise /= np.sqrt(a_weighted_power(noise, rate))
    return noise


def over_tap(cue: Samples, rate: int, seed: int, above_db: float = 0.0) -> Samples:
    """A cue in tap noise from before it to after it; while it sounds it is ``above_db`` over that.

    Both are made softer together where they would be too high.
    """
    quiet = np.zeros(round(BESIDE_S * rate))
    to_tenth = np.zeros(
        -len(cue) % (rate // 10)
    )  # a length of large primes takes ten times as long
    wave = np.concatenate((quiet, cue.astype(np.float64), to_tenth, quiet))
    sounding = np.count_nonzero(cue) / len(wave)
    power = a_weighted_power(wave, rate) / sounding
    noise = tap_noise(len(wave), rate, seed) * np.sqrt(power) * 10 ** (-above_db / 20)
    mixed = wave + noise
    return quantised(mixed * min(1.0, (KNEE - 1) / np.abs(mixed).max()))


def a_weighted_power(wave: Wave, rate: int) -> float:
    """The mean square of a wave after A-weighting."""
    hertz = np.fft.rfftfreq(len(wave), 1 / rate).astype(np.float64)
    powers = np.abs(np.fft.rfft(wave) * a_weight(hertz)) ** 2
    return float(2 * powers.sum() / len(wave) ** 2)


def a_weight(hertz: Wave) -> Wave:
    """The A-weighting as a factor of amplitude: 1 at 1 kHz."""
    square = hertz**2
    low = square / ((square + 20.6**2) * np.sqrt((square + 107.7**2) * (square + 737.9**2)))
    weight: Wave = 10 ** (2.0 / 20) * 12194**2 * low * square / (square + 12194**2)
    return weight
