"""Cues one after another, as a timeline of their own: to be heard, learnt or listed."""

from collections.abc import Iterable, Iterator
from typing import Final

from darktimer.cues.cue_set import CueSet
from darktimer.process.timeline import Cue, Step, Timeline

#: Between two cues of a demonstration, so that each is heard alone.
_APART_MS: Final = 1_500


def in_a_row(
    cue_set: CueSet, meanings: Iterable[str], before_ms: int, apart_ms: int, after_ms: int
) -> Timeline:
    """The cues of ``meanings``, with so much quiet before, between and after them."""
    cues: list[Cue] = []
    at_ms = before_ms
    for meaning in meanings:
        cues.append(Cue(at_ms, cue_set.length_ms(meaning), meaning, 0))
        at_ms = cues[-1].end_ms + apart_ms
    end_ms = max((cue.end_ms for cue in cues), default=0) + after_ms
    step = Step(cue_set.name, "step", 0, end_ms, dark=False)
    return Timeline(cue_set.name, end_ms, (step,), (), tuple(cues), ())


def demonstration(cue_set: CueSet) -> Timeline:
    """The cues of a set in the order of its file; of each counted family only a few."""
    return in_a_row(cue_set, _shown(cue_set), _APART_MS, _APART_MS, _APART_MS)


def _shown(cue_set: CueSet) -> Iterator[str]:
    counts = {"enter": cue_set.counts["here"], **cue_set.counts}
    for meaning in cue_set.meanings():
        family, _, tail = meaning.rpartition("-")
        if tail.isdecimal() and int(tail) not in _few(counts[family].numbers):
            continue
        if family != "here" or tail.isdecimal():  # a bath's signature is shown once, as it begins
            yield meaning


def _few(numbers: range) -> range:
    return numbers if len(numbers) <= 3 else numbers[1:12:5]
