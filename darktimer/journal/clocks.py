"""What time it is by two clocks: the wall's, which people set, and one that only runs forward.

A run that is taken up again after a kill needs both. The second clock counts sleep, where the
system has such a one, but begins anew with each start of the machine; so the start is named too.
"""

import sys
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final, Literal, NamedTuple

_BOOT_ID: Final = Path("/proc/sys/kernel/random/boot_id")
_EPOCH: Final = datetime(1970, 1, 1, tzinfo=UTC)


class Reading(NamedTuple):
    """Both clocks at one moment. ``boot_ms`` is None where no clock counts sleep."""

    wall_utc_ms: int
    boot_ms: int | None
    boot_id: str

    def ahead(self, ms: int, boot_ms: int) -> "Reading":
        """The clocks ``ms`` later, when the boot clock, where there is one, is at ``boot_ms``."""
        known_ms = None if self.boot_ms is None else boot_ms
        return self._replace(wall_utc_ms=self.wall_utc_ms + ms, boot_ms=known_ms)


class Elapsed(NamedTuple):
    """Time gone between two readings, and the clock it is known by.

    By "boot" it is exact. By "wall" it is as good as the wall clock: one that was set in between,
    or that runs wrong while the machine is off, makes it wrong by as much.
    """

    ms: int
    by: Literal["boot", "wall"]


def read_clocks() -> Reading:
    """Both clocks now."""
    return Reading(time.time_ns() // 1_000_000, _boot_ms(), _boot_id())


def elapsed(then: Reading, now: Reading) -> Elapsed:
    """The time from ``then`` to ``now``: by the boot clock within one start of the machine."""
    same_start = then.boot_id and then.boot_id == now.boot_id
    if same_start and then.boot_ms is not None and now.boot_ms is not None:
        return Elapsed(now.boot_ms - then.boot_ms, "boot")
    return Elapsed(now.wall_utc_ms - then.wall_utc_ms, "wall")


def utc_text(utc_ms: int) -> str:
    """A moment as ISO 8601 with milliseconds: ``2031-05-04T20:15:00.250Z``."""
    moment = _EPOCH + timedelta(milliseconds=utc_ms)
    return moment.isoformat(timespec="milliseconds").replace("+00:00", "Z")


def local_text(utc_ms: int) -> str:
    """A moment in the user's own time zone, to the minute: ``2031-05-04 22:15``."""
    return datetime.fromtimestamp(utc_ms / 1000).isoformat(" ", "minutes")


def day_utc_ms(text: str) -> int:
    """The start of a day in the user's own time zone, written as 2024-05-04; raises `ValueError`.

    A day that is yet to come is refused.
    """
    return _past_utc_ms(text, "%Y-%m-%d", "a day", "2024-05-04")


def moment_utc_ms(text: str) -> int:
    """A moment in the user's own time zone, written as 2024-05-04 20:15; raises likewise."""
    return _past_utc_ms(text, "%Y-%m-%d %H:%M", "a moment", "2024-05-04 20:15")


def _past_utc_ms(text: str, layout: str, what: str, example: str) -> int:
    try:
        utc_ms = int(datetime.strptime(text, layout).timestamp() * 1000)
    except (ValueError, OverflowError, OSError):
        raise ValueError(f"{text!r} is not {what}; write one such as {example}") from None
    if utc_ms > read_clocks().wall_utc_ms:
        raise ValueError(f"{text} is yet to come; write {what} that is past")
    return utc_ms


def utc_ms(text: str) -> int:
    """The moment written by `utc_text`; raises `ValueError` for anything else."""
    moment = datetime.fromisoformat(text)
    if moment.tzinfo is None:
        raise ValueError(f"{text!r} names no time zone")
    return (moment - _EPOCH) // timedelta(milliseconds=1)


def _boot_ms() -> int | None:
    if sys.platform != "linux":
        return None
    return time.clock_gettime_ns(time.CLOCK_BOOTTIME) // 1_000_000


def _boot_id() -> str:
    try:
        return _BOOT_ID.read_text("ascii").strip()
    except OSError:
        return ""
