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
        self.clock = PlaybackClock(RATE, -begun_ns, latency_s, self.quiet)
        self.is_quiet, self.looked_at = True, list[tuple[int, int]]()
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

    def quiet(self, start: int, count: int) -> bool:
        self.looked_at.append((start, count))
        return self.is_quiet

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
def test_before_the_sound_begins_a_second_and_a_half_has_to_do(last_ns, settles):
    device = Device(begun_ns=-2_000 * MS)
    for n, at_ns in enumerate((0, 300 * MS, 700 * MS, 1_200 * MS)):
        assert device.ask(at_ns, delay_ns=DELAY_NS + n % 2 * 50 * MS)[0] is None
    assert (device.ask(last_ns)[0] is not None) is settles


@pytest.mark.parametrize(("last_ns", "settles"), [(500 * MS, True), (499_999_000, False)])
def test_one_opened_under_way_has_half_a_second(last_ns, settles):
    device = Device()
    for n, at_ns in enumerate((0, 150 * MS, 350 * MS)):
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


def test_a_latency_counts_to_the_frame_were_it_half_a_day():
    device = Device(latency_s=43_200)
    for at_ns in (0, 200 * MS):
        device.ask(at_ns, device_s=0.0, heard_s=0.3)
    due = device.due(400 * MS + 43_200_000 * MS)
    assert device.ask(400 * MS, device_s=0.0, heard_s=0.3)[0] == due


def test_a_device_clock_that_has_run_for_half_a_day_is_compared_to_the_frame():
    """By that comparison each request has waited for 50 ms, and is due as if it had not."""
    device = Device()
    device.clock.compare(43_199_000 * MS, 43_200.0)
    for at_ns in (0, 200 * MS):
        device.ask(at_ns, waited_ns=50 * MS)
    assert device.ask(400 * MS, waited_ns=50 * MS)[0] == device.due(400 * MS + DELAY_NS)


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


@pytest.mark.parametrize(("last_ns", "settles"), [(500 * MS, True), (499_999_000, False)])
def test_who_settles_again_has_half_a_second(last_ns, settles):
    """Film stands in the dark without a sound: the place may be off by what the machine wavers."""
    device = Device()
    device.settle()
    for n, at_ns in enumerate((0, 150 * MS, 350 * MS)):
        assert device.ask(4_000 * MS + at_ns, delay_ns=DELAY_NS + n % 2 * 50 * MS)[0] is None
    assert (device.ask(4_000 * MS + last_ns)[0] is not None) is settles


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


# Once the usual is known


def known() -> Device:
    """A device that has asked every 0.2 s for 10.8 s; the next request is due at 11 s."""
    device = Device()
    for n in range(55):
        device.ask(n * 200 * MS)
        device.clock.judge()
    return device


def off_ns(off_frames: int) -> int:
    return round(off_frames * 10**9 / RATE)


@pytest.mark.parametrize(("off_frames", "is_lost"), [(-1_921, True), (-1_920, False)])
def test_all_that_is_known_must_say_twice_that_a_buffer_that_is_not_dry_is_off(off_frames, is_lost):
    device = known()
    assert device.ask(11_000 * MS + off_ns(off_frames)) == (device.due(11_200 * MS), None)
    start, change = device.ask(11_200 * MS + off_ns(off_frames))
    assert start == device.due(11_400 * MS) + off_frames * is_lost
    moved_ms = pytest.approx(off_frames / 48)
    assert change == (Correction(moved_ms, lost=True) if is_lost else None)


def test_once_is_not_enough():
    device = known()
    device.ask(11_000 * MS)
    assert device.ask(11_150 * MS)[1] is None
    assert device.ask(11_400 * MS)[1] is None
    assert device.ask(11_550 * MS)[1] is None


@pytest.mark.parametrize(("off_frames", "is_moved"), [(97, True), (96, False), (-97, True)])
def test_drift_of_more_than_two_milliseconds_is_put_right_in_quiet(off_frames, is_moved):
    """What is left out, or heard twice, is looked at as well as the block."""
    device = known()
    for n in range(55, 125):
        start, change = device.ask(n * 200 * MS + off_ns(off_frames))
        assert (start, change) == (device.due((n + 1) * 200 * MS), None)
    device.clock.judge()
    start, change = device.ask(25_000 * MS + off_ns(off_frames))
    place = device.due(25_200 * MS)
    if not is_moved:
        assert (start, change, device.looked_at) == (place, None, [])
        return
    assert (start, change) == (place + off_frames, Correction(off_frames * 1000 / RATE, lost=False))
    assert device.looked_at == [(place - 97, 9_600 + 194)]
    for n in (126, 127):
        start, change = device.ask(n * 200 * MS + off_ns(off_frames))
        assert (start, change) == (device.due((n + 1) * 200 * MS) + off_frames, None), "once"
        device.clock.judge()
    assert len(device.looked_at) == 1


def test_drift_is_let_be_where_it_is_not_quiet():
    device = known()
    device.is_quiet = False
    for n in range(55, 125):
        device.ask(n * 200 * MS + off_ns(480))
    device.clock.judge()
    assert device.ask(25_000 * MS + off_ns(480)) == (device.due(25_200 * MS), None)
    assert len(device.looked_at) == 1


def test_who_tells_no_more_when_a_block_is_heard_is_known_by_the_usual():
    device = known()
    assert device.ask(20_000 * MS, device_s=0.0, heard_s=0.0) == (None, None)
    start, _ = device.ask(20_200 * MS, device_s=0.0, heard_s=0.0)
    assert start == device.due(20_400 * MS)


@pytest.mark.parametrize(("off_frames", "is_lost"), [(1_920, False), (1_921, True)])
def test_what_a_device_always_says_wrongly_is_taken_off(off_frames, is_lost):
    """It says 4 ms too much for 14 s, and asks in time all the while."""
    wrong_ns = DELAY_NS + 4 * MS
    device = known()
    for n in range(55, 135):
        assert device.ask(n * 200 * MS, delay_ns=wrong_ns)[1] is None
    device.clock.judge()
    asked_ns = 27_000 * MS + off_ns(off_frames)
    start, _ = device.ask(asked_ns, delay_ns=wrong_ns, starved=True)
    assert start == device.due(27_200 * MS) + off_frames * is_lost


def test_a_loss_makes_what_was_wished_for_before_it_void():
    device = known()
    for n in range(55, 125):
        device.ask(n * 200 * MS + off_ns(97))
    device.clock.judge()
    start, change = device.ask(25_100 * MS, starved=True)
    assert (start, change) == (device.due(25_300 * MS), Correction(100, lost=True))
    assert device.ask(25_300 * MS) == (device.due(25_500 * MS), None)
