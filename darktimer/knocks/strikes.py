"""Finds strikes in a spectrum: sounds that rise at once above the noise and soon fall again.

A long tone or a vowel does not fall so soon; a short one may be a strike here, and is told from a
knock by its timbre. What a strike means is not known here.
"""

from collections.abc import Iterable, Iterator
from typing import Final, NamedTuple

import numpy as np

from darktimer.knocks.spectrum import ROWS_HZ, Spectra, Spectrum

#: The noise in each band is the median of so many rows, taken anew every so many.
_NOISE: Final = ROWS_HZ
_ANEW: Final = ROWS_HZ // 4
#: A strike stands so high above the noise, and above the highest mean of a few rows before it.
_ABOVE: Final = 2.8
_RISE: Final = 1.5
_BEFORE: Final = slice(-30, -2)
_FEW: Final = 5
#: Its peak is the highest of so many rows.
_PEAK: Final = 8
#: So long after it, what it added has fallen to a part of its peak.
_FALLEN: Final = slice(35, 45)
_LEFT: Final = 0.65
#: Its spectrum is taken as it strikes and as it rings: what sounds alike may die away otherwise.
_STRUCK: Final = (slice(-1, 6), slice(6, 20))
#: Timbres are compared in so many bands at the least, hidden or not.
_SHOWN: Final = 2
#: Nearer together than this are the parts of one strike, if the later is not so many times as high.
_APART: Final = 45
_LOUDER: Final = 2.0


class Timbre(NamedTuple):
    """Bands as it strikes and as it rings, and the noise in them: (2, bands), dB to its level."""

    bands_db: Spectra
    noise_db: Spectra

    def unlike_db(self, other: "Timbre") -> float:
        """How far two are apart where noise hides neither: root mean square over those bands."""
        hidden = np.maximum(self.noise_db, other.noise_db)
        apart = np.maximum(self.bands_db, hidden) - np.maximum(other.bands_db, hidden)
        shown = np.count_nonzero(np.maximum(self.bands_db, other.bands_db) > hidden)
        return float(np.sqrt(np.sum(apart**2) / max(shown, _SHOWN)))


def middle(timbres: Iterable[Timbre]) -> Timbre:
    """The mean of several."""
    return Timbre(*np.mean([*timbres], axis=0))


class Strike(NamedTuple):
    """One strike: when it began, its level in dB of full scale, and its timbre."""

    at_s: float
    level_db: float
    timbre: Timbre

    @property
    def noise_db(self) -> float:
        """The level of the noise in all bands."""
        return self.level_db + 10 * float(np.log10((10 ** (self.timbre.noise_db[0] / 10)).sum()))


class StrikeFinder:
    """Finds strikes 90 ms after they began. The first second tells it the noise."""

    def __init__(self, spectrum: Spectrum) -> None:
        self._spectrum = spectrum
        self._next = _NOISE
        self._last, self._height = -_APART, np.float32(0)

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
        heard = self._spectrum.powers[anew - _NOISE : anew]
        noise = np.median(heard, axis=0)
        weights = self._spectrum.widths / noise
        weights /= np.median(heard @ weights)
        start = begin + _BEFORE.start - first
        rows = self._spectrum.powers[start : end + _FALLEN.stop - first]
        height = rows @ weights
        for at in np.flatnonzero(height[: end - first - start] > _ABOVE):
            row = int(at) + start + first
            apart = row - self._last >= _APART or height[at] > _LOUDER * self._height
            if row >= begin and apart and _is_strike(height, int(at)):
                self._last, self._height = row, height[at : at + _PEAK].max()
                yield self._strike(row - first, noise)

    def _strike(self, at: int, noise: Spectra) -> Strike:
        powers = self._spectrum.powers
        before = np.maximum(powers[at - 9 : at - 2].mean(axis=0), noise)
        heard = np.array([powers[at + s.start : at + s.stop].mean(axis=0) for s in _STRUCK])
        own = np.maximum(heard - before, before * 0.1)
        level = own[0].sum()
        return Strike(
            at_s=(at + self._spectrum.first) * self._spectrum.step_s,
            level_db=float(10 * np.log10(level)),
            timbre=Timbre(10 * np.log10(own / level), 10 * np.log10([before / level] * 2)),
        )


def _is_strike(height: Spectra, at: int) -> bool:
    peak = height[at : at + _PEAK].max()
    before = height[at + _BEFORE.start : at + _BEFORE.stop]
    after = height[at + _FALLEN.start : at + _FALLEN.stop].mean()
    falls = after - before.mean() < _LEFT * (peak - before.mean())
    highest = np.convolve(before, np.full(_FEW, 1 / _FEW), "valid").max()
    return bool(falls and height[at] > _RISE * highest)
