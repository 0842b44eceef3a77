"""Three clocks behind one seam, so that tests can turn them by hand."""

import sys
import time


class Clock:
    """The machine's clocks, in whole nanoseconds; only differences of one clock mean anything."""

    def boot_ns(self) -> int:
        """Goes on during a machine's sleep, is never set: what a film is timed by."""
        # Linux keeps a clock of its own for what goes on during sleep.
        if sys.platform == "win32":
            return time.perf_counter_ns()
        if sys.platform == "linux":
            return time.clock_gettime_ns(time.CLOCK_BOOTTIME)
        return time.clock_gettime_ns(time.CLOCK_MONOTONIC)

    def monotonic_ns(self) -> int:
        """Is never set; where it stands still in sleep, a sleep shows beside the boot clock."""
        # Windows' other clock counts in steps of 15 ms.
        return time.perf_counter_ns() if sys.platform == "win32" else time.monotonic_ns()

    def wall_ns(self) -> int:
        """Since 1970 as the machine believes; anyone sets it: for runs that lost their power."""
        return time.time_ns()
