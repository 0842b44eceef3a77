"""Hears patterns of knocks in what a microphone gives, a block at a time, and forgets the rest.

A pattern is four strikes alike, in a rhythm that means something, with quiet before and after; a
person's own, where their knock was learnt. It is known a third of a second after its last knock.
"""

from enum import StrEnum
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
#: Strikes so much softer than the last knock are no part of any pattern.
_SOFTER_DB: Final = 5.0
#: The knocks of one pattern: from the loudest to the softest, and from each to their middle.
_SPREAD_DB: Final = 9.0
#: In the quiet, no more than this share is nearer to the softest knock than this.
_LOUD: Final = 0.12
_NEAR_DB: Final = 4.0
_REMEMBERED_S: Final = 2.5
_UNLIKE_DB: Final = 4.5
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
        since_s = self._finder.known_s - _REMEMBERED_S
        self._strikes = [strike for strike in self._strikes if strike.at_s > since_s]

    def _over(self) -> list[Strike]:
        """The strikes that have waited long enough to have been the last of a pattern."""
        until_s = self._finder.known_s - _QUIET_AFTER_S
        over = [strike for strike in self._waiting if strike.at_s <= until_s]
        self._waiting = self._waiting[len(over) :]
        return over

    def _pattern(self, last: Strike) -> KnocksHeard | None:
        """The pattern that ends with a strike, if it is one."""
        peers = [each for each in self._strikes if each.level_db > last.level_db - _SOFTER_DB]
        if peers[-1] is not last or len(peers) < KNOCKS:
            return None
        earlier, strikes = peers[:-KNOCKS], tuple(peers[-KNOCKS:])
        pattern = meant(rests_between(strikes))
        if not pattern or (earlier and strikes[0].at_s - earlier[-1].at_s < _QUIET_BEFORE_S):
            return None
        heard = KnocksHeard(pattern, last.at_s, strikes)
        return heard if self._is_one_hand(heard) and self._is_in_quiet(heard) else None

    def _is_one_hand(self, heard: KnocksHeard) -> bool:
        """Whether its strikes are alike, and like the knock that was learnt."""
        levels_db = [strike.level_db for strike in heard.strikes]
        if max(levels_db) - min(levels_db) > _SPREAD_DB:
            return False
        if self._knock and not self._knock.has_pace(heard):
            return False
        bands_db, noise_db = (
            np.mean([getattr(strike, name) for strike in heard.strikes], axis=0)
            for name in ("bands_db", "noise_db")
        )
        return all(
            strike.unlike_db(bands_db, noise_db) <= _UNLIKE_DB
            and (self._knock is None or self._knock.is_like(strike))
            for strike in heard.strikes
        )

    def _is_in_quiet(self, heard: KnocksHeard) -> bool:
        """Whether hardly a row before it, or after it, comes near its softest knock."""
        first, last = heard.strikes[0], heard.strikes[-1]
        near_db = min(strike.level_db for strike in heard.strikes) - _NEAR_DB
        before = self._spectrum.louder(first.at_s - _QUIET_BEFORE_S, first.at_s - 0.02, near_db)
        after = self._spectrum.louder(last.at_s + 0.14, last.at_s + _QUIET_AFTER_S, near_db)
        return max(before, after) < _LOUD

    @property
    def condition(self) -> Condition:
        """What the last seconds say of the microphone."""
        rows = round(_DEAD_S * ROWS_HZ)
        if len(self._spectrum.moved) >= rows and not self._spectrum.moved[-rows:].any():
            return Condition.NOTHING
        if self._spectrum.clipped[-rows:].sum() > _CLIPPED * rows:
            return Condition.CLIPPING
        return Condition.FINE
