"""Three clocks behind one seam, so that tests and rehearsals can turn them by hand.

The boot clock goes on while the machine sleeps and is the one a film is timed by; the monotonic
clock may stand still then, so that a sleep shows as their difference. The wall clock can be set by
anyone and is only good for finding a run again after the power was cut.
"""

import sys
import time
from typing import Protocol


class Clock(Protocol):
    """Whole nanoseconds; only differences of one clock mean anything, but for the wall clock."""

    def boot_ns(self) -> int:
        """Goes on during a machine's sleep, is never set: what film time is counted by."""
        ...

    def monotonic_ns(self) -> int:
        """Is never set, and on some systems stands still during a machine's sleep."""
        ...

    def wall_ns(self) -> int:
        """Nanoseconds since 1970 as the machine believes; may jump either way."""
        ...


class SystemClock:
    """The machine's own clocks."""

    def boot_ns(self) -> int:
        # Linux keeps a clock of its own for what goes on during sleep.
        if sys.platform == "win32":
            return time.perf_counter_ns()
        if sys.platform == "linux":
            return time.clock_gettime_ns(time.CLOCK_BOOTTIME)
        return time.clock_gettime_ns(time.CLOCK_MONOTONIC)

    def monotonic_ns(self) -> int:
        # Windows' other clock counts in steps of 15 ms.
        return time.perf_counter_ns() if sys.platform == "win32" else time.monotonic_ns()

    def wall_ns(self) -> int:
        return time.time_ns()


class ManualClock:
    """Clocks that stand until they are turned; starts at any moment."""

    def __init__(self, boot_ns: int = 0, wall_ns: int = 0) -> None:
        self._boot_ns = self._monotonic_ns = boot_ns
        self._wall_ns = wall_ns

    def boot_ns(self) -> int:
        return self._boot_ns

    def monotonic_ns(self) -> int:
        return self._monotonic_ns

    def wall_ns(self) -> int:
        return self._wall_ns

    def advance(self, ms: float) -> None:
        """Lets time pass, on all three clocks."""
        self.sleep(ms)
        self._monotonic_ns += round(ms * 1_000_000)

    def sleep(self, ms: float) -> None:
        """The machine sleeps: the monotonic clock stands still."""
        self._boot_ns += round(ms * 1_000_000)
        self.set_wall(ms)

    def set_wall(self, ms: float) -> None:
        """Somebody sets the wall clock forward, or back, by so much."""
        self._wall_ns += round(ms * 1_000_000)
