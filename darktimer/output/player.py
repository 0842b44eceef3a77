"""Plays short sounds one at a time, in daylight, on a stream that stays open from first to last."""

import time
from typing import Any, Final, Self

import numpy as np

from darktimer.cues.tone import Samples
from darktimer.errors import OutputError
from darktimer.output.clock import Clock
from darktimer.output.devices import RENDER_INSTEAD
from darktimer.output.speaker import SpeakerStream
from darktimer.output.speakers import Speakers
from darktimer.output.trouble import Trouble
from darktimer.units import frames

_TAIL_MS: Final = 300
_NOTHING: Final = np.zeros(0, np.int16)


class _OneSound:
    """A line of silence but for one sound of 16-bit mono samples, from a frame on."""

    frames = 0

    def __init__(self, rate: int) -> None:
        self.rate = rate
        self.placed = 0, _NOTHING

    def fill(self, start: int, count: int) -> Samples:
        at, samples = self.placed
        block = np.zeros(count, np.int16)
        begin, end = max(start, at), min(start + count, at + len(samples))
        if begin < end:
            block[begin - start : end - start] = samples[begin - at : end - at]
        return block

    def cuts(self) -> tuple[int, ...]:
        return 0, self.frames


class Player:
    """The first of some speakers that plays; a context. Raises `OutputError` where it is no use."""

    def __init__(self, speakers: Speakers) -> None:
        clock = Clock()
        self._sound = _OneSound(speakers.rate)
        self._stream = SpeakerStream(self._sound, speakers, clock, clock.boot_ns())

    def __enter__(self) -> Self:
        self._stream.start()
        return self

    def __exit__(self, *_: Any) -> None:
        self._stream.close()

    def begin(self, samples: Samples) -> None:
        """Begins to play and returns at once; what was playing is ended."""
        self._sound.placed = frames(self._stream.filled_ms(), self._sound.rate), samples

    def wait(self) -> None:
        """Returns when the sound has been heard to its end; raises `OutputError` if it was not."""
        at, samples = self._sound.placed
        end_ms = (at + len(samples)) * 1000 // self._sound.rate + _TAIL_MS
        while self._stream.position_ms() < end_ms:
            time.sleep(0.02)
        if not self._stream.playing:
            remedy = f"see that it is still there, {RENDER_INSTEAD}"
            raise OutputError("speaker", "it no longer takes sound", remedy)

    def trouble(self) -> list[Trouble]:
        """Everything that went wrong, or right again, since the last call; in order."""
        return self._stream.trouble()
