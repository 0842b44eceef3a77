"""Knocks on the bench as keys: a microphone, what hears knocks in it, a thread between them.

The device's thread only hands blocks over, and a block is gone once it was listened to: nothing is
kept of what is heard. A microphone that is lost is sought again and again.
"""

import threading
import time
from collections import deque
from collections.abc import Iterator
from contextlib import suppress
from queue import Empty, SimpleQueue
from typing import Any, Final, NamedTuple, Self

import numpy as np

from darktimer.cues.tone import Samples
from darktimer.errors import OutputError
from darktimer.knocks.detector import Condition, KnockDetector
from darktimer.knocks.learning import Knock, learn
from darktimer.knocks.patterns import Knocked, KnocksHeard
from darktimer.knocks.spectrum import LEAST_RATE_HZ
from darktimer.live.gestures import KNOCK, LEARNT_FROM, Key
from darktimer.output.devices import Device
from darktimer.output.microphone import Microphone, microphone
from darktimer.output.portaudio import give_back_error_stream, look_again, turn

_OTHERWISE: Final = "leave --knocks out and go by keys"
_CHOOSE: Final = f"choose another with --microphone, or {_OTHERWISE}"
_UNMUTE: Final = f"unmute it, {_CHOOSE}"
_LATENCY_S: Final = 0.15
_BEGINS_S: Final = 5.0
_CLOSES_S: Final = 1.0
_PAUSE_S: Final = 0.3
#: A microphone is lost that gives no block for so long.
_BLOCK_S: Final = 1.0
#: No sound for so long is told; for so long, and nobody waits for knocks.
_REPORTED_S: Final = 5.0
_GONE_S: Final = 15.0
_FULL_SCALE: Final = 32_768


class News(NamedTuple):
    """What has become of the microphone, and whether the person must know at once."""

    found: str
    alarms: bool


class Knocks:
    """Knocks as the microphone of that name hears them; a context.

    ``knock`` is what was learnt of the person's own, None before that.
    """

    def __init__(self, name: str | None, knock: Knock | None = None) -> None:
        self.name = name
        self.knock = knock
        self.clips = False
        self._keys: deque[Key] = deque()
        self._patterns: deque[KnocksHeard] = deque(maxlen=LEARNT_FROM)
        self._fault = OutputError(name or "microphone", "the sound system does not answer", _CHOOSE)
        self._sound_s = time.monotonic()
        self._reported_clips = self._reported_lost = False
        self._begun, self._ended = threading.Event(), threading.Event()
        self._thread = threading.Thread(target=self._listen, name="knocks", daemon=True)

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(self, *_: Any) -> None:
        self._ended.set()
        self._thread.join(_CLOSES_S)

    def prove(self) -> None:
        """Returns once the microphone gives sound. Raises `OutputError` if it does not soon."""
        if not self._begun.wait(_BEGINS_S):
            give_back_error_stream()
            raise self._fault

    def read(self) -> list[Key]:
        """The patterns knocked since the last call."""
        return [self._keys.popleft() for _ in range(len(self._keys))]

    def learn(self) -> None:
        """The last patterns are this person's own: all from now on must be like them."""
        self.knock = learn(self._patterns)

    @property
    def gone(self) -> bool:
        """Whether nobody should wait for knocks; the microphone may come back all the same."""
        return time.monotonic() - self._sound_s > _GONE_S

    def news(self) -> Iterator[News]:
        """What has become of the microphone since the last call."""
        if self.clips and not self._reported_clips:
            self._reported_clips = True
            yield News("the microphone is set too high: knocks may not be heard", alarms=True)
        lost = time.monotonic() - self._sound_s > _REPORTED_S
        if lost is not self._reported_lost:
            self._reported_lost = lost
            found = f"knocks are not heard: {self._fault}" if lost else "knocks are heard again"
            yield News(found, alarms=lost)

    def kept(self) -> dict[str, Any]:
        """What it is taken up again with, as plain JSON."""
        return {"microphone": self.name, "knock": self.knock and self.knock.as_json()}

    @classmethod
    def taken_up(cls, kept: dict[str, Any]) -> Self:
        """What `kept` gave; a knock that cannot be read is any person's."""
        knock = None
        with suppress(ValueError, TypeError, KeyError):
            knock = Knock.from_json(kept["knock"])
        return cls(kept.get("microphone"), knock)

    # The thread's own

    def _listen(self) -> None:
        """Microphone after microphone, until the end."""
        while not self._ended.is_set():
            try:
                blocks: SimpleQueue[Samples] = SimpleQueue()
                with self._opened(blocks) as stream:
                    self._follow(stream, blocks)
            except OutputError as error:
                self._fault = error
            except Exception as error:  # a thread that dies would write to the error stream
                self._fault = OutputError("microphone", repr(error), _OTHERWISE)
            self._ended.wait(_PAUSE_S)

    def _opened(self, blocks: SimpleQueue[Samples]) -> Microphone:
        with turn() as ours:
            device = self._device(ours)
            return Microphone(device, device.rate, blocks.put, _LATENCY_S)

    def _device(self, ours: bool) -> Device:
        """The list of devices is as old as the library's start, and read again for one missing."""
        found = None
        with suppress(OutputError):
            found = microphone(self.name, _OTHERWISE)
        if not found:
            look_again(ours)
            found = microphone(self.name, _OTHERWISE)
        if not found:
            raise OutputError("microphone", "there is none", f"plug one in, or {_OTHERWISE}")
        if found.rate < LEAST_RATE_HZ:
            few = f"it gives {found.rate} samples a second, knocks take {LEAST_RATE_HZ}"
            raise OutputError(found.name, few, _CHOOSE)
        return found

    def _follow(self, stream: Microphone, blocks: SimpleQueue[Samples]) -> None:
        """Listens until the microphone is lost."""
        hearing, begun_s = _Hearing(stream.rate, self.knock), time.monotonic()
        while not self._ended.is_set():
            try:
                block = blocks.get(timeout=_BLOCK_S)
            except Empty:
                raise OutputError(stream.name, "it gives no sound", _CHOOSE) from None
            if stream.finished:
                raise OutputError(stream.name, "it went away", _CHOOSE)
            if np.ptp(block):
                self._sound_s = time.monotonic()
                self._begun.set()
            else:
                self._fault = OutputError(stream.name, "it gives only silence", _UNMUTE)
                if time.monotonic() - max(self._sound_s, begun_s) > _REPORTED_S:
                    raise self._fault  # a sound server may have put another in its place
            if hearing.knock is not self.knock:
                hearing = _Hearing(stream.rate, self.knock)
            self._take(hearing, block)

    def _take(self, hearing: "_Hearing", block: Samples) -> None:
        for heard, ago_s in hearing.hear(block):
            self._patterns.append(heard)
            ago_ms = round(1000 * (ago_s + _LATENCY_S))
            self._keys.append(Key(KNOCK, heard.pattern is Knocked.GO_ON, ago_ms, heard.sure))
        self.clips = self.clips or hearing.clips


class _Hearing:
    """One microphone from a moment on, listened to for ``knock``."""

    def __init__(self, rate: int, knock: Knock | None) -> None:
        self.knock = knock
        self._detector = KnockDetector(rate, knock)
        self._rate = rate
        self._frames = 0

    def hear(self, block: Samples) -> Iterator[tuple[KnocksHeard, float]]:
        """Each pattern, and how many seconds before the end of the block it was begun."""
        self._frames += len(block)
        for heard in self._detector.hear(np.divide(block, _FULL_SCALE, dtype=np.float32)):
            yield heard, self._frames / self._rate - heard.strikes[0].at_s

    @property
    def clips(self) -> bool:
        """Whether the microphone takes less than it is given."""
        return self._detector.condition is Condition.CLIPPING
