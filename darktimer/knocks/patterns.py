"""Which rhythms mean something: four knocks each, so that none is the beginning of another.

Two plain knocks are what a tap, a bucket and a step make. Nothing that falls and bounces makes
rests that grow, so a long rest at the end is what cannot be taken back.
"""

from collections.abc import Sequence
from enum import StrEnum
from itertools import pairwise
from typing import Final, NamedTuple

from darktimer.knocks.strikes import Strike

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
    """A pattern as it was heard; ``at_s``: its last knock, in seconds from the first sample.

    ``sure``: it is so much like what was learnt that the program's own sounds do not make it.
    """

    pattern: Knocked
    at_s: float
    strikes: tuple[Strike, ...]
    sure: bool = False

    @property
    def long(self) -> tuple[bool, ...]:
        """Which of its rests are to be long."""
        return RHYTHMS[self.pattern]

    @property
    def rests_s(self) -> tuple[float, ...]:
        """The seconds from each knock to the next."""
        return rests_between(self.strikes)

    @property
    def short_and_long_s(self) -> tuple[float, float]:
        """The mean short rest, and the long one."""
        long_s = max(self.rests_s)
        return (sum(self.rests_s) - long_s) / (len(self.rests_s) - 1), long_s


def rests_between(strikes: Sequence[Strike]) -> tuple[float, ...]:
    """The seconds from each strike to the next."""
    return tuple(later.at_s - each.at_s for each, later in pairwise(strikes))


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
