"""What a detector could reach at the most that knows all but the noise itself.

It knows the spectrum of each knock in the room, its moment and that of the others, and the power
of the noise in each bin; not the phases. By the likelihood ratio it says whether a knock is there:
no test is surer at one rate of false alarms, and by Markov's inequality the ratio of noise is above
a limit less often than once in that limit.
"""

from collections import Counter
from typing import Final

import numpy as np
from scipy.special import ive

from darktimer.knocks.patterns import Knocked
from tests.knocks import tuning_sounds
from tests.knocks.rooms import Person, Wave, noise, response

#: Bins from 1 to 7 kHz of windows of 4 ms, every other one: those hardly share any noise.
_LENGTH: Final = 64
_BINS: Final = slice(4, 29, 2)
#: One false pattern in 24 hours in which each step of 2 ms might end one; and one knock that is
#: made up by noise of a thousand.
PATTERN: Final = float(np.log(24 * 3600 * 500))
KNOCK: Final = float(np.log(1000))


def reached(seed: int, material: str, reverberation_s: float, snr_db: float) -> Counter[str]:
    """One person's six patterns at a level of noise: those told from noise, as wholes and all."""
    rng = np.random.default_rng((seed, len(material), round(10 * reverberation_s)))
    person = Person(rng, tuning_sounds, material, response(rng, reverberation_s))
    counted: Counter[str] = Counter()
    for pattern in [*Knocked] * 3:
        _, wave = person.knocks(pattern)
        hiss = min(person.peaks) * 10 ** (-snr_db / 20) * noise(rng, len(wave))
        ratios = [_log_ratio(_spectra(knock), _spectra(hiss)) for knock in person.apart]
        counted["knocked"] += 1
        counted["told"] += sum(ratios) > PATTERN
        counted["each told"] += sum(ratios) > PATTERN and min(ratios) > KNOCK
    return counted


def _spectra(wave: Wave) -> Wave:
    """Of windows that overlap by half (rows, bins)."""
    windows = np.lib.stride_tricks.sliding_window_view(wave, _LENGTH)[:: _LENGTH // 2]
    return np.asarray(np.fft.rfft(windows * np.hanning(_LENGTH + 1)[:-1])[:, _BINS])


def _log_ratio(knock: Wave, hiss: Wave) -> float:
    """Of a sine of known power in Gaussian noise, phase unknown, to that noise; summed (Rice)."""
    power = np.mean(np.abs(hiss) ** 2, axis=0)
    bessel = 2 * np.abs(knock) * np.abs(knock + hiss) / power
    return float(np.sum(np.log(ive(0, bessel)) + bessel - np.abs(knock) ** 2 / power))
