"""Which rhythms mean something: four knocks each, so that none is the beginning of another.

Two plain knocks are what a tap, a bucket and a step make. Nothing that falls and bounces makes
rests that grow, so a long rest at the end is what cannot be taken back.
"""

from collections.abc import Sequence
from enum import StrEnum
from typing import Final, NamedTuple

import numpy as np

from darktimer.knocks.strikes import Strike, Timbre, middle

#: Rests between knocks, by any person.
LEAST_S: Final = 0.11
MOST_S: Final = 0.55
#: The long rest in short ones, at the least, and the longer of two short ones in the other.
_LONGER: Final = 1.4
_SAME: Final = 1.35


class Knocked(StrEnum):
    """What is asked for by a pattern of knocks."""

    GO_ON = "go on"
    WHERE = "where am I"


#: Which of the rests between the knocks of a pattern are long.
RHYTHMS: Final = {
    Knocked.GO_ON: (False, False, True),
    Knocked.WHERE: (True, False, False),
}
KNOCKS: Final = 4
IN_WORDS: Final = {
    Knocked.GO_ON: "Three quick knocks and, after a longer rest, one more",
    Knocked.WHERE: "One knock and, after a longer rest, three quick ones",
}


class KnocksHeard(NamedTuple):
    """A pattern as it was heard; ``at_s``: its last knock, in seconds from the first sample."""

    pattern: Knocked
    at_s: float
    strikes: tuple[Strike, ...]

    @property
    def rests_s(self) -> tuple[float, float]:
        """The short rest and the long one."""
        rests = rests_between(self.strikes)
        long_s = max(rests)
        return (sum(rests) - long_s) / (len(rests) - 1), long_s

    @property
    def level_db(self) -> float:
        """The mean level of its knocks."""
        return float(np.mean([strike.level_db for strike in self.strikes]))

    @property
    def timbre(self) -> Timbre:
        """The mean timbre of its knocks."""
        return middle(strike.timbre for strike in self.strikes)


def rests_between(strikes: Sequence[Strike]) -> list[float]:
    """The seconds from each strike to the next."""
    return [float(rest) for rest in np.diff([strike.at_s for strike in strikes])]


def meant(rests_s: Sequence[float]) -> Knocked | None:
    """What knocks with these rests mean."""
    if min(rests_s) < LEAST_S or max(rests_s) > MOST_S:
        return None
    for pattern, long in RHYTHMS.items():
        longs = [rest for rest, is_long in zip(rests_s, long, strict=True) if is_long]
        shorts = [rest for rest, is_long in zip(rests_s, long, strict=True) if not is_long]
        if min(longs) >= _LONGER * max(shorts) and max(shorts) <= _SAME * min(shorts):
            return pattern
    return None
