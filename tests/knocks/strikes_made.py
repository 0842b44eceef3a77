"""Strikes whose bands are made up, for what is done with strikes."""

import numpy as np

from darktimer.knocks.spectrum import BANDS
from darktimer.knocks.strikes import Strike

#: As much in each band, half of that soon after, and a tenth of it as it rings.
TIMBRE = np.array([[0.0], [-3.0], [-10.0]]) + np.full(BANDS, -10 * np.log10(BANDS))


def strike(
    at_s: float, level_db: float = -30.0, timbre: np.ndarray = TIMBRE, noise_db: float = -90.0
) -> Strike:
    """One of a level, over noise that has ``noise_db`` in each band."""
    before = np.full(BANDS, 10 ** (noise_db / 10))
    return Strike(at_s, before + 10 ** ((level_db + timbre) / 10), before)
