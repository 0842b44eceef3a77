"""Which frame of a sound a device must be given next, so that each is heard when it is due.

A device's requests for blocks are held against the clock: once to find the place, then to see
whether sound was lost, and all the time to see whether the device runs fast or slow.

A device tells, in a clock of its own, when it asks and when the block will be heard. How long the
request then waited for the interpreter shows as a delay of our clock against the device's beyond
the least one seen. That clock may be the wall clock and be set: so a delay can excuse an error, and
cannot make one.
"""

from collections import deque
from collections.abc import Callable
from typing import Final, NamedTuple

from darktimer.output.drift import Drift, Observation, Placement
from darktimer.units import frames

#: An error above this is sound lost, and put right at once; below it, it waits for quiet.
JUMP_MS: Final = 40
#: Drift is left alone up to here.
DRIFT_MS: Final = 2

_SETTLED_MS: Final = 400
_SETTLED_AGAIN_MS: Final = 200
#: Before the sound begins there is time.
_SETTLED_AT_LATEST_MS: Final = 1500
#: What wavers for longer is placed as it is, and corrected once it is plain: whoever waits in the
#: dark is to hear where the film is within two seconds. A buffer and a block take 0.7 of them, the
#: quiet after a sound that broke off 0.5, and a machine on which this wavers is late besides.
_SETTLED_UNDER_WAY_MS: Final = 500
_STEADY_MS: Final = 3
#: A process that stood still, rather than a buffer that just ran dry.
_STOOD_MS: Final = 500
#: No filled buffer is heard sooner than this; to say so is to say nothing, and some say it for
#: seconds after the process stood still.
_SHORTEST_DELAY_NS: Final = 1_000_000
_LONGEST_DELAY_NS: Final = 5_000_000_000
#: If so many requests on end seem to have waited for so long, a clock was set. Small steps are not
#: made by those who keep clocks: they turn all of a machine's clocks a little faster.
_REQUESTS_REMEMBERED: Final = 128
_SET_BACK_NS: Final = 100_000_000


class BlockRequest(NamedTuple):
    """A device's request for a block of ``size`` frames.

    ``boot_ns`` and ``monotonic_ns`` are our clocks now; ``device_s`` and ``heard_s`` the device's
    when it asked and when the block will be heard. ``starved``: it says that it ran out of sound.
    """

    size: int
    boot_ns: int
    monotonic_ns: int
    device_s: float
    heard_s: float
    starved: bool


class Correction(NamedTuple):
    """The sound was moved by so much (positive: left out); ``lost`` or in quiet, for drift."""

    moved_ms: float
    lost: bool


class PlaybackClock:
    """Counts frames for one opened device; frame 0 is due at ``begin_ns`` of the boot clock.

    ``quiet(start, count)`` tells whether nothing but background is in these frames. ``latency_s``
    serves where a device does not tell when a block will be heard, until its usual is known.
    """

    def __init__(
        self, rate: int, begin_ns: int, latency_s: float, quiet: Callable[[int, int], bool]
    ) -> None:
        self._rate = rate
        self._begin_ns = begin_ns
        self._latency_ns = round(latency_s * 1e9)
        self._quiet = quiet
        self._next: int | None = None
        self._first_ns: int | None = None
        self._expected = 0
        self._dry_at = 0
        self._stood_at: int | None = None
        self._last_error = 0
        self._placed = Placement()
        self._wish = self._placed, 0
        self._seen: deque[tuple[int, Observation]] = deque(maxlen=_REQUESTS_REMEMBERED)
        self._offsets_ns: deque[int] = deque(maxlen=_REQUESTS_REMEMBERED)
        self._least_ns: int | None = None
        self._drift = Drift(rate)

    def compare(self, monotonic_ns: int, device_s: float) -> None:
        """Both clocks, read at one moment by a thread that did not have to wait in between."""
        if device_s > 0:
            self._least_ns = monotonic_ns - round(device_s * 1e9)

    @property
    def next_frame(self) -> int | None:
        """The first frame not yet handed over; None while the device is settling."""
        return self._next

    def judge(self) -> None:
        """Thinks about the latest requests; for a thread that has time, a few times a second."""
        while self._seen:
            offset_ns, seen = self._seen.popleft()
            self._offsets_ns.append(offset_ns)
            self._drift.add(seen)
        self._wish = self._drift.placed, self._drift.error()
        full = len(self._offsets_ns) == _REQUESTS_REMEMBERED
        if full and self._least_ns is not None:
            lately_ns = min(self._offsets_ns)
            if lately_ns - self._least_ns > _SET_BACK_NS:
                self._least_ns = lately_ns

    def place(self, request: BlockRequest) -> tuple[int | None, Correction | None]:
        """The first frame of the block asked for, None for silence, and what was moved for it."""
        late_ns = self._late_ns(request)
        due = self._due(request, late_ns)
        if self._next is None:
            change = self._settle(request, due)
        else:
            change = self._put_right(request, late_ns, self._next)
        start, self._dry_at = self._next, due + request.size
        if start is not None:
            self._next = start + request.size
        return start, change

    def _late_ns(self, request: BlockRequest) -> int:
        """How long the request has waited for us; 0 where the device's clock cannot tell."""
        if request.device_s <= 0:
            return 0
        offset_ns = request.monotonic_ns - round(request.device_s * 1e9)
        if self._least_ns is None or offset_ns < self._least_ns:
            self._least_ns = offset_ns
        return offset_ns - self._least_ns

    def _due(self, request: BlockRequest, late_ns: int) -> int:
        """The frame that is due when the block will be heard, which is never before now."""
        delay_ns = round((request.heard_s - request.device_s) * 1e9)
        plausible = _SHORTEST_DELAY_NS <= delay_ns <= _LONGEST_DELAY_NS
        if request.device_s <= 0 or not plausible:
            usual = self._drift.usual
            delay_ns = self._latency_ns if usual is None else round(-usual * 1e9 / self._rate)
        return self._due_at(request.boot_ns + max(delay_ns - late_ns, 0))

    def _due_at(self, boot_ns: int) -> int:
        return round((boot_ns - self._begin_ns) * self._rate / 1e9)

    def _settle(self, request: BlockRequest, due: int) -> Correction | None:
        """A device's first blocks go out at once and tell nothing; then two must agree.

        So it is after the process stood still: what the device tells at first is as old as that.
        """
        if self._first_ns is None:
            self._first_ns = request.monotonic_ns
        age_ms = (request.monotonic_ns - self._first_ns) / 1e6
        steady = abs(due - self._expected) <= frames(_STEADY_MS, self._rate)
        settled_ms = _SETTLED_MS if self._stood_at is None else _SETTLED_AGAIN_MS
        latest_ms = _SETTLED_UNDER_WAY_MS if due > 0 else _SETTLED_AT_LATEST_MS
        self._expected = due + request.size
        if not ((steady and age_ms >= settled_ms) or age_ms >= latest_ms):
            self._stood_at = None if self._stood_at is None else self._stood_at + request.size
            return None
        self._next = due
        if self._stood_at is None:
            return None
        moved, self._stood_at = due - self._stood_at, None
        return Correction(moved * 1000 / self._rate, lost=True)

    def _put_right(self, request: BlockRequest, late_ns: int, place: int) -> Correction | None:
        asked = self._due_at(request.boot_ns - late_ns) - place
        said = self._due(request, late_ns), self._due(request, 0)
        heard = min((due - place - self._drift.constant for due in said), key=abs)
        if self._is_lost(request, asked, heard):
            self._placed = Placement(self._placed.losses + 1)
            # No request came for so long that the buffer must have been empty a while.
            if self._due_at(request.boot_ns) - self._dry_at > frames(_STOOD_MS, self._rate):
                self._next, self._stood_at = None, place
                self._first_ns = None
                return self._settle(request, self._due(request, late_ns))
            self._next = place + heard
            return Correction(heard * 1000 / self._rate, lost=True)
        offset_ns = request.monotonic_ns - round(request.device_s * 1e9)
        seen = Observation(self._placed, request.monotonic_ns, asked, heard)
        self._seen.append((offset_ns, seen))
        return self._move_in_quiet(request, place)

    def _move_in_quiet(self, request: BlockRequest, place: int) -> Correction | None:
        """Where what is left out or heard twice, and the block itself, is quiet."""
        placed, error = self._wish
        if placed != self._placed or abs(error) <= frames(DRIFT_MS, self._rate):
            return None
        if not self._quiet(place - abs(error), 2 * abs(error) + request.size):
            return None
        self._placed = placed._replace(moved=placed.moved + error)
        self._next = place + error
        return Correction(error * 1000 / self._rate, lost=False)

    def _is_lost(self, request: BlockRequest, asked: int, heard: int) -> bool:
        """Far off, and either the device ran dry or everything has said so twice."""
        jump = frames(JUMP_MS, self._rate)
        least = min(abs(heard), abs(self._drift.asked_error(asked)))
        before, self._last_error = self._last_error, least
        dry = request.starved or self._due_at(request.boot_ns) > self._dry_at
        return abs(heard) > jump if dry else min(least, before) > jump
