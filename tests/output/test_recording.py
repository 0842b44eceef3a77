"""The clocks, and the recording that other tests rely on: what was due, when it was due."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from darktimer.cues.tone import Samples
from darktimer.output.clock import Clock
from tests.output.recording import ManualClock, RecordingStream

RATE = 8000


class Counting:
    """Sample n is n, and all that lies beyond is silent."""

    rate = RATE
    frames = RATE * 3

    def __init__(self) -> None:
        self.line = np.arange(self.frames, dtype=np.int16)

    def fill(self, start: int, count: int) -> Samples:
        padded = np.pad(self.line, (0, start + count))
        return padded[start : start + count]

    def cuts(self) -> tuple[int, ...]:
        return 0, self.frames


@given(st.lists(st.integers(0, 700), max_size=20))
def test_any_steps_of_the_clock_give_the_same_line(steps_ms: list[int]) -> None:
    clock, sound = ManualClock(5_000_000), Counting()
    stream = RecordingStream(sound, clock=clock, begin_ns=clock.boot_ns() + 100_000_000)
    for step_ms in steps_ms:
        clock.advance(step_ms)
        stream.keep_up()
    due = max(0, sum(steps_ms) - 100) * RATE // 1000
    assert np.array_equal(stream.samples(), sound.fill(0, due))


def test_what_is_added_in_time_is_recorded_and_what_is_late_is_not() -> None:
    clock, sound = ManualClock(), Counting()
    stream = RecordingStream(sound, clock=clock, begin_ns=0)
    clock.advance(1000)
    stream.keep_up()
    sound.line[[RATE // 2, RATE * 3 // 2]] = -1
    clock.advance(1000)
    stream.keep_up()
    samples = stream.samples()
    assert samples[RATE // 2] == RATE // 2
    assert samples[RATE * 3 // 2] == -1


def test_sleep_goes_into_the_line_too() -> None:
    clock = ManualClock()
    stream = RecordingStream(Counting(), clock=clock, begin_ns=0)
    clock.sleep(2000)
    stream.keep_up()
    assert stream.frames == 2 * RATE
    assert clock.monotonic_ns() == 0


def test_the_clocks_of_the_machine_go_on() -> None:
    clock = Clock()
    first = clock.boot_ns(), clock.monotonic_ns(), clock.wall_ns()
    again = clock.boot_ns(), clock.monotonic_ns(), clock.wall_ns()
    assert all(before <= after for before, after in zip(first, again, strict=True))


def test_a_clock_that_is_set_moves_the_wall_alone() -> None:
    clock = ManualClock(boot_ns=7, wall_ns=9)
    clock.set_wall(-1)
    assert (clock.boot_ns(), clock.monotonic_ns(), clock.wall_ns()) == (7, 7, 9 - 1_000_000)
