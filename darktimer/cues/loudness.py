"""How loud a row of harmonics is, as ITU-R BS.1770 weighs it. Closed form, no samples.

The weighting is the standard's two filters at 48 kHz (coefficients from memory; the tests hold
them against a loudness library). Knows nothing of cues.
"""

from cmath import exp
from collections.abc import Iterable
from functools import cache
from math import log10, pi
from typing import Final

_SHELF: Final = (
    (1.53512485958697, -2.69169618940638, 1.19839281085285),
    (1.0, -1.69065929318241, 0.73248077421585),
)
_HIGH_PASS: Final = ((1.0, -2.0, 1.0), (1.0, -1.99004745483398, 0.99007225036621))
_RATE: Final = 48_000
_OFFSET_LU: Final = -0.691


@cache
def weight(frequency: float) -> float:
    """The power gain of the weighting at ``frequency`` hertz, below 24 kHz."""
    z = exp(-2j * pi * frequency / _RATE)
    gain = 1.0
    for upper, lower in (_SHELF, _HIGH_PASS):
        ratio = sum(b * z**k for k, b in enumerate(upper)) / sum(
            a * z**k for k, a in enumerate(lower)
        )
        gain *= abs(ratio) ** 2
    return gain


def loudness_lufs(partials: Iterable[tuple[float, float]]) -> float:
    """Loudness of steady sines, given as (hertz, amplitude re full scale), in LUFS."""
    power = sum(weight(frequency) * amplitude**2 / 2 for frequency, amplitude in partials)
    return _OFFSET_LU + 10 * log10(power)
