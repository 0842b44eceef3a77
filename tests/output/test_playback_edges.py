"""The playback clock request by request: each of its limits, to the frame or the nanosecond.

By hand throughout: 48 frames are a millisecond, and a block that is asked for at a moment and heard
0.2 s later has to begin with the frame that is due 0.2 s after that moment.
"""

import pytest

from darktimer.output.playback_clock import BlockRequest, Correction, PlaybackClock

RATE = 48_000
MS = 1_000_000
DELAY_NS = 200 * MS
FAR_NS = 6 * 3600 * 1000 * MS


class Device:
    """Asks when it is told to, at times of its own clock; our clocks show ``offset_ns`` more.

    A run of six hours, so that no figure of nine digits may be off in its last.
    """

    def __init__(self, latency_s: float = 0.35, begun_ns: int = FAR_NS, offset_ns: int = 0) -> None:
        self.clock = PlaybackClock(RATE, -begun_ns, latency_s, lambda start, count: True)
        self.begun_ns, self.offset_ns = begun_ns, offset_ns

    def due(self, ns: int) -> int:
        """The frame due at a moment of our clock, which is exact in whole numbers."""
        return round((ns + self.begun_ns) * RATE / 10**9)

    def ask(
        self,
        at_ns: int,
        size: int = 9_600,
        *,
        delay_ns: int = DELAY_NS,
        waited_ns: int = 0,
        starved: bool = False,
        device_s: float | None = None,
        heard_s: float | None = None,
    ) -> tuple[int | None, Correction | None]:
        now_ns = at_ns + waited_ns + self.offset_ns
        asked_s = 1 + at_ns / 1e9 if device_s is None else device_s
        told_s = asked_s + delay_ns / 1e9 if heard_s is None else heard_s
        return self.clock.place(BlockRequest(size, now_ns, now_ns, asked_s, told_s, starved))

    def settle(self) -> None:
        """Three requests at even times; the next is due at 600 ms."""
        for n in range(3):
            self.ask(n * 200 * MS)
        assert self.clock.next_frame is not None


@pytest.mark.parametrize(("every_ns", "settles"), [(200 * MS, True), (199_500_000, False)])
def test_a_device_has_settled_after_four_tenths_of_a_second(every_ns, settles):
    device, size = Device(), every_ns * 48 // MS
    assert [device.ask(n * every_ns, size)[0] for n in range(2)] == [None, None]
    start, change = device.ask(2 * every_ns, size)
    assert start == (device.due(2 * every_ns + DELAY_NS) if settles else None)
    assert change is None


def test_what_goes_out_at_once_settles_nothing():
    device = Device()
    assert device.ask(0) == (None, None)
    assert device.ask(1_000)[0] is None
    assert device.clock.next_frame is None


@pytest.mark.parametrize(("off_frames", "settles"), [(144, True), (145, False), (-144, True)])
def test_two_requests_agree_within_three_milliseconds(off_frames, settles):
    device = Device()
    device.ask(0)
    device.ask(200 * MS)
    start, _ = device.ask(400 * MS, delay_ns=DELAY_NS + round(off_frames * 1e9 / RATE))
    assert (start is not None) is settles


@pytest.mark.parametrize(("last_ns", "settles"), [(1_500 * MS, True), (1_499_999_000, False)])
def test_a_second_and_a_half_has_to_do(last_ns, settles):
    device = Device()
    for n, at_ns in enumerate((0, 300 * MS, 700 * MS, 1_200 * MS)):
        assert device.ask(at_ns, delay_ns=DELAY_NS + n % 2 * 50 * MS)[0] is None
    assert (device.ask(last_ns)[0] is not None) is settles


@pytest.mark.parametrize(
    ("delay_ns", "counts_ns"),
    [(MS, MS), (MS - 1, 350 * MS), (5_000 * MS, 5_000 * MS), (5_000 * MS + 1, 350 * MS)],
)
def test_what_a_device_cannot_mean_is_not_believed(delay_ns, counts_ns):
    device = Device()
    for at_ns in (0, 200 * MS):
        device.ask(at_ns, delay_ns=delay_ns)
    assert device.ask(400 * MS, delay_ns=delay_ns)[0] == device.due(400 * MS + counts_ns)


def test_a_device_without_a_clock_has_the_latency_that_was_asked_for():
    device = Device()
    for at_ns in (0, 200 * MS):
        device.ask(at_ns, device_s=0.0, heard_s=0.3)
    assert device.ask(400 * MS, device_s=0.0, heard_s=0.3)[0] == device.due(750 * MS)


def test_what_waited_for_us_is_due_as_if_it_had_not():
    device = Device()
    for at_ns in (0, 200 * MS):
        device.ask(at_ns, device_s=0.1 + at_ns / 1e9)
    start, _ = device.ask(400 * MS, device_s=0.5, waited_ns=70 * MS)
    assert start == device.due(600 * MS)


def test_nothing_is_heard_before_now():
    device = Device()
    for at_ns in (0, 200 * MS):
        device.ask(at_ns)
    assert device.ask(1_600 * MS, waited_ns=250 * MS)[0] == device.due(1_850 * MS)


@pytest.mark.parametrize(("device_s", "waited_ns"), [(0.0, 0), (0.5, 50 * MS)])
def test_both_clocks_read_at_once_tell_how_long_requests_wait(device_s, waited_ns):
    """The device's clock is a second before ours; a clock that reads nothing tells nothing."""
    device = Device()
    device.clock.compare(round(device_s * 1e9) - 1_050 * MS, device_s)
    for at_ns in (0, 200 * MS):
        device.ask(at_ns)
    assert device.ask(400 * MS)[0] == device.due(600 * MS - waited_ns)


@pytest.mark.parametrize(("off_frames", "is_lost"), [(1_920, False), (1_921, True), (-1_921, True)])
def test_a_device_that_ran_dry_is_put_right_beyond_forty_milliseconds(off_frames, is_lost):
    device = Device()
    device.settle()
    off_ns = round(off_frames * 1e9 / RATE)
    start, change = device.ask(600 * MS + off_ns, starved=True)
    assert start == device.due(800 * MS) + off_frames * is_lost
    moved_ms = pytest.approx(off_frames / 48)
    assert change == (Correction(moved_ms, lost=True) if is_lost else None)


def test_a_single_request_that_is_late_by_itself_is_no_loss():
    device = Device()
    device.settle()
    assert device.ask(700 * MS) == (device.due(800 * MS), None)


@pytest.mark.parametrize(("after_ns", "stood"), [(500 * MS, False), (500 * MS + 20_834, True)])
def test_a_process_that_stood_still_for_half_a_second_settles_again(after_ns, stood):
    """The last block, of 200 ms, was to be heard from 600 ms on: so the buffer was dry at 800."""
    device = Device()
    device.settle()
    at_ns = 800 * MS + after_ns
    start, change = device.ask(at_ns)
    if not stood:
        assert start == device.due(at_ns + DELAY_NS)
        assert change == Correction(pytest.approx(700, abs=0.03), lost=True)
        return
    assert (start, change) == (None, None)
    start, change = device.ask(at_ns + 200 * MS)
    assert start == device.due(at_ns + 200 * MS + DELAY_NS)
    assert change == Correction(pytest.approx(700, abs=0.03), lost=True)


@pytest.mark.parametrize(("every_ns", "settles"), [(200 * MS, True), (199_500_000, False)])
def test_who_settles_again_does_so_in_two_tenths_of_a_second(every_ns, settles):
    device, size = Device(), every_ns * 48 // MS
    device.settle()
    assert device.ask(4_000 * MS, size)[0] is None
    assert (device.ask(4_000 * MS + every_ns, size)[0] is not None) is settles


@pytest.mark.parametrize(
    ("requests", "set_back_ns", "believed"),
    [(128, 100 * MS + 1, True), (128, 100 * MS, False), (127, 100 * MS + 1, False)],
)
def test_a_clock_that_was_set_is_told_from_requests_that_wait(requests, set_back_ns, believed):
    """Where it was, what had seemed to wait did not: two more blocks are due as they say."""
    device = Device()
    device.settle()
    for n in range(requests):
        device.ask((600 + 200 * n) * MS, waited_ns=set_back_ns)
    device.clock.judge()
    again_ns = 60_000 * MS
    device.ask(again_ns, waited_ns=set_back_ns)
    start, _ = device.ask(again_ns + 200 * MS, waited_ns=set_back_ns)
    heard_ns = again_ns + 200 * MS + DELAY_NS
    assert start == device.due(heard_ns + set_back_ns * believed)
