"""Finds strikes in a spectrum: sounds that rise at once above the noise and soon fall again.

A tone or a vowel does not fall so soon. What a strike means is not known here.
"""

from collections.abc import Iterator
from typing import Final, NamedTuple

import numpy as np

from darktimer.knocks.spectrum import ROWS_HZ, Powers, Spectrum

#: The noise in each band is the median of so many rows, taken anew every so many.
_NOISE: Final = ROWS_HZ
_ANEW: Final = ROWS_HZ // 4
#: A strike stands so high above the noise, and above the highest of the rows before it.
_ABOVE: Final = 2.4
_RISE: Final = 1.4
_BEFORE: Final = slice(-30, -2)
#: Its peak is the highest of so many rows.
_PEAK: Final = 8
#: So long after it, what it added has fallen to a part of its peak.
_FALLEN: Final = slice(35, 45)
_LEFT: Final = 0.5
#: So long it is listened to for its spectrum.
_STRUCK: Final = slice(-1, 6)
#: Nearer together than this are the parts of one strike.
_APART: Final = 45


class Strike(NamedTuple):
    """One strike: its moment, its level, and its bands and the noise in them, against its level."""

    at_s: float
    level_db: float
    bands_db: Powers
    noise_db: Powers

    def unlike_db(self, bands_db: Powers, noise_db: Powers) -> float:
        """How far its bands are from others, where neither is hidden by noise; root mean square."""
        hidden = np.maximum(self.noise_db, noise_db)
        apart = np.maximum(self.bands_db, hidden) - np.maximum(bands_db, hidden)
        return float(np.sqrt(np.mean(apart**2)))


class StrikeFinder:
    """Finds strikes 90 ms after they began. The first second tells it the noise."""

    def __init__(self, spectrum: Spectrum) -> None:
        self._spectrum = spectrum
        self._next = _NOISE
        self._last = -_APART

    @property
    def known_s(self) -> float:
        """All strikes that began before this have been found."""
        return self._next * self._spectrum.step_s

    def found(self) -> Iterator[Strike]:
        """The strikes in what the spectrum has got since the last call."""
        while (end := self._spectrum.end - _FALLEN.stop) > self._next:
            until = min(end, (self._next // _ANEW + 1) * _ANEW)
            yield from self._between(self._next, until)
            self._next = until

    def _between(self, begin: int, end: int) -> Iterator[Strike]:
        """The strikes in some rows, which have one noise."""
        first = self._spectrum.first
        anew = begin // _ANEW * _ANEW - first
        heard = self._spectrum.powers[max(0, anew - _NOISE) : anew]
        noise = np.median(heard, axis=0)
        weights = self._spectrum.widths / noise
        weights /= np.median(heard @ weights)
        start = begin + _BEFORE.start - first
        rows = self._spectrum.powers[start : end + _FALLEN.stop - first]
        height = rows @ weights
        for at in np.flatnonzero(height[: end - first - start] > _ABOVE):
            row = int(at) + start + first
            if row >= begin and row - self._last >= _APART and _is_strike(height, int(at)):
                self._last = row
                yield self._strike(row - first, noise)

    def _strike(self, at: int, noise: Powers) -> Strike:
        powers = self._spectrum.powers
        before = powers[at - 9 : at - 2].mean(axis=0)
        before = np.maximum(before, noise)
        struck = powers[at + _STRUCK.start : at + _STRUCK.stop].mean(axis=0)
        own = np.maximum(struck - before, before * 0.1)
        return Strike(
            at_s=(at + self._spectrum.first) * self._spectrum.step_s,
            level_db=float(10 * np.log10(own.sum())),
            bands_db=10 * np.log10(own / own.sum()),
            noise_db=10 * np.log10(before / own.sum()),
        )


def _is_strike(height: Powers, at: int) -> bool:
    peak = height[at : at + _PEAK].max()
    before = height[at + _BEFORE.start : at + _BEFORE.stop]
    after = height[at + _FALLEN.start : at + _FALLEN.stop].mean()
    falls = after - before.mean() < _LEFT * (peak - before.mean())
    return bool(falls and height[at] > _RISE * before.max())
