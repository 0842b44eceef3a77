"""Hears patterns of knocks in what a microphone gives, a block at a time, and forgets the rest.

A pattern is four strikes alike, in a rhythm that means something, with quiet before and after; a
person's own, where their knock was learnt. It is known a third of a second after its last knock.
"""

from enum import StrEnum
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from darktimer.knocks.learning import Knock
from darktimer.knocks.patterns import KNOCKS, KnocksHeard, meant, rests_between
from darktimer.knocks.spectrum import ROWS_HZ, Spectrum
from darktimer.knocks.strikes import Strike, StrikeFinder

#: No strike so long before a pattern, nor so long after it.
_QUIET_BEFORE_S: Final = 0.55
_QUIET_AFTER_S: Final = 0.25
#: The knocks of one pattern: from the loudest to the softest, and from each to their middle.
_SPREAD_DB: Final = 12.0
#: So many softer strikes may be among them, by so much: an even row that lacks what is softest by a
#: hair would have a long rest that nobody made.
_BESIDE: Final = 2
_SOFTER_DB: Final = 2.0
#: How far the knocks of a pattern stand above the noise in the mean.
_CLEAR_DB: Final = -1.0
#: So long after a knock begins what is quiet; most of its rows are less above the softest knock.
_DIES_S: Final = 0.1
_MOSTLY: Final = 90
_LOUD_DB: Final = 5.5
#: As long as the longest pattern and the quiet before it.
_REMEMBERED_S: Final = 2.25
_UNLIKE_DB: Final = 5.0
#: How long a microphone must give one value for it to be dead, and the share of clipped samples.
_DEAD_S: Final = 2.0
_CLIPPED: Final = 0.002


class Condition(StrEnum):
    """Whether a microphone is fit to be heard by."""

    FINE = "fine"
    CLIPPING = "clipping"
    NOTHING = "hears nothing"


class KnockDetector:
    """Hears knocks in mono samples at ``rate_hz``, 16 kHz or more; ``knock``: what was learnt."""

    def __init__(self, rate_hz: int, knock: Knock | None = None) -> None:
        self._knock = knock
        self._most = rate_hz // 2
        self._spectrum = Spectrum(rate_hz)
        self._finder = StrikeFinder(self._spectrum)
        self._strikes: list[Strike] = []
        self._waiting: list[Strike] = []

    def hear(self, block: NDArray[np.float32]) -> list[KnocksHeard]:
        """The patterns that are known with this block, from -1 to 1 and of any length."""
        heard = []
        for start in range(0, len(block), self._most):
            self._spectrum.append(block[start : start + self._most])
            self._take([*self._finder.found()])
            heard += [each for strike in self._over() if (each := self._pattern(strike))]
        return heard

    def _take(self, found: list[Strike]) -> None:
        self._waiting += found
        self._strikes += found
        since_s = self._finder.known_s - 2 * _REMEMBERED_S
        self._strikes = [strike for strike in self._strikes if strike.at_s > since_s]

    def _over(self) -> list[Strike]:
        """The strikes that have waited long enough to have been the last of a pattern."""
        until_s = self._finder.known_s - _QUIET_AFTER_S
        over = [strike for strike in self._waiting if strike.at_s <= until_s]
        self._waiting = self._waiting[len(over) :]
        return over

    def _pattern(self, last: Strike) -> KnocksHeard | None:
        """The pattern that ends with a strike, if the strikes above some level are one."""
        near = [each for each in self._strikes if _is_near(each, last)]
        levels_db = [-np.inf, *sorted(each.level_db for each in near)]
        for softer_db, softest_db in pairwise(levels_db[: _BESIDE + 2]):
            peers = [each for each in near if each.level_db >= softest_db]
            set_off = len(peers) >= KNOCKS and softest_db >= softer_db + _SOFTER_DB
            if set_off and (heard := _rhythm(peers)) and heard.strikes[-1] is last:
                return heard if self._is_one_hand(heard) and self._is_in_quiet(heard) else None
        return None

    def _is_one_hand(self, heard: KnocksHeard) -> bool:
        """Whether its strikes are alike, and like the knock that was learnt."""
        levels_db = [strike.level_db for strike in heard.strikes]
        unlike_db = [strike.timbre.unlike_db(heard.timbre) for strike in heard.strikes]
        alike = max(levels_db) - min(levels_db) <= _SPREAD_DB and max(unlike_db) <= _UNLIKE_DB
        return alike and (self._knock is None or self._knock.is_in(heard))

    def _is_in_quiet(self, heard: KnocksHeard) -> bool:
        """Whether it stands above what sounds before, between and after its knocks."""
        moments = [strike.at_s for strike in heard.strikes]
        begins = [moments[0] - _QUIET_BEFORE_S, *(at_s + _DIES_S for at_s in moments)]
        ends = [*moments, heard.at_s + _QUIET_AFTER_S]
        spans = zip(begins, ends, strict=True)
        quiet = np.concatenate([self._spectrum.total(begin, end - 0.01) for begin, end in spans])
        levels_db = [strike.level_db for strike in heard.strikes]
        clear_db = np.mean([strike.level_db - strike.noise_db for strike in heard.strikes])
        loud_db = 10 * np.log10(np.percentile(quiet, _MOSTLY))
        return bool(clear_db > _CLEAR_DB and loud_db < min(levels_db) + _LOUD_DB)

    @property
    def condition(self) -> Condition:
        """What the last seconds say of the microphone."""
        rows = round(_DEAD_S * ROWS_HZ)
        if len(self._spectrum.moved) >= rows and not self._spectrum.moved[-rows:].any():
            return Condition.NOTHING
        if self._spectrum.clipped[-rows:].sum() > _CLIPPED * rows:
            return Condition.CLIPPING
        return Condition.FINE


def _is_near(strike: Strike, last: Strike) -> bool:
    """Whether a strike bears on the pattern that another may end; however long the blocks are."""
    near = -_REMEMBERED_S < strike.at_s - last.at_s <= _QUIET_AFTER_S
    return near and strike.level_db > last.level_db - _SPREAD_DB


def _rhythm(strikes: list[Strike]) -> KnocksHeard | None:
    """The pattern at the end of some strikes, if its rhythm means something."""
    *earlier, first = strikes[: 1 - KNOCKS]
    four = strikes[-KNOCKS:]
    early = any(first.at_s - each.at_s < _QUIET_BEFORE_S for each in earlier)
    pattern = None if early else meant(rests_between(four))
    return KnocksHeard(pattern, four[-1].at_s, tuple(four)) if pattern else None
