"""Tries speaker and keys before a run: each key is answered by a sound, as it will be in the dark.

Knows two sounds and no plan.
"""

import time
from typing import Any, Final

from darktimer.cues.cue_set import CueSet
from darktimer.live.answers import here
from darktimer.live.speakers import Speakers
from darktimer.output.clock import Clock
from darktimer.process import meanings
from darktimer.process.spacing import CLEAR_MS
from darktimer.process.timeline import Cue, Timeline

_TAIL_MS: Final = 500
_EXAMPLE: Final = (here("develop"), meanings.left(240))


class Trial:
    """A silent speaker that answers keys; a context. Raises `OutputError` where there is none."""

    def __init__(self, cue_set: CueSet, speakers: Speakers) -> None:
        clock = Clock()
        begin_ns = clock.boot_ns() + speakers.lead_ms * 1_000_000
        silence = Timeline("", 0, (), (), (), ())
        self._length_ms = cue_set.length_ms
        self._line = speakers.line(silence, cue_set)
        self._line.prepare([*_EXAMPLE, meanings.MARKED])
        self._stream = speakers.stream(self._line, clock, begin_ns)
        self._cues: list[Cue] = []

    def __enter__(self) -> "Trial":
        self._stream.start()
        return self

    def __exit__(self, *_: Any) -> None:
        self._stream.close()

    def answer(self, goes_on: bool) -> None:
        """Plays a mark, or an example of where one is; after what is being played."""
        at_ms = max([0, self._stream.filled_ms(), *(c.end_ms for c in self._cues)])
        for meaning in (meanings.MARKED,) if goes_on else _EXAMPLE:
            at_ms += CLEAR_MS
            self._cues.append(Cue(at_ms, self._length_ms(meaning), meaning, 0))
            at_ms += self._length_ms(meaning)
        self._line.exchange(self._cues)

    def end(self) -> None:
        """Waits for the last sound."""
        last_ms = max((c.end_ms for c in self._cues), default=0)
        while self._stream.position_ms() < last_ms + _TAIL_MS:
            time.sleep(0.05)
