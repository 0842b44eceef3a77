"""Hears patterns of knocks in what a microphone gives, a block at a time, and forgets the rest.

A pattern is four strikes in a rhythm that means something, with quiet before and after; a person's
own, where their knock was learnt. It is judged as a whole: three plain knocks carry a soft one. It
is known a fifth of a second after its last knock.
"""

from collections.abc import Iterator
from enum import StrEnum
from itertools import combinations
from typing import Final

import numpy as np
from numpy.typing import NDArray

from darktimer.knocks.learning import Knock, learn
from darktimer.knocks.patterns import KNOCKS, KnocksHeard, meant, rests_between
from darktimer.knocks.spectrum import ROWS_HZ, Spectrum
from darktimer.knocks.strikes import Strike, StrikeFinder

#: Other strikes so long before a pattern and after it, as well as in it, speak against it.
_QUIET_BEFORE_S: Final = 0.55
_QUIET_AFTER_S: Final = 0.13
#: A pattern's knocks are among so many of the loudest strikes of as long as the longest pattern.
_LOUDEST: Final = 10
_LONGEST_S: Final = 1.65
#: So far a pattern may be from what was learnt, and from quiet; where nothing was, from itself.
_STRANGE: Final = 17.2
#: One that is sure is no more than so far.
_SURE: Final = 10.2
#: Of four pieces of noise one is faint. Where each knock is so much likelier with what was learnt,
#: as a logarithm, so much of what the pattern differs from that is forgiven.
_ALL_PLAIN: Final = 150.0
_FORGIVEN: Final = 3.0
#: Other strikes are so much softer than the knocks, and differ from that by so much.
_SOFTER_DB: Final = 10.0
_OTHERS_DB: Final = 2.35
#: A knock that is left out, a short rest from another to so large a part of it, is so much softer
#: than all others: an even row that lacks one has a long rest that nobody made.
_SET_OFF_DB: Final = 3.0
_IN_TIME: Final = 0.15
#: So far above what sounded before are strikes that are more than noise; where a knock was learnt,
#: those are that are as much likelier with it as a pattern's own, to such a part.
_CLEAR_DB: Final = -1.0
_LIKE: Final = 0.2
#: The first knock of a learnt pattern is so much likelier than noise: it is in no other's tail, and
#: among all that noise does, something fits before three knocks now and then.
_FIRST: Final = 6.5
#: So soon after a knock a strike is a part of it.
_ECHO_S: Final = 0.08
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
        self._finder = StrikeFinder(self._spectrum, knock.powers if knock else None)
        self._strikes: list[Strike] = []
        self._alike: list[Strike] = []
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
        since_s = self._finder.known_s - 2 * (_LONGEST_S + _QUIET_BEFORE_S)
        alike = [each for each in found if self._may_be(each)]
        self._waiting += alike
        self._alike = [each for each in self._alike + alike if each.at_s > since_s]
        self._strikes = [each for each in self._strikes + found if each.at_s > since_s]

    def _may_be(self, strike: Strike) -> bool:
        """Whether it may be one of a pattern's knocks."""
        return self._knock is not None or strike.clear_db > _CLEAR_DB

    def _over(self) -> list[Strike]:
        """The strikes that have waited long enough to have been the last of a pattern."""
        until_s = self._finder.known_s - _QUIET_AFTER_S
        over = [strike for strike in self._waiting if strike.at_s <= until_s]
        self._waiting = self._waiting[len(over) :]
        return over

    def _pattern(self, last: Strike) -> KnocksHeard | None:
        """The pattern that ends with a strike; what it is made of makes no other."""
        strange, heard = self._best(last)
        if heard is None or strange > _STRANGE or self._is_better_soon(last, strange):
            return None
        self._alike = [strike for strike in self._alike if strike.at_s > last.at_s]
        return heard._replace(sure=strange <= _SURE)

    def _best(self, last: Strike) -> tuple[float, KnocksHeard | None]:
        """The least strange pattern that ends with a strike, and how strange it is."""
        judged = [(self._strangeness(heard), heard) for heard in self._ending(last)]
        return min(judged, default=(np.inf, None), key=lambda each: each[0])

    def _is_better_soon(self, last: Strike, strange: float) -> bool:
        """Whether a pattern is less strange that ends before the quiet after this one is over."""
        until_s = last.at_s + _QUIET_AFTER_S
        soon = [each for each in self._alike if last.at_s < each.at_s <= until_s]
        return any(self._best(each)[0] < strange for each in soon)

    def _ending(self, last: Strike) -> Iterator[KnocksHeard]:
        """All patterns by their rhythm that end with a strike."""
        near = [each for each in self._alike if 0 < last.at_s - each.at_s < _LONGEST_S]
        loudest = sorted(near, key=lambda strike: strike.level_db)[-_LOUDEST:]
        for earlier in combinations(sorted(loudest, key=lambda each: each.at_s), KNOCKS - 1):
            strikes = (*earlier, last)
            if pattern := meant(rests_between(strikes)):
                yield KnocksHeard(pattern, last.at_s, strikes)

    def _strangeness(self, heard: KnocksHeard) -> float:
        """How unlike the person's own a pattern is, or itself, and how far from quiet."""
        if self._knock and heard.strikes[0].likelier < _FIRST:
            return np.inf
        others = self._others(heard)
        if _is_row(heard, others):
            return np.inf
        knock = self._knock or learn([heard])
        softer_db = float(np.mean([each.level_db for each in heard.strikes])) - _SOFTER_DB
        louder_db = max([softer_db, *(each.level_db for each in others)]) - softer_db
        plain = min(each.likelier for each in heard.strikes) > _ALL_PLAIN
        unlike = max(0.0, knock.strangeness(heard) - _FORGIVEN * plain)
        return unlike + (louder_db / _OTHERS_DB) ** 2

    def _others(self, heard: KnocksHeard) -> list[Strike]:
        """Strikes near a pattern that are more than noise: they stand clear, or are like it."""
        begin_s, end_s = heard.strikes[0].at_s - _QUIET_BEFORE_S, heard.at_s + _QUIET_AFTER_S
        like = _LIKE * float(np.median([each.likelier for each in heard.strikes]))
        return [
            each
            for each in self._strikes
            if begin_s < each.at_s <= end_s
            and not _is_in(each, heard)
            and self._may_be(each)
            and each.likelier >= like
        ]

    @property
    def condition(self) -> Condition:
        """What the last seconds say of the microphone."""
        rows = round(_DEAD_S * ROWS_HZ)
        if len(self._spectrum.moved) >= rows and not self._spectrum.moved[-rows:].any():
            return Condition.NOTHING
        if self._spectrum.clipped[-rows:].sum() > _CLIPPED * rows:
            return Condition.CLIPPING
        return Condition.FINE


def _is_in(strike: Strike, heard: KnocksHeard) -> bool:
    """Whether a strike is one of a pattern's knocks, or its echo."""
    return any(0 <= strike.at_s - knock.at_s < _ECHO_S for knock in heard.strikes)


def _is_row(heard: KnocksHeard, others: list[Strike]) -> bool:
    """Whether other strikes make an even row of a pattern."""
    soft_db = min(each.level_db for each in heard.strikes) - _SET_OFF_DB
    return any(each.level_db > soft_db and _is_in_time(each, heard) for each in others)


def _is_in_time(strike: Strike, heard: KnocksHeard) -> bool:
    """Whether a strike is a short rest from a pattern's knocks, as in an even row."""
    short_s, _ = heard.short_and_long_s
    rests_s = [abs(strike.at_s - knock.at_s) for knock in heard.strikes]
    return any(abs(rest_s / short_s - 1) < _IN_TIME for rest_s in rests_s)
