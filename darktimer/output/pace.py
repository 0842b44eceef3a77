"""Which frame of a sound a card must be given next, so that each is heard when it is due.

A card asks for block after block. Here its requests are held against the clock: once to find the
place, then to see whether sound was lost, and all the time to see whether the card runs fast or
slow. Knows no device; a simulated card drives it in the tests.

A card tells, in a clock of its own, when it asks and when the block will be heard. Their
difference says when a request is due. How long the request then waited for the interpreter shows
as a delay of our clock against the card's beyond the least one lately seen. That may be told
wrongly, since a card's clock may be the wall clock and be set: so a delay can excuse an error, and
cannot make one.
"""

from collections import deque
from collections.abc import Callable
from statistics import median
from typing import Final, NamedTuple

from darktimer.units import frames

#: An error above this is sound lost, and put right at once; below it, it is drift.
JUMP_MS: Final = 40
#: Drift is left alone up to here, which is more than the clocks of a sound server waver.
DRIFT_MS: Final = 2

_SETTLED_MS: Final = 500
_SETTLED_AT_LATEST_MS: Final = 2000
_STEADY_MS: Final = 3
_WATCHED_MS: Final = 3000
_PROMPT_MS: Final = 5
_LONGEST_DELAY_MS: Final = 5000
_REQUESTS_REMEMBERED: Final = 128


class Request(NamedTuple):
    """A card's request for a block of ``size`` frames.

    ``boot_ns`` and ``monotonic_ns`` are our clocks now; ``card_s`` and ``heard_s`` are the card's
    clock when it asked and when it says that the block will be heard. ``starved`` is the card's
    own word for having run out of sound.
    """

    size: int
    boot_ns: int
    monotonic_ns: int
    card_s: float
    heard_s: float
    starved: bool


class Change(NamedTuple):
    """The sound was moved by so much (positive: left out); ``lost`` or in quiet, for drift."""

    moved_ms: float
    lost: bool


class Pace:
    """Counts frames for one opened card; frame 0 is due at ``begin_ns`` of the boot clock.

    ``quiet(start, count)`` tells whether nothing but background is in these frames.
    ``latency_s`` serves where a card does not tell when a block will be heard.
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
        self._last_ns = 0
        self._last_error = 0
        self._expected = 0
        self._offsets_ns: deque[int] = deque(maxlen=_REQUESTS_REMEMBERED)
        self._errors: deque[tuple[int, int]] = deque()

    def compare(self, monotonic_ns: int, card_s: float) -> None:
        """Both clocks, read at one moment by a thread that did not have to wait in between."""
        if card_s > 0:
            self._offsets_ns.append(monotonic_ns - round(card_s * 1e9))

    @property
    def next_frame(self) -> int | None:
        """The first frame not yet handed over; None while the card is settling."""
        return self._next

    def place(self, request: Request) -> tuple[int | None, Change | None]:
        """The first frame of the block asked for, None for silence, and what was moved for it."""
        late_ns = self._late_ns(request)
        due = self._due(request, late_ns)
        change = None
        if self._next is None:
            self._settle(request, due)
        else:
            change = self._lost(request, due) or self._drift(request, due, late_ns)
        self._last_ns = request.monotonic_ns
        start = self._next
        if self._next is not None:
            self._next += request.size
        return start, change

    def _late_ns(self, request: Request) -> int:
        """How long the request has waited for us; 0 where the card's clock cannot tell."""
        self.compare(request.monotonic_ns, request.card_s)
        return self._offsets_ns[-1] - min(self._offsets_ns) if request.card_s > 0 else 0

    def _due(self, request: Request, late_ns: int) -> int:
        """The frame that is due when the block will be heard, which is never before now."""
        delay_ns = round((request.heard_s - request.card_s) * 1e9)
        if request.card_s <= 0 or not 0 <= delay_ns <= _LONGEST_DELAY_MS * 1_000_000:
            delay_ns = self._latency_ns
        heard_ns = request.boot_ns + max(delay_ns - late_ns, 0)
        return round((heard_ns - self._begin_ns) * self._rate / 1e9)

    def _settle(self, request: Request, due: int) -> None:
        """A card's first blocks go out at once and tell nothing; then two must agree."""
        if self._first_ns is None:
            self._first_ns = request.monotonic_ns
        age_ms = (request.monotonic_ns - self._first_ns) / 1e6
        steady = abs(due - self._expected) <= frames(_STEADY_MS, self._rate)
        self._expected = due + request.size
        if (steady and age_ms >= _SETTLED_MS) or age_ms >= _SETTLED_AT_LATEST_MS:
            self._next = due

    def _lost(self, request: Request, due: int) -> Change | None:
        """Puts right what is far off, if the card starved or the block before was as far off."""
        assert self._next is not None
        errors = due - self._next, self._due(request, 0) - self._next
        error, before = min(errors, key=abs), self._last_error
        jump = frames(JUMP_MS, self._rate)
        self._last_error = error
        if abs(error) <= jump or not (self._starved(request) or abs(before) > jump):
            return None
        self._move(self._next + error)
        return Change(error * 1000 / self._rate, lost=True)

    def _starved(self, request: Request) -> bool:
        return request.starved or request.monotonic_ns - self._last_ns > self._latency_ns

    def _drift(self, request: Request, due: int, late_ns: int) -> Change | None:
        """Puts right what has crept in, where nobody can hear it."""
        assert self._next is not None
        if late_ns <= _PROMPT_MS * 1_000_000:
            self._errors.append((request.monotonic_ns, due - self._next))
        oldest_ns = request.monotonic_ns - _WATCHED_MS * 1_000_000
        if not self._errors or self._errors[0][0] > oldest_ns:
            return None
        while len(self._errors) > 1 and self._errors[1][0] <= oldest_ns:
            self._errors.popleft()
        error = round(median(error for _, error in self._errors))
        if abs(error) <= frames(DRIFT_MS, self._rate) or not self._unheard(error, request.size):
            return None
        self._move(self._next + error)
        return Change(error * 1000 / self._rate, lost=False)

    def _unheard(self, error: int, count: int) -> bool:
        """Whether all that would be left out or heard twice, and the block itself, is quiet."""
        assert self._next is not None
        return self._quiet(self._next - abs(error), 2 * abs(error) + count)

    def _move(self, to: int) -> None:
        self._next = to
        self._last_error = 0
        self._errors.clear()
