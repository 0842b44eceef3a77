"""Cues as columns: a fraction of a tuple of them, so a day weighs little more than an hour.

Knows how cues are held; nothing of what they mean.
"""

from array import array
from collections.abc import Iterable, Iterator, Sequence
from typing import overload

from darktimer.process.timeline import Cue


class CueColumns(Sequence[Cue]):
    """Unchanging cues, each made anew whenever it is asked for."""

    def __init__(self, cues: Iterable[Cue]) -> None:
        self._at_ms, self._length_ms = array("q"), array("q")
        self._meaning, self._step = array("H"), array("q")
        self._numbers: dict[str, int] = {}
        for at_ms, length_ms, meaning, step in cues:
            self._at_ms.append(at_ms)
            self._length_ms.append(length_ms)
            self._meaning.append(self._numbers.setdefault(meaning, len(self._numbers)))
            self._step.append(step)
        self._meanings = tuple(self._numbers)

    def __len__(self) -> int:
        return len(self._at_ms)

    def __iter__(self) -> Iterator[Cue]:
        named = map(self._meanings.__getitem__, self._meaning)
        return map(Cue, self._at_ms, self._length_ms, named, self._step)

    @overload
    def __getitem__(self, place: int) -> Cue: ...
    @overload
    def __getitem__(self, place: slice) -> "CueColumns": ...
    def __getitem__(self, place: int | slice) -> "Cue | CueColumns":
        if isinstance(place, slice):
            return CueColumns(self[each] for each in range(*place.indices(len(self))))
        meaning = self._meanings[self._meaning[place]]
        return Cue(self._at_ms[place], self._length_ms[place], meaning, self._step[place])
