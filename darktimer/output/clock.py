"""Three clocks behind one seam, so that tests can turn them by hand.

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
