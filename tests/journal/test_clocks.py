"""What time it is, by the wall's clock and by one that only runs forward."""

import sys
import time
from datetime import datetime
from pathlib import Path

import pytest

from darktimer.journal import clocks
from darktimer.journal.clocks import Reading, day_utc_ms, elapsed, read_clocks, utc_ms, utc_text

THEN = Reading(1_900_000_000_250, 5_000, "a start")


def test_both_clocks_are_those_of_the_machine(monkeypatch):
    before, now, after = time.time(), read_clocks(), time.time()
    assert before - 0.001 <= now.wall_utc_ms / 1000 <= after
    if sys.platform == "linux":
        uptime_s, *_ = Path("/proc/uptime").read_text("ascii").split()
        assert now.boot_ms / 1000 == pytest.approx(float(uptime_s), abs=60)
        monkeypatch.setattr(
            time, "clock_gettime_ns", lambda which: 7_000_000_999_999 * (which == 7)
        )
        assert read_clocks().boot_ms == 7_000_000  # CLOCK_BOOTTIME is 7: linux/time.h
        assert now.boot_id == Path("/proc/sys/kernel/random/boot_id").read_text("ascii").strip()


def test_where_no_clock_counts_sleep_there_is_none(monkeypatch, tmp_path):
    monkeypatch.setattr(sys, "platform", "elsewhere")
    monkeypatch.setattr(clocks, "_BOOT_ID", tmp_path / "none")
    assert read_clocks()[1:] == (None, "")


@pytest.mark.parametrize(
    ("then", "now", "gone"),
    [
        (THEN, THEN._replace(boot_ms=5_700, wall_utc_ms=0), (700, "boot")),
        (THEN, THEN._replace(boot_ms=None, wall_utc_ms=THEN.wall_utc_ms + 9), (9, "wall")),
        (THEN._replace(boot_ms=None), THEN._replace(wall_utc_ms=THEN.wall_utc_ms + 9), (9, "wall")),
        (THEN, Reading(THEN.wall_utc_ms - 9, 6_000, "another start"), (-9, "wall")),
        (THEN._replace(boot_id=""), Reading(THEN.wall_utc_ms + 9, 6_000, ""), (9, "wall")),
    ],
)
def test_the_clock_that_runs_forward_counts_where_both_readings_have_it(then, now, gone):
    assert elapsed(then, now) == gone


def test_a_moment_as_the_standard_writes_it():
    """1.9 thousand million seconds of Unix time are 2030-03-17 17:46:40 UTC, says `date -u`."""
    assert utc_text(1_900_000_000_250) == "2030-03-17T17:46:40.250Z"
    assert utc_ms("2030-03-17T19:46:40.250+02:00") == 1_900_000_000_250
    with pytest.raises(ValueError, match="names no time zone"):
        utc_ms("2030-03-17T17:46:40.250")


def test_a_day_begins_at_midnight_and_is_not_to_come(monkeypatch):
    midnight = datetime(2024, 5, 4)
    assert day_utc_ms("2024-05-04") == midnight.timestamp() * 1000
    for now_ms, early in ((0, False), (-1, True)):
        now = Reading(round(midnight.timestamp() * 1000) + now_ms, None, "")
        monkeypatch.setattr(clocks, "read_clocks", lambda now=now: now)
        if early:
            with pytest.raises(ValueError, match="2024-05-04 is yet to come"):
                day_utc_ms("2024-05-04")
        else:
            assert day_utc_ms("2024-05-04") == now.wall_utc_ms
    for text in ("yesterday", "2024-13-01", "04.05.2024", "0001-01-01"):
        with pytest.raises(ValueError, match="is not a day"):
            day_utc_ms(text)


def test_the_clocks_of_a_later_moment():
    """The boot clock is where it is said to be, and nowhere where there is none."""
    assert THEN.ahead(700, 5_650) == (1_900_000_000_950, 5_650, "a start")
    assert THEN._replace(boot_ms=None).ahead(700, 5_650) == (1_900_000_000_950, None, "a start")
