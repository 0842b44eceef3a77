"""The line of sound of a live run: a score whose future may be exchanged while it is played.

Everything that is to come lies on the line from the start, so that the sound goes on by the plan
even when nothing else of the program does. Knows no keys.
"""

from collections.abc import Iterable, Sequence

from darktimer.cues.score import Score
from darktimer.process.timeline import Cue
from darktimer.units import frames


class Line(Score):
    """A score that takes a new row of cues as a whole, in a thread other than ``fill``'s."""

    def prepare(self, meanings: Iterable[str]) -> None:
        """Makes the sounds of these meanings now, so that nothing waits for them later."""
        for meaning in meanings:
            self._number(meaning)

    def exchange(self, cues: Sequence[Cue]) -> None:
        """Plays these cues from now on; those already filled must be among them, unchanged."""
        self._placed = self._ordered(cues)
        self.frames = max(self.frames, frames(self._end_ms(), self.rate))
