"""Finds strikes in a spectrum: what is like a knock that is sought, or else all that rises at once.

A long tone or a vowel does not fall so soon; a short one may be a strike here, and is told from a
knock by its timbre. What a strike means is not known here.
"""

from collections.abc import Iterator
from typing import Final, NamedTuple

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from darktimer.knocks.spectrum import ROWS_HZ, WIDTHS, Spectra, Spectrum

#: The noise in each band is the median of so many rows, taken anew every so many.
_NOISE: Final = ROWS_HZ
_ANEW: Final = ROWS_HZ // 4
#: Where nothing is sought, a strike stands so high above the noise, and above the highest mean of a
#: few rows before it.
_ABOVE: Final = 2.0
_RISE: Final = 1.3
_HIGHEST: Final = slice(-30, -2)
_FEW: Final = 5
#: Its peak is the highest of so many rows.
_PEAK: Final = 8
#: So long after it, what it added has fallen to a part of its peak.
_FALLEN: Final = slice(35, 45)
_LEFT: Final = 0.65
#: Its spectrum as it begins, strikes and rings: what sounds alike may die away otherwise.
_STRUCK: Final = (slice(-1, 2), slice(2, 6), slice(6, 20))
#: How many parts that are.
PARTS: Final = len(_STRUCK)
#: What sounded before is the mean of these: of fewer, the tail of another strike wavers too much.
_BEFORE: Final = slice(-24, -2)
#: No two are nearer together than this.
_APART: Final = 10
#: Of the rows so near the likeliest that are nearly as likely the one begins it that fits best: how
#: likely a loud one is says little but how much of it is heard.
_MAY_BE_OFF: Final = 5
_NEARLY: Final = 0.5
#: The levels at which what is sought is asked for, as powers to its own.
_LAID: Final = 10 ** (np.arange(-18.0, 12.0, 4.0) / 10)[:, None, None]
#: How much likelier with what is sought than without one is, as a logarithm.
_LIKELY: Final = 1.6
#: Levels at which a timbre is laid over a strike, to its own.
_LEVELS_DB: Final = np.arange(-10.0, 10.5, 1.0)
#: The variance of each mean of noise, to its square: of one over so many independent powers as are
#: rows by bins, and bins side by side share some.
_SHARED: Final = 0.55
_VARIES: Final = 1 / (_SHARED * np.outer([each.stop - each.start for each in _STRUCK], WIDTHS))
_VARIES_BEFORE: Final = 1 / (_SHARED * (_BEFORE.stop - _BEFORE.start) * WIDTHS)
#: How far each band of a person's knock strays from its timbre, as a share of its power: 3 dB.
_STRAYS: Final = 0.5


class Strike(NamedTuple):
    """When one began, its bands (3, bands) as it begins, strikes and rings, and those before it.

    ``before`` (bands,) is the noise at the least. ``likelier``: the logarithm of how many times as
    likely what was heard is with what is sought as without, 0 where nothing is.
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
        """The level of what it added as it began, in dB of full scale."""
        return float(10 * np.log10(self.own[0].sum()))

    @property
    def clear_db(self) -> float:
        """How far it stands above what sounded before it."""
        return self.level_db - 10 * float(np.log10(self.before.sum()))

    @property
    def timbre(self) -> Spectra:
        """What it added, in dB to its level (3, bands)."""
        return np.asarray(10 * np.log10(self.own) - self.level_db)

    def fitted(self, timbre: Spectra) -> "TimbreFit":
        """How well a timbre, laid over what sounded before, is what was heard."""
        levels_db = self.level_db + _LEVELS_DB
        laid = 10 ** ((levels_db[:, None, None] + timbre) / 10)
        likelier, unlike = _compared(self.heard, self.before, laid)
        best = int(np.argmin(unlike))
        return TimbreFit(float(levels_db[best]), float(unlike[best]), float(likelier.max()))


class TimbreFit(NamedTuple):
    """The level at which a timbre fits a strike best.

    ``unlike``: how far what was heard is from it, about 1 where it differs by no more than noise
    and one hand's knocks do. ``likelier``: the logarithm of how many times as likely that is with
    the timbre as without, at the likeliest level.
    """

    level_db: float
    unlike: float
    likelier: float


def _compared(heard: Spectra, before: Spectra, laid: Spectra) -> tuple[Spectra, Spectra]:
    """How much likelier what was heard is with more power than without, and how unlike that it is.

    A logarithm, and the mean deviance of bands and parts. They are gamma distributed, with the
    variance of the noise, of what sounded before and of the hand together; the gamma function of
    their shape, one over the variance, is taken for the first terms of Stirling's series.
    """
    expected = laid + before
    share = laid / expected
    varies = _VARIES + _STRAYS * share**2 + (1 - share) ** 2 * _VARIES_BEFORE
    unlike = _deviance(heard / expected, varies)
    varies_without = _VARIES + _VARIES_BEFORE
    without = _deviance(heard / before, varies_without)
    likelier = (without - unlike + np.log(varies_without / varies)) / 2
    return np.asarray(likelier.sum(axis=(-2, -1))), np.asarray(unlike.mean(axis=(-2, -1)))


def _deviance(ratio: Spectra, varies: Spectra) -> Spectra:
    """That of gamma distributions whose means were exceeded ``ratio`` times."""
    return np.asarray(2 * (ratio - 1 - np.log(ratio)) / varies)


class StrikeFinder:
    """Finds strikes within 90 ms of their beginning. The first second tells it the noise.

    ``sought``: the powers (3, bands) of what is sought, where that is known.
    """

    def __init__(self, spectrum: Spectrum, sought: Spectra | None = None) -> None:
        self._spectrum = spectrum
        self._laid = None if sought is None else (sought * _LAID).astype(np.float32)
        self._ahead, self._off = _FALLEN.stop, 0
        if sought is not None:
            self._ahead, self._off = _APART + _STRUCK[-1].stop, _MAY_BE_OFF
        self._around = np.full(2 * _APART, -np.inf)
        self._next = _NOISE
        self._last = 0

    @property
    def known_s(self) -> float:
        """All strikes that began before this have been found."""
        return (self._next - self._off) * self._spectrum.step_s

    def found(self) -> Iterator[Strike]:
        """The strikes in what the spectrum has got since the last call."""
        while (end := self._spectrum.end - self._ahead) > self._next:
            until = min(end, (self._next // _ANEW + 1) * _ANEW)
            yield from self._between(self._next, until)
            self._next = until

    def _between(self, begin: int, end: int) -> Iterator[Strike]:
        """The strikes in some rows, which have one noise."""
        noise = self._noise(begin)
        if self._laid is None:
            found = self._rising(begin, end, noise)
        else:
            found = self._likely(begin, end, noise, self._laid)
        for row in found:
            if row >= self._last + _APART:
                self._last = row
                yield self._strike(row, noise)

    def _noise(self, row: int) -> Spectra:
        """The power of the noise in each band."""
        noise: Spectra = np.median(self._heard_before(row), axis=0) / (1 - 1 / (3 * WIDTHS))
        return noise

    def _heard_before(self, row: int) -> Spectra:
        """What tells the noise of a row."""
        anew = row // _ANEW * _ANEW - self._spectrum.first
        return self._spectrum.powers[anew - _NOISE : anew]

    def _rising(self, begin: int, end: int, noise: Spectra) -> Iterator[int]:
        """The rows in which power rises at once, and soon falls again; all bands count alike."""
        weights = WIDTHS / noise
        weights /= np.median(self._heard_before(begin) @ weights)
        start = begin + _HIGHEST.start - self._spectrum.first
        until = end + _FALLEN.stop - self._spectrum.first
        height = self._spectrum.powers[start:until] @ weights
        rise = _rise(height)
        for at in np.flatnonzero((height > _ABOVE) & (rise > _RISE)).tolist():
            row = at + start + self._spectrum.first
            if row < end and rise[at] == rise[at : at + _APART].max() and _falls(height, at):
                yield row

    def _likely(self, begin: int, end: int, noise: Spectra, laid: Spectra) -> Iterator[int]:
        """The rows from which on what was heard is likeliest with what is sought."""
        heard, before = self._parts(begin + _APART, end + _APART, noise)
        ahead = _compared(heard[:, None], before[:, None, None], laid)[0].max(axis=1)
        around = np.concatenate((self._around, ahead))
        self._around = around[len(ahead) :]
        own, highest = around[_APART:-_APART], sliding_window_view(around, 2 * _APART + 1).max(1)
        for at in np.flatnonzero((own == highest) & (own > _LIKELY)).tolist():
            yield self._begins(begin + at, noise, laid)

    def _begins(self, row: int, noise: Spectra, laid: Spectra) -> int:
        """The row near one at which what is sought fits best."""
        heard, before = self._parts(row - _MAY_BE_OFF, row + _MAY_BE_OFF + 1, noise)
        at_levels = _compared(heard[:, None], before[:, None, None], laid)
        likelier, unlike = at_levels[0].max(axis=1), at_levels[1].min(axis=1)
        unlike[likelier < _NEARLY * likelier.max()] = np.inf
        return row - _MAY_BE_OFF + int(unlike.argmin())

    def _parts(self, begin: int, end: int, noise: Spectra) -> tuple[Spectra, Spectra]:
        """What was heard from each row on (rows, 3, bands), and before it (rows, bands)."""
        first = begin + _BEFORE.start - 1 - self._spectrum.first
        until = end + _STRUCK[-1].stop - self._spectrum.first
        sums = np.cumsum(self._spectrum.powers[first:until], axis=0, dtype=np.float64)
        rows = np.arange(end - begin) - _BEFORE.start

        def mean(part: slice) -> Spectra:
            added = sums[rows + part.stop] - sums[rows + part.start]
            return np.asarray(added / (part.stop - part.start), np.float32)

        return np.stack([mean(part) for part in _STRUCK], axis=1), np.maximum(mean(_BEFORE), noise)

    def _strike(self, row: int, noise: Spectra) -> Strike:
        (heard,), (before,) = self._parts(row, row + 1, noise)
        likelier = 0.0
        if self._laid is not None:
            likelier = float(_compared(heard, before, self._laid)[0].max())
        return Strike(row * self._spectrum.step_s, heard, before, likelier)


def _rise(height: Spectra) -> Spectra:
    """How many times as high as the highest mean of a few rows before it a row is.

    None of those that have too few before them rises.
    """
    few = np.convolve(height[: _HIGHEST.stop], np.full(_FEW, 1 / _FEW), "valid")
    windows = sliding_window_view(few, _HIGHEST.stop - _HIGHEST.start - _FEW + 1)
    highest = windows.max(axis=1)[:-1]
    rise: Spectra = np.concatenate((np.zeros(-_HIGHEST.start), height[-_HIGHEST.start :] / highest))
    return rise


def _falls(height: Spectra, at: int) -> bool:
    peak = height[at : at + _PEAK].max()
    before = height[at + _HIGHEST.start : at + _HIGHEST.stop].mean()
    after = height[at + _FALLEN.start : at + _FALLEN.stop].mean()
    return bool(after - before < _LEFT * (peak - before))
