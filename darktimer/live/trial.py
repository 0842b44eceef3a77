"""Tries speaker and keys before a run: each key is answered by a sound, as in the dark."""

from typing import Final

from darktimer.cues.cue_set import CueSet
from darktimer.cues.score import Score
from darktimer.cues.speaker import SPEAKERS
from darktimer.cues.tone import Samples
from darktimer.output.player import Player
from darktimer.output.speakers import Speakers
from darktimer.process import meanings
from darktimer.process.spacing import CLEAR_MS
from darktimer.process.timeline import Cue, Timeline

_EXAMPLE: Final = (meanings.here("develop"), meanings.left(240))


class Trial(Player):
    """A speaker that answers keys; a context. Raises `OutputError` where there is none."""

    def __init__(self, cue_set: CueSet, speakers: Speakers) -> None:
        name, second_choice, buffer_ms = speakers.name, speakers.second_choice, speakers.buffer_ms
        super().__init__(speakers.rate, name, second_choice, buffer_ms)
        told = {True: (meanings.MARKED,), False: _EXAMPLE}
        self._answers = {k: _sound(told[k], cue_set, speakers) for k in told}

    def answer(self, goes_on: bool) -> None:
        """Plays a mark, or an example of where one is."""
        self.begin(self._answers[goes_on])


def _sound(told: tuple[str, ...], cue_set: CueSet, speakers: Speakers) -> Samples:
    """As in a run, with what its speaker needs before them."""
    cues: list[Cue] = []
    for meaning in told:
        at_ms = CLEAR_MS + (cues[-1].end_ms if cues else 0)
        cues.append(Cue(at_ms, cue_set.length_ms(meaning), meaning, 0))
    timeline = Timeline("", 0, (), (), tuple(cues), ())
    line = Score(timeline, cue_set, speakers.rate, SPEAKERS[speakers.profile])
    return line.fill(0, line.frames)
