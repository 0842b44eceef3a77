"""Finds strikes in a spectrum: sounds that rise at once above the noise and soon fall again.

A long tone or a vowel does not fall so soon; a short one may be a strike here, and is told from a
knock by its timbre. What a strike means is not known here.
"""

from collections.abc import Iterator
from typing import Final, NamedTuple

import numpy as np

from darktimer.knocks.spectrum import ROWS_HZ, WIDTHS, Spectra, Spectrum

#: The noise in each band is the median of so many rows, taken anew every so many.
_NOISE: Final = ROWS_HZ
_ANEW: Final = ROWS_HZ // 4
#: A strike stands so high above the noise, and above the highest mean of a few rows before it.
_ABOVE: Final = 2.0
_RISE: Final = 1.3
_BEFORE: Final = slice(-30, -2)
_FEW: Final = 5
#: Its peak is the highest of so many rows.
_PEAK: Final = 8
#: So long after it, what it added has fallen to a part of its peak.
_FALLEN: Final = slice(35, 45)
_LEFT: Final = 0.65
#: Its spectrum is taken as it strikes and as it rings: what sounds alike may die away otherwise.
_STRUCK: Final = (slice(-1, 6), slice(6, 20))
#: Of rows nearer together than this the one that rises most is the strike.
_APART: Final = 10
#: The levels at which what is sought is asked for, as powers to its own, and the softest.
_LAID: Final = 10 ** (np.arange(-18.0, 12.0, 2.0) / 10)[:, None, None]
_SOFT: Final = 10**-0.5
#: Levels at which a timbre is laid over a strike, to its own.
_LEVELS_DB: Final = np.arange(-10.0, 10.5, 1.0)
#: So many independent powers each mean is of: rows by bins, and bins side by side share some.
_POWERS: Final = 0.55 * np.outer([each.stop - each.start for each in _STRUCK], WIDTHS)


class Strike(NamedTuple):
    """When one began, the bands as it strikes and rings (2, bands), and those before it (bands,).

    ``before`` is the noise at the least. ``likelier``: the logarithm of how many times as likely
    what was heard is with what is sought as without, 0 where nothing is.
    """

    at_s: float
    heard: Spectra
    before: Spectra
    likelier: float = 0.0

    @property
    def own(self) -> Spectra:
        """What it added to what sounded before it."""
        own: Spectra = np.maximum(self.heard - self.before, 0.1 * self.before)
        return own

    @property
    def level_db(self) -> float:
        """The level of what it added as it struck, in dB of full scale."""
        return float(10 * np.log10(self.own[0].sum()))

    @property
    def clear_db(self) -> float:
        """How far it stands above what sounded before it."""
        return self.level_db - 10 * float(np.log10(self.before.sum()))

    @property
    def timbre(self) -> Spectra:
        """What it added, in dB to its level (2, bands)."""
        return np.asarray(10 * np.log10(self.own) - self.level_db)

    def fitted(self, timbre: Spectra) -> "TimbreFit":
        """How well a timbre, laid over what sounded before, is what was heard."""
        levels_db = self.level_db + _LEVELS_DB
        laid = 10 ** ((levels_db[:, None, None] + timbre) / 10)
        left = np.mean((10 * np.log10(self.heard / (laid + self.before))) ** 2, axis=(1, 2))
        best = int(np.argmin(left))
        likelier = float(_likelier(self.heard, self.before, laid).max())
        return TimbreFit(float(levels_db[best]), float(left[best]), likelier)


class TimbreFit(NamedTuple):
    """The level at which a timbre fits a strike best.

    ``left``: how far what was heard is from it, a mean square of dB. ``likelier``: the logarithm of
    how many times as likely that is with the timbre as without, at the likeliest level: noise that
    dips counts little in it, and what differs of a loud knock much, so each has its own measure.
    """

    level_db: float
    left: float
    likelier: float


def _likelier(heard: Spectra, before: Spectra, laid: Spectra) -> Spectra:
    """The logarithm of how many times as likely what was heard is with more power as without.

    Noise is taken for Gaussian, so that means of its powers are gamma distributed.
    """
    heard, laid = heard / before, laid / before
    each = _POWERS * (heard - heard / (1 + laid) - np.log1p(laid))
    return np.asarray(each.sum(axis=(-2, -1)))


class StrikeFinder:
    """Finds strikes 90 ms after they began. The first second tells it the noise.

    ``sought``: the powers (2, bands) of what is sought, so that bands count by how far it stands
    above the noise in them; all count alike where it is not known.
    """

    def __init__(self, spectrum: Spectrum, sought: Spectra | None = None) -> None:
        self._spectrum = spectrum
        self._sought = sought
        self._next = _NOISE
        self._last = 0

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
        noise, weights = self._noise(begin)
        first = self._spectrum.first
        start = begin + _BEFORE.start - first
        height = self._spectrum.powers[start : end + _FALLEN.stop - first] @ weights
        rise = _rise(height)
        for at in np.flatnonzero((height > _ABOVE) & (rise > _RISE)).tolist():
            row = at + start + first
            apart = row >= self._last + _APART and rise[at] == rise[at : at + _APART].max()
            if row < end and apart and _falls(height, at):
                self._last = row
                yield self._strike(row - first, noise)

    def _noise(self, row: int) -> tuple[Spectra, Spectra]:
        """The power of the noise in each band, and what each band counts (bands,)."""
        anew = row // _ANEW * _ANEW - self._spectrum.first
        heard = self._spectrum.powers[anew - _NOISE : anew]
        noise = np.median(heard, axis=0) / (1 - 1 / (3 * WIDTHS))
        weights = WIDTHS / noise
        if self._sought is not None:
            soft = _SOFT * self._sought[0]
            weights *= soft / (soft + noise)
        return noise, weights / np.median(heard @ weights)

    def _strike(self, at: int, noise: Spectra) -> Strike:
        powers = self._spectrum.powers
        before = np.maximum(powers[at - 9 : at - 2].mean(axis=0), noise)
        heard = np.array([powers[at + s.start : at + s.stop].mean(axis=0) for s in _STRUCK])
        likelier = 0.0
        if self._sought is not None:
            likelier = float(_likelier(heard, before, self._sought * _LAID).max())
        at_s = (at + self._spectrum.first) * self._spectrum.step_s
        return Strike(at_s, heard, before, likelier)


def _rise(height: Spectra) -> Spectra:
    """How many times as high as the highest mean of a few rows before it a row is.

    None of those that have too few before them rises.
    """
    few = np.convolve(height[: _BEFORE.stop], np.full(_FEW, 1 / _FEW), "valid")
    windows = np.lib.stride_tricks.sliding_window_view(few, _BEFORE.stop - _BEFORE.start - _FEW + 1)
    highest = windows.max(axis=1)[:-1]
    rise: Spectra = np.concatenate((np.zeros(-_BEFORE.start), height[-_BEFORE.start :] / highest))
    return rise


def _falls(height: Spectra, at: int) -> bool:
    peak = height[at : at + _PEAK].max()
    before = height[at + _BEFORE.start : at + _BEFORE.stop].mean()
    after = height[at + _FALLEN.start : at + _FALLEN.stop].mean()
    return bool(after - before < _LEFT * (peak - before))
