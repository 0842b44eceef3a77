"""Tries speaker and keys before a run: each key is answered by a sound, as in the dark."""

from itertools import accumulate
from typing import Final

from darktimer.cues.cue_set import CueSet
from darktimer.cues.demonstration import in_a_row
from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.knocks.patterns import KNOCKS, RHYTHMS, Knocked
from darktimer.output.player import Player
from darktimer.output.speakers import Speakers
from darktimer.process import meanings
from darktimer.process.spacing import CLEAR_MS
from darktimer.process.timeline import Timeline

#: What is tried: an answer to "where am I", the question, the mark of an act.
WHERE: Final[tuple[str, ...]] = (meanings.here("2"), meanings.left(240))
QUESTION: Final[tuple[str, ...]] = (meanings.CONFIRM,)
MARK: Final[tuple[str, ...]] = (meanings.MARKED,)
#: Knocks for "go on", in tones.
EXAMPLE: Final[tuple[str, ...]] = KNOCKS * (meanings.PIP,)
_SHORT_MS: Final = 220
_LONG_MS: Final = 460


class Trial(Player):
    """A speaker that answers keys; a context. Raises `OutputError` where there is none."""

    def __init__(self, cue_set: CueSet, speakers: Speakers) -> None:
        super().__init__(speakers)
        profile = SPEAKERS[speakers.profile]
        played = {row: _played(cue_set, row) for row in (WHERE, QUESTION, MARK, EXAMPLE)}
        self._lines = {
            row: Score(line, cue_set, speakers.rate, profile) for row, line in played.items()
        }

    def answer(self, row: tuple[str, ...]) -> None:
        """Plays one of the four, as in a run, with what its speaker needs before it."""
        line = self._lines[row]
        self.begin(line.fill(0, line.frames))


def _played(cue_set: CueSet, row: tuple[str, ...]) -> Timeline:
    line = in_a_row(cue_set, row, CLEAR_MS, CLEAR_MS, 0)
    if row is EXAMPLE:
        rests_ms = (_LONG_MS if long else _SHORT_MS for long in RHYTHMS[Knocked.GO_ON])
        placed = zip(line.cues, accumulate(rests_ms, initial=CLEAR_MS), strict=True)
        cues = tuple(cue._replace(at_ms=at_ms) for cue, at_ms in placed)
        line = line._replace(cues=cues)
    return line
