"""Tries speaker and keys before a run: each key is answered by a sound, as in the dark."""

from typing import Final

from darktimer.cues.cue_set import CueSet
from darktimer.cues.demonstration import in_a_row
from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.output.player import Player
from darktimer.output.speakers import Speakers
from darktimer.process import meanings
from darktimer.process.spacing import CLEAR_MS

#: What is tried: an answer to "where am I", the question, the mark of an act.
WHERE: Final[tuple[str, ...]] = (meanings.here("2"), meanings.left(240))
QUESTION: Final[tuple[str, ...]] = (meanings.CONFIRM,)
MARK: Final[tuple[str, ...]] = (meanings.MARKED,)


class Trial(Player):
    """A speaker that answers keys; a context. Raises `OutputError` where there is none."""

    def __init__(self, cue_set: CueSet, speakers: Speakers) -> None:
        super().__init__(speakers)
        profile = SPEAKERS[speakers.profile]
        self._lines = {
            told: Score(
                in_a_row(cue_set, told, CLEAR_MS, CLEAR_MS, 0), cue_set, speakers.rate, profile
            )
            for told in (WHERE, QUESTION, MARK)
        }

    def answer(self, told: tuple[str, ...]) -> None:
        """Plays one of the three, as in a run, with what its speaker needs before it."""
        line = self._lines[told]
        self.begin(line.fill(0, line.frames))
