"""Turns one pulse into 16-bit samples, and keeps a sum of sounds from clipping.

Knows harmonics, ramps and loudness; not what a pulse means nor when it is played.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from darktimer.cues.cue_set import Pulse, Voice
from darktimer.cues.loudness import loudness_lufs
from darktimer.units import frames

Samples = NDArray[np.int16]
#: What has not been quantised yet, or comes from elsewhere.
Wave = NDArray[np.float64]

#: No single sound is higher than this, the bed under it included (-3 dBFS).
KNEE: Final = 23_170
#: No sum of sounds reaches this (-2 dBFS), which leaves 1 dB for what rises between samples.
CEILING: Final = 26_028
#: The highest sample of a bed: below -60 dBFS, so that the first sample of a cue can be found.
BED_PEAK: Final = 30

_FULL_SCALE: Final = 32_768


def tone(pulse: Pulse, voice: Voice, rate: int) -> Samples:
    """The samples of a pulse, ``frames(length_ms)`` of them, as loud as its level says.

    A level that would pass the knee is played at the knee. The phases are Schroeder's
    (1970), which keep the peak of a sum of harmonics low.
    """
    heard = [(hz, a) for hz, a in voice.partials(pulse.frequency) if hz < 0.45 * rate]
    seconds = np.arange(frames(pulse.length_ms, rate)) / rate
    wave = np.zeros(len(seconds))
    for index, (hertz, amplitude) in enumerate(heard):
        phase = -np.pi * index * (index + 1) / len(heard)
        wave += amplitude * np.sin(2 * np.pi * hertz * seconds + phase)
    wave *= _envelope(len(wave), frames(voice.ramp_ms, rate))
    wanted = float(10 ** ((pulse.level - loudness_lufs(heard)) / 20)) * _FULL_SCALE
    highest = (KNEE - BED_PEAK - 1) / float(np.abs(wave).max())
    return quantised(wave * min(wanted, highest))


def quantised(wave: NDArray[np.float64]) -> Samples:
    """A wave in units of one 16-bit step, as whole steps."""
    return np.rint(wave).astype(np.int16)


def _envelope(length: int, ramp: int) -> NDArray[np.float64]:
    """Raised cosine at both ends; the first frame is already above zero."""
    envelope = np.ones(length)
    rise = np.sin(np.pi / 2 * np.arange(1, ramp + 1) / (ramp + 1)) ** 2
    envelope[:ramp] = rise
    envelope[length - ramp :] = rise[::-1]
    return envelope


def limited(total: NDArray[np.int32]) -> Samples:
    """A sum of sounds bent to stay below the ceiling; what is below the knee is untouched.

    Each sample is judged alone and in whole numbers, so the result does not depend on how a
    score is cut into blocks.
    """
    room = CEILING - KNEE
    over = np.maximum(np.abs(total) - KNEE, 0).astype(np.int64)
    bent = np.minimum(np.abs(total), KNEE) + over * room // (over + room)
    samples: Samples = (np.sign(total) * bent).astype(np.int16)
    return samples


def noise(count: int, seed: int) -> NDArray[np.float64]:
    """Hashed noise from -1 to 1, the same on every machine and with every numpy."""
    x = np.arange(count, dtype=np.uint32) * np.uint32(2_654_435_761) + np.uint32(seed)
    for shift, factor in ((15, 0x2C1B3C6D), (12, 0x297A2D39), (15, 1)):
        x ^= x >> np.uint32(shift)
        x *= np.uint32(factor)
    return x / 2**31 - 1.0
