"""The queue of a run's cues: what the plan calls for, and what is said beside it.

What asks the hands for something is guarded: nothing is put over it. The rest gives way to what is
said, and all but acts to an act that is asked for again. What was handed to the speaker is not
changed; what was not heard is taken out, and is in nobody's way.
"""

from bisect import bisect_left
from collections.abc import Callable, Collection, Iterable, Iterator
from heapq import merge
from itertools import chain, islice
from operator import attrgetter
from typing import Final, NamedTuple

from darktimer.process import meanings
from darktimer.process.spacing import CLEAR_MS
from darktimer.process.timeline import Cue

#: In which a row of cues is ordered.
BY_TIME: Final[Callable[[Cue], int]] = attrgetter("at_ms")
#: Before everything.
NEVER: Final = -1_000_000
#: No more than so many cues, in order of their beginning, can still be sounding.
LATELY: Final = 8
#: So long after its end a cue may still be heard: rooms ring, speakers are late.
_RINGS_MS: Final = 200

#: What the hands must do, and beside it what they count by.
_ACTS: Final = meanings.ACT_NOW | {meanings.LIGHTS_OUT, meanings.END, meanings.REVERSE}
_GUARDED: Final = _ACTS | {meanings.PIP, meanings.SHEET, meanings.ROUND}


def acts(cue: Cue) -> bool:
    """Whether a cue asks for an act at this very moment."""
    return meanings.family(cue.meaning) in _ACTS


def guarded(cue: Cue) -> bool:
    """Whether nothing that is said may be put over a cue, or take its place."""
    return meanings.family(cue.meaning) in _GUARDED


class CueQueue(NamedTuple):
    """All cues of a run in order of time, heard or to come, in ``cues``; never changed in place.

    ``planned`` is what the plan calls for, ``beyond`` what it may call for after a gate; ``said``
    are answers and questions, ``again`` acts asked for again, ``reminders`` tell of waiting. What
    begins before ``filled_ms`` was handed over; what a silence broke off ends by ``broken_ms``.
    """

    planned: tuple[Cue, ...] = ()
    beyond: tuple[Cue, ...] = ()
    said: tuple[Cue, ...] = ()
    again: tuple[Cue, ...] = ()
    reminders: tuple[Cue, ...] = ()
    cues: tuple[Cue, ...] = ()
    broken_ms: int = NEVER
    filled_ms: int = NEVER

    @property
    def end_ms(self) -> int:
        """The end of the last cue to end."""
        return max((cue.end_ms for cue in self.cues[-LATELY:]), default=0)

    def heard_between(self, from_ms: int, to_ms: int) -> bool:
        """Whether a cue was to be heard then, or rang."""
        return any(cue.at_ms < to_ms and from_ms < cue.end_ms + _RINGS_MS for cue in self.cues)

    # Where there is room

    def free_ms(self, *beside: Iterable[Cue]) -> int:
        """The first moment that may still be changed and in which no sound goes on, nor these."""
        sounding = chain(self._handed[-LATELY:], *beside)
        over_ms = (cue.end_ms + CLEAR_MS for cue in sounding)
        return max([self.filled_ms, self.broken_ms + CLEAR_MS, *over_ms])

    def room_ms(self, from_ms: int, length_ms: int, keeps: Callable[[Cue], bool]) -> int:
        """The first moment from which a sound is clear of all cues that keep their place."""
        at_ms = from_ms
        for cue in merge(*(_from(cues, from_ms, LATELY) for cues in (self.cues, self.beyond))):
            if at_ms + length_ms + CLEAR_MS <= cue.at_ms:
                break
            if cue.end_ms + CLEAR_MS > at_ms and keeps(cue):
                at_ms = cue.end_ms + CLEAR_MS
        return at_ms

    # What follows it

    def planning(self, planned: Iterable[Cue], beyond: Iterable[Cue]) -> "CueQueue":
        """What the plan calls for is now this."""
        return self._replace(planned=tuple(planned), beyond=tuple(beyond)).lined_up()

    def saying(self, cue: Cue) -> "CueQueue":
        """A cue more is said, or an act asked for again."""
        if acts(cue):
            return self._replace(again=(*self.again, cue)).lined_up()
        said = (each for each in self.said if each.end_ms > self.filled_ms)
        return self._replace(said=(*said, cue)).lined_up()

    def taking_back(self) -> "CueQueue":
        """What was to be said and has not been handed over is not said, unless it is an act."""
        said = tuple(cue for cue in self.said if cue.at_ms < self.filled_ms)
        return self if said == self.said else self._replace(said=said).lined_up()

    def without(self, unheard: Collection[Cue]) -> "CueQueue":
        """These were not heard, or not to their end; none of them goes on in the middle."""
        if not unheard:
            return self
        gone = set(unheard)
        said, again, cues = (
            tuple(cue for cue in each if cue not in gone)
            for each in (self.said, self.again, self.cues)
        )
        broken_ms = max(min(cue.end_ms, self.filled_ms) for cue in unheard)
        return self._replace(said=said, again=again, cues=cues, broken_ms=broken_ms)

    def lined_up(self) -> "CueQueue":
        """The queue made anew from ``filled_ms`` on."""
        others = chain(_from(self.planned, self.filled_ms), _from(self.reminders, self.filled_ms))
        spoken = [cue for cue in (*self.said, *self.again) if cue.at_ms >= self.filled_ms]
        fresh = sorted(chain(self._yielding(others), spoken))
        return self._replace(cues=(*self._handed, *fresh))

    @property
    def _handed(self) -> tuple[Cue, ...]:
        return self.cues[: bisect_left(self.cues, self.filled_ms, key=BY_TIME)]

    def _yielding(self, cues: Iterable[Cue]) -> Iterator[Cue]:
        """These, but for those whose place something said or asked for again has taken."""
        for cue in cues:
            if any(_covers(cue, each) for each in self.again) and not acts(cue):
                continue
            if any(_covers(cue, each) for each in self.said) and not guarded(cue):
                continue
            yield cue


def _covers(one: Cue, other: Cue) -> bool:
    """Whether two cues are not clear of each other."""
    return one.at_ms < other.end_ms + CLEAR_MS and other.at_ms < one.end_ms + CLEAR_MS


def _from(cues: tuple[Cue, ...], at_ms: int, before: int = 0) -> Iterator[Cue]:
    """Those from a moment on, and so many before it."""
    return islice(cues, max(0, bisect_left(cues, at_ms, key=BY_TIME) - before), None)
