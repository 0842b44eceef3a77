"""How far a device's clock has crept away from ours, told from noise.

*When a device asks* is exact to a tenth of a millisecond at its earliest, but shifts for good when
the sound system changes its own buffers. *When it says that a block will be heard* knows of those,
but wanders by tens of milliseconds for half a minute when the machine is busy. So the first is
measured by, and the second must agree.
"""

from collections import deque
from statistics import median, quantiles
from typing import Final, NamedTuple

#: So long a busy machine may keep every single request waiting; a device creeps 2 ms in it at most.
_RECENT_NS: Final = 12_000_000_000
_USUAL_FROM_NS: Final = 2_000_000_000
_USUAL_TO_NS: Final = 10_000_000_000
#: What was put right in haste after a loss shows sooner, if it is plainly wrong.
_AFTER_LOSS_NS: Final = 1_000_000_000
_PLAIN_MS: Final = 4
#: A server that misses a cycle is late by it at once and for good; some miss one after another.
_STEP_NS: Final = 2_000_000_000
_STEP_MS: Final = 8
_CALM_NS: Final = 15_000_000_000
_CALM_MS: Final = 2.5
_DISAGREE_MS: Final = 3.0
_STILL_MS: Final = 1.0


class Placement(NamedTuple):
    """Where the sound has been put: so many losses, and moved ahead by so much since the last."""

    losses: int = 0
    moved: int = 0


class Observation(NamedTuple):
    """One request: its distance from the frame that is due now, and when it will be heard."""

    placed: Placement
    at_ns: int
    asked: int
    heard: int


class Drift:
    """Errors of one stream in frames, positive where the sound lags behind our clock.

    ``constant`` is by how much the device's word on when a block is heard is wrong, ``usual`` the
    distance of a request in time. What was seen is kept as if nothing was moved since a loss.
    """

    def __init__(self, rate: int) -> None:
        self._per_ms = rate / 1000
        self._seen: deque[Observation] = deque()
        self.usual: int | None = None
        self._first_ns: int | None = None
        self._learnt = False
        self.placed = Placement()
        self.constant = 0

    def add(self, seen: Observation) -> None:
        """What was seen before a loss says nothing about the time after it, but for the usual."""
        if seen.placed.losses != self.placed.losses:
            self._seen.clear()
            self._learnt = self.usual is not None
        self.placed, moved = seen.placed, seen.placed.moved
        self._seen.append(seen._replace(asked=seen.asked + moved, heard=seen.heard + moved))
        while seen.at_ns - self._seen[0].at_ns > _CALM_NS:
            self._seen.popleft()

    def asked_error(self, asked: int) -> int:
        """The error of one request by its time alone, 0 while the usual is not known."""
        return 0 if self.usual is None else asked - self.usual

    def error(self) -> int:
        """The error over the last seconds, of what is ``placed``; 0 where none is certain."""
        if not self._seen:
            return 0
        at_ns, (recent, asked, heard) = self._seen[-1].at_ns, self._over(_RECENT_NS)
        if self._learns(at_ns, asked):
            return 0
        if self._early():
            return 0
        if step := self._step():
            return step
        if abs(heard - self.asked_error(asked)) > _DISAGREE_MS * self._per_ms and self._calm():
            heard = self._agreed(asked, heard)
        error = self.asked_error(asked)
        lasted_ns = at_ns - recent[0].at_ns
        plain = lasted_ns >= _AFTER_LOSS_NS and abs(error) > _PLAIN_MS * self._per_ms
        if not plain and lasted_ns < _RECENT_NS * 9 // 10:
            return 0
        return error if heard * error > 0 and abs(heard) >= abs(error) / 2 else 0

    def _over(self, lasting_ns: int) -> tuple[list[Observation], int, int]:
        """What was seen in so long, the least that was asked, and the middle of what was said."""
        recent = [each for each in self._seen if self._seen[-1].at_ns - each.at_ns <= lasting_ns]
        asked = min(each.asked for each in recent) - self.placed.moved
        heard = round(median(each.heard for each in recent)) - self.placed.moved
        return recent, asked, heard

    def _early(self) -> bool:
        """Nobody asks too early but a system with other buffers now, whose word is believed."""
        recent, asked, heard = self._over(_STEP_NS)
        limit, middle = -_STEP_MS * self._per_ms, round(median(each.asked for each in recent))
        early = self.asked_error(asked) < limit
        if self.asked_error(middle - self.placed.moved) < limit:
            self.usual = asked - heard
        return early

    def _step(self) -> int:
        """What shows at once: far more than drift, by both measures, in each of many requests.

        What was seen before it says nothing any more.
        """
        recent, asked, heard = self._over(_STEP_NS)
        error = min(self.asked_error(asked), heard, key=abs)
        lasted = recent[-1].at_ns - recent[0].at_ns >= _STEP_NS * 3 // 4
        agree = self.asked_error(asked) * heard > 0
        if not (lasted and agree and abs(error) > _STEP_MS * self._per_ms):
            return 0
        self._seen = deque(recent)
        return error

    def _agreed(self, asked: int, heard: int) -> int:
        """Of two that disagree for good, one is wrong; returns the second put right.

        If requests come as they always did, nothing has moved: what the device said at its start
        was wrong, and so the whole sound is late or early, always by the same. That is let be.
        """
        error = self.asked_error(asked)
        if abs(error) > _STILL_MS * self._per_ms:
            self.usual = asked - heard
            return heard
        wrong = heard - error
        self.constant += wrong
        self._seen = deque(each._replace(heard=each.heard - wrong) for each in self._seen)
        return error

    def _learns(self, at_ns: int, asked: int) -> bool:
        """Whether it is too early to know the usual, which is the least that has been asked."""
        if self._learnt:
            return False
        if self._first_ns is None:
            self._first_ns = at_ns
        age_ns = at_ns - self._first_ns
        if age_ns >= _USUAL_FROM_NS:
            self.usual = asked if self.usual is None else min(self.usual, asked)
        self._learnt = age_ns >= _USUAL_TO_NS
        return True

    def _calm(self) -> bool:
        """Whether the device has said the same for long enough to be believed alone."""
        if self._seen[-1].at_ns - self._seen[0].at_ns < _CALM_NS * 9 // 10:
            return False
        tenths = quantiles((each.heard for each in self._seen), n=10)
        return tenths[-1] - tenths[0] <= _CALM_MS * self._per_ms
