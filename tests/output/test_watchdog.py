"""A device that keeps time is let be; one that is silent, too fast or too slow is found out."""

import pytest

from darktimer.output.watchdog import Watchdog

BLOCK_MS = 160
LOOK_MS = 50


def told(
    rate: float, seconds: float, block_ms: int = BLOCK_MS, begins_ms: float = 0
) -> tuple[str, float]:
    """What is found in a device that takes ``rate`` times real time in blocks, and after how long.

    It fills its buffer of three blocks at once.
    """
    watchdog = Watchdog(block_ms, 0)
    asked_ns = 0
    taken = 0
    for now_ms in range(0, round(seconds * 1000), LOOK_MS):
        since_ms = now_ms - begins_ms
        due = 3 + int(since_ms * rate / block_ms) if since_ms >= 0 and rate else 0
        if due > taken:
            taken, asked_ns = due, now_ms * 1_000_000
        fault = watchdog.fault(now_ms * 1_000_000, taken * block_ms, asked_ns, plays=taken > 3)
        if fault:
            return fault, now_ms / 1000
    return "proven" if watchdog.proven(now_ms * 1_000_000) else "", seconds


@pytest.mark.parametrize("block_ms", [20, 160, 1060, 1660])
@pytest.mark.parametrize("rate", [0.9, 1.0, 1.1])
def test_about_real_time_is_real_time_in_blocks_of_any_length(block_ms: int, rate: float) -> None:
    assert told(rate, 60, block_ms) == ("proven", 60)


def test_it_is_proven_after_a_second_and_not_before() -> None:
    assert told(1, 0.9)[0] == ""
    assert told(1, 1.2)[0] == "proven"
    assert told(1, 3.0, block_ms=1060)[0] == "", "three blocks must have been asked for"


@pytest.mark.parametrize("rate", [1000.0, 20.0, 2.0])
def test_too_fast(rate: float) -> None:
    fault, after_s = told(rate, 20)
    assert "faster" in fault
    assert after_s <= (0.1 if rate > 100 else 2.5)


def test_too_slow() -> None:
    fault, after_s = told(0.3, 20)
    assert "more slowly" in fault
    assert after_s < 4


def test_one_that_never_begins_and_one_that_begins_late() -> None:
    assert told(0, 20) == ("the device takes no sound", 3.05)
    assert told(1, 20, begins_ms=2900)[0] == "proven"


@pytest.mark.parametrize(("block_ms", "within_s"), [(160, 1.05), (1060, 3.3)])
def test_silence_is_noticed_after_a_second_or_three_blocks(block_ms: int, within_s: float) -> None:
    watchdog = Watchdog(block_ms, 0)
    assert not watchdog.fault(0, 3 * block_ms, 0, plays=True)
    found = [
        ms
        for ms in range(50, 9000, 50)
        if watchdog.fault(ms * 1_000_000, 3 * block_ms, 0, plays=True)
    ]
    assert within_s - 0.15 < found[0] / 1000 <= within_s


def test_a_device_that_only_fills_its_buffer_is_waited_for_as_one_that_takes_nothing() -> None:
    """A suspended sink does that, and plays as soon as it goes on."""
    watchdog = Watchdog(BLOCK_MS, 0)
    found = [ms for ms in range(0, 9000, 50) if watchdog.fault(ms * 1_000_000, 480, 0, plays=False)]
    assert found[0] == 3050


def test_who_was_held_up_blames_nobody() -> None:
    watchdog = Watchdog(BLOCK_MS, 0)
    assert not watchdog.fault(0, 480, 0, plays=True)
    assert not watchdog.fault(3_000_000_000, 480, 0, plays=True), "the process stood still"
    assert not watchdog.fault(3_900_000_000, 960, 3_850_000_000, plays=True)
    assert not watchdog.fault(4_840_000_000, 1_600, 3_850_000_000, plays=True)
    assert watchdog.fault(4_860_000_000, 1_600, 3_850_000_000, plays=True)
