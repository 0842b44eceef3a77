"""Whether a device takes sound as fast as it can be heard: not slower, not faster, and at all.

A frozen server takes none and says nothing; a device that is none swallows an hour in a second.
"""

from collections import deque
from typing import Final

#: A device that has played and asks for nothing for so long is lost; longer blocks take longer.
SILENT_MS: Final = 1000
_SILENT_BLOCKS: Final = 3
#: One that has not played yet is given longer to begin.
_BEGINS: Final = 3
#: So long it must have kept time before a run may depend on it.
_PROVES_MS: Final = 1000
_PROVES_BLOCKS: Final = 3
#: Rates are compared over so long, and over blocks enough to tell.
_COMPARED_MS: Final = 2000
_COMPARED_BLOCKS: Final = 8
#: Beyond these it keeps no time; what is only a little off is the playback clock's business.
_SLOWEST, _FASTEST = 0.5, 1.5
#: A device fills its own buffer at once.
_BUFFERED_BLOCKS: Final = 5
#: Who looks was held up if he comes so late, and can blame nobody.
_HELD_UP_MS: Final = 1000


class Watchdog:
    """What one device takes, in milliseconds of sound, in blocks of ``block_ms``."""

    def __init__(self, block_ms: int, now_ns: int) -> None:
        self._block_ms = block_ms
        self._silent_ms = max(SILENT_MS, _SILENT_BLOCKS * block_ms)
        self._seen: deque[tuple[int, float]] = deque()
        self._looked_ns = self._judged_from_ns = self._asked_ns = now_ns
        self._begun_ns: int | None = None
        self._plays = False

    def fault(self, now_ns: int, taken_ms: float, asked_ns: int, *, plays: bool) -> str:
        """Why the device is of no use, "" where it is; ``asked_ns`` is when it last asked.

        What fills its buffer at once shows nothing yet of whether it ``plays``.
        """
        if now_ns - self._looked_ns > _HELD_UP_MS * 1_000_000:
            self._seen.clear()  # the process stood still: what was taken until now says nothing
            self._judged_from_ns = now_ns
        self._looked_ns = now_ns
        if self._begun_ns is None and taken_ms:
            self._begun_ns = now_ns
        patience_ms = self._silent_ms if plays else _BEGINS * self._silent_ms
        if now_ns - max(asked_ns, self._judged_from_ns) > patience_ms * 1_000_000:
            return "the device takes no sound"
        if plays and not self._plays:
            self._plays = True
            self._seen.clear()
        return self._off(now_ns, taken_ms) if taken_ms else ""

    def proven(self, now_ns: int) -> bool:
        """Whether it has kept time for long enough, given that there is no fault."""
        needed_ms = max(_PROVES_MS, _PROVES_BLOCKS * self._block_ms)
        return self._begun_ns is not None and now_ns - self._begun_ns >= needed_ms * 1_000_000

    def _off(self, now_ns: int, taken_ms: float) -> str:
        compared_ms = max(_COMPARED_MS, _COMPARED_BLOCKS * self._block_ms)
        self._seen.append((now_ns, taken_ms))
        while now_ns - self._seen[0][0] > compared_ms * 1_000_000:
            self._seen.popleft()
        lasted_ms = (now_ns - self._seen[0][0]) / 1e6
        taken_ms -= self._seen[0][1]
        if taken_ms > lasted_ms * _FASTEST + _BUFFERED_BLOCKS * self._block_ms:
            return "the device takes sound faster than it can be heard"
        long_enough = self._plays and lasted_ms > compared_ms * 0.9
        if long_enough and taken_ms < lasted_ms * _SLOWEST:
            return "the device takes sound more slowly than it has to be heard"
        return ""
