"""Every cue of a set one after another, as a timeline of its own: to be heard, or listed."""

from collections.abc import Iterator
from typing import Final

from darktimer.cues.cue_set import CueSet
from darktimer.process.timeline import Cue, Step, Timeline

#: Between two cues, so that each is heard alone.
_APART_MS: Final = 1_500


def demonstration(cues: CueSet) -> Timeline:
    """The cues of a set in the order of its file; of each counted family only a few."""
    played = tuple(_played(cues))
    end_ms = played[-1].end_ms + _APART_MS
    step = Step(cues.name, "step", 0, end_ms, dark=False)
    return Timeline(cues.name, end_ms, (step,), (), played, ())


def _played(cues: CueSet) -> Iterator[Cue]:
    at_ms = _APART_MS
    for meaning in cues.meanings():
        family, _, number = meaning.rpartition("-")
        if family in cues.counts and int(number) not in _few(cues.counts[family].numbers):
            continue
        yield Cue(at_ms, cues.length_ms(meaning), meaning, 0)
        at_ms += cues.length_ms(meaning) + _APART_MS


def _few(numbers: range) -> range:
    return numbers[:3] if len(numbers) <= 3 else numbers[1:13:5]
