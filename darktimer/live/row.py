"""The row of cues of a run: what the plan calls for, and what is said beside it.

What asks the hands for something is guarded: nothing is ever put over it. The rest is company and
gives way to what is said. What has been handed to the speaker (all that begins before
``filled_ms``) is never changed. Knows no keys and no plan, only cues in session time.
"""

from collections.abc import Callable, Iterable, Iterator
from itertools import chain
from typing import Final

from darktimer.process import meanings
from darktimer.process.spacing import CLEAR_MS
from darktimer.process.timeline import Cue

#: What the hands must do, and beside it what they count by.
_ACTS: Final = meanings.ACT_NOW | {meanings.LIGHTS_OUT, meanings.END}
_GUARDED: Final = _ACTS | {meanings.PIP, meanings.SHEET, meanings.ROUND, meanings.REVERSE}
#: What is said waits this long for its room, if nothing else is asked for.
PATIENCE_MS: Final = 20_000


def acts(cue: Cue) -> bool:
    """Whether a cue asks for an act at this very moment."""
    return meanings.family(cue.meaning) in _ACTS


def guarded(cue: Cue) -> bool:
    """Whether nothing may be put over a cue, and nothing may take its place."""
    return meanings.family(cue.meaning) in _GUARDED


def first_room_ms(from_ms: int, length_ms: int, cues: Iterable[Cue]) -> int:
    """The first moment from which a sound is clear of all guarded ``cues``."""
    at_ms = from_ms
    for cue in sorted(filter(guarded, cues)):
        if at_ms + length_ms + CLEAR_MS <= cue.at_ms:
            break
        at_ms = max(at_ms, cue.end_ms + CLEAR_MS)
    return at_ms


class Row:
    """All cues of a run in order of time, heard or to come, in ``cues``; another list each time.

    ``end_ms`` is the end of the last of them to end.
    ``length_ms`` gives the length of a meaning's sound, ``step_at`` the step at a session time.
    """

    def __init__(self, length_ms: Callable[[str], int], step_at: Callable[[int], int]) -> None:
        self.cues: list[Cue] = []
        self.end_ms = 0
        self.said: list[Cue] = []
        self._reminders: list[Cue] = []
        self._planned: list[Cue] = []
        self._beyond: list[Cue] = []
        self._length_ms = length_ms
        self._step_at = step_at

    def plan(self, planned: Iterable[Cue], beyond: Iterable[Cue], filled_ms: int) -> None:
        """Takes what the plan calls for; ``beyond`` is what it may call for after a gate."""
        self._planned, self._beyond = list(planned), list(beyond)
        self._line_up(filled_ms)

    def expect_nothing(self) -> None:
        """The plan stands at a gate: what comes after it comes later."""
        self._beyond = []

    def say(
        self, meaning: str, filled_ms: int, patience_ms: int = PATIENCE_MS, pause_ms: int = 0
    ) -> int | None:
        """Adds a cue where it has room, after what was said before and after ``pause_ms``.

        Returns its moment; None, and nothing is said, where that would be later than
        ``patience_ms`` after the first moment possible.
        """
        from_ms = max(filled_ms + pause_ms, self.silent_from(filled_ms))
        at_ms = self._room(from_ms, self._length_ms(meaning))
        if at_ms > from_ms + patience_ms:
            return None
        cue = Cue(at_ms, self._length_ms(meaning), meaning, self._step_at(at_ms))
        self.said = [*(each for each in self.said if each.end_ms > filled_ms), cue]
        self._line_up(filled_ms)
        return at_ms

    def take_back(self, filled_ms: int) -> None:
        """What was to be said and has not been handed over is not said, unless it is an act."""
        self.said = [cue for cue in self.said if cue.at_ms < filled_ms or acts(cue)]
        self._line_up(filled_ms)

    def break_off(self, filled_ms: int) -> None:
        """After a silence: what was sounding then does not go on in the middle."""
        self.cues = [c for c in self.cues if not c.at_ms < filled_ms < c.end_ms]
        self.said = [c for c in self.said if not c.at_ms < filled_ms < c.end_ms]
        self.take_back(filled_ms)

    def remind(self, meaning: str, every_ms: int, from_ms: int, to_ms: int, filled_ms: int) -> None:
        """A cue now and then until ``to_ms``, in silence; goes on where the last call ended."""
        sounds = [*self._planned, *self.said]
        silent_ms = max([from_ms, *(cue.end_ms + CLEAR_MS for cue in sounds)])
        next_ms = self._reminders[-1].at_ms + every_ms if self._reminders else silent_ms
        moments = range(next_ms, to_ms, every_ms)
        if moments:
            length_ms = self._length_ms(meaning)
            self._reminders += [Cue(at, length_ms, meaning, self._step_at(at)) for at in moments]
            self._line_up(filled_ms)

    def forget_reminders(self) -> None:
        """None from now on, but for those that were handed over."""
        self._reminders = []

    def free_from(self, filled_ms: int) -> int:
        """The first moment that may still be changed and in which no sound goes on."""
        sounding = (cue.end_ms + CLEAR_MS for cue in self.cues if cue.at_ms < filled_ms)
        return max([filled_ms, *sounding])

    def silent_from(self, filled_ms: int) -> int:
        """The same, when all that was said is over too."""
        return max([self.free_from(filled_ms), *(c.end_ms + CLEAR_MS for c in self.said)])

    def _room(self, from_ms: int, length_ms: int) -> int:
        return first_room_ms(from_ms, length_ms, [*self._planned, *self._beyond])

    def _line_up(self, filled_ms: int) -> None:
        """Makes the row anew from ``filled_ms`` on."""
        kept = [cue for cue in self.cues if cue.at_ms < filled_ms]
        company = chain(self._planned, self._reminders)
        fresh = chain(self._clear(company), self.said)
        kept += sorted(cue for cue in fresh if cue.at_ms >= filled_ms)
        self.cues = kept
        self.end_ms = max((cue.end_ms for cue in self.cues), default=0)

    def _clear(self, cues: Iterable[Cue]) -> Iterator[Cue]:
        """These cues, but for company that something said has taken the place of."""
        for cue in cues:
            if guarded(cue) or not any(_covers(cue, each) for each in self.said):
                yield cue


def _covers(one: Cue, other: Cue) -> bool:
    """Whether two cues are not clear of each other."""
    return one.at_ms < other.end_ms + CLEAR_MS and other.at_ms < one.end_ms + CLEAR_MS
