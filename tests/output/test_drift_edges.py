"""Drift told from noise, each limit to the frame and the nanosecond.

A device of a million frames a second, so that a frame is a microsecond: 8 ms are 8000 frames. All
is worked out by hand from what `darktimer.output.drift` promises.
"""

from collections.abc import Sequence

import pytest

from darktimer.output.drift import Drift, Observation, Placement

RATE = 1_000_000
S = 1_000_000_000
BEGUN_NS = 1_000 * S
USUAL = -200_000
UNMOVED = Placement()


class Watched(Drift):
    """A drift that is told of requests by how far they are from the usual, all in frames."""

    def see(self, at_ns: int, error: int = 0, heard: int = 0, placed: Placement = UNMOVED) -> None:
        self.add(Observation(placed, BEGUN_NS + at_ns, USUAL + error, heard))

    def see_each(self, moments_ns: Sequence[int], error: int = 0, heard: int = 0) -> None:
        for at_ns in moments_ns:
            self.see(at_ns, error, heard)


def learnt() -> Watched:
    """One that has come to know its usual in ten seconds; what follows is an hour later."""
    drift = Watched(RATE)
    for at_ns in (-3_600 * S, -3_590 * S):
        drift.see(at_ns)
        assert drift.error() == 0
    return drift


def test_at_first_nothing_is_known_and_nothing_moved():
    drift = Drift(RATE)
    assert (drift.error(), drift.asked_error(5), drift.constant, drift.usual) == (0, 0, 0, None)
    assert drift.placed == (0, 0)


@pytest.mark.parametrize(("at_ns", "usual"), [(2 * S - 1, None), (2 * S, USUAL)])
def test_the_usual_is_known_after_two_seconds(at_ns, usual):
    drift = Watched(RATE)
    drift.see(0)
    drift.error()
    drift.see(at_ns, error=700)
    assert drift.error() == 0
    assert drift.usual == usual
    assert drift.asked_error(USUAL + 5) == (0 if usual is None else 5)


@pytest.mark.parametrize(
    ("learnt_ns", "later_ns", "usual"),
    [(10 * S - 1, 10 * S, USUAL - 900), (10 * S, 10 * S + 1, USUAL - 800)],
)
def test_the_usual_is_the_least_of_ten_seconds(learnt_ns, later_ns, usual):
    drift = Watched(RATE)
    for at_ns, error in ((0, 500), (3 * S, 0), (learnt_ns, -800), (later_ns, -900)):
        drift.see(at_ns, error)
        assert drift.error() == 0
    assert drift.usual == usual


def test_a_usual_is_never_raised_while_it_is_learnt():
    drift = Watched(RATE)
    for at_ns, error in ((0, 500), (3 * S, 0), (9 * S, 300)):
        drift.see(at_ns, error)
        drift.error()
    assert drift.usual == USUAL


def test_nothing_is_judged_by_a_usual_that_is_learnt_just_now():
    drift = Watched(RATE)
    drift.see(0, 0, 4_000)
    drift.error()
    drift.see(14 * S, 0, 4_000)
    assert [(drift.error(), drift.constant) for _ in range(2)] == [(0, 0), (0, 4_000)]


@pytest.mark.parametrize(("lost_ns", "usual"), [(3 * S, USUAL), (1 * S, USUAL - 100)])
def test_a_loss_ends_the_learning_of_a_usual_that_is_known(lost_ns, usual):
    """Where it is not known yet, learning goes on."""
    drift = Watched(RATE)
    for at_ns in (0, lost_ns):
        drift.see(at_ns)
        drift.error()
    for at_ns in (lost_ns + 1, 5 * S):
        drift.see(at_ns, -100, placed=Placement(1))
        drift.error()
    assert drift.usual == usual


@pytest.mark.parametrize(("last_ns", "error"), [(10_800_000_000, 1), (10_799_999_999, 0)])
def test_drift_shows_in_nine_tenths_of_twelve_seconds(last_ns, error):
    drift = learnt()
    drift.see_each((0, 5 * S, last_ns), 1, 1)
    assert drift.error() == error


@pytest.mark.parametrize(("first_ns", "error"), [(0, 0), (-1, 2_000)])
def test_one_request_in_time_within_twelve_seconds_is_enough(first_ns, error):
    drift = learnt()
    drift.see(first_ns)
    drift.see_each((S, 6 * S, 12 * S), 2_000, 2_000)
    assert drift.error() == error


@pytest.mark.parametrize(
    ("last_ns", "error", "is_plain"), [(S, 4_001, True), (S - 1, 4_001, False), (S, 4_000, False)]
)
def test_more_than_four_milliseconds_show_within_a_second_after_a_loss(last_ns, error, is_plain):
    drift = learnt()
    for at_ns in (0, S // 2, last_ns):
        drift.see(at_ns, error, error, Placement(1))
    assert drift.error() == error * is_plain
    assert drift.placed == Placement(1)


@pytest.mark.parametrize(
    ("asked", "heard", "error"),
    [
        (2_000, 1_000, 2_000),
        (2_001, 1_000, 0),
        (2_001, -1_001, 0),
        (0, 5, 0),
        (-2_001, -1_001, -2_001),
    ],
)
def test_what_is_said_must_be_half_of_it_to_the_same_side(asked, heard, error):
    drift = learnt()
    drift.see_each((0, 6 * S, 11 * S), asked, heard)
    assert drift.error() == error


def test_what_was_moved_meanwhile_is_no_error_any_more():
    drift = learnt()
    drift.see_each((0, 4 * S), 2_500, 2_600)
    drift.see(8 * S, 2_000, 2_100, Placement(0, 500))
    drift.see(11 * S, 2_000, 2_100, Placement(0, 500))
    assert drift.error() == 2_000


# Steps


@pytest.mark.parametrize(
    ("last_ns", "error", "shows"),
    [(1_500_000_000, 8_001, True), (1_499_999_999, 8_001, False), (1_500_000_000, 8_000, False)],
)
@pytest.mark.parametrize("side", [1, -1])
def test_more_than_eight_milliseconds_show_in_a_second_and_a_half(last_ns, error, shows, side):
    """To be early by so much is another thing than to be late."""
    drift = learnt()
    drift.see(-3 * S)
    drift.see_each((0, S, last_ns), side * error, side * error)
    late = side > 0
    assert drift.error() == (error * shows if late else 0 if error > 8_000 else -8_000)


@pytest.mark.parametrize(("first_ns", "error"), [(0, 0), (-1, 9_000)])
def test_a_step_shows_in_each_request_of_two_seconds(first_ns, error):
    drift = learnt()
    drift.see(first_ns)
    drift.see_each((S // 2, S, 2 * S), 9_000, 9_500)
    assert drift.error() == error


@pytest.mark.parametrize(("heard", "step"), [(-9_000, 0), (0, 0), (8_500, 8_500)])
def test_both_measures_must_show_a_step_and_the_smaller_counts(heard, step):
    drift = learnt()
    drift.see(-3 * S)
    drift.see_each((0, S, 2 * S), 9_000, heard)
    assert drift.error() == step


def test_what_was_seen_before_a_step_says_nothing_any_more():
    """Within a second of the step, what is smaller but plain shows too."""
    drift = learnt()
    drift.see(-3 * S)
    drift.see_each((0, S, 2 * S), 9_000, 9_000)
    assert drift.error() == 9_000
    drift.see(3 * S, 5_000, 5_000)
    assert drift.error() == 5_000


# Buffers of another size


@pytest.mark.parametrize(("early", "usual"), [(-8_001, USUAL - 8_301), (-8_000, USUAL)])
@pytest.mark.parametrize("moved", [0, 50])
def test_who_asks_more_than_eight_milliseconds_early_is_believed(early, usual, moved):
    """It says to be 0.3 ms late, and so it is, whenever it asks."""
    drift = learnt()
    drift.see_each((0, S), early + moved, 300 + moved)
    drift.see(2 * S, early, 300, Placement(0, moved))
    assert drift.error() == 0
    assert drift.usual == usual


def test_one_early_request_shows_no_other_buffers_but_no_drift_either():
    drift = learnt()
    drift.see(0, -8_001, -8_001)
    drift.see_each((S // 2, S), 0, -8_001)
    assert (drift.error(), drift.usual) == (0, USUAL)


# Measures that disagree


@pytest.mark.parametrize(
    ("last_ns", "heard", "is_wrong"),
    [(13_500_000_000, 3_001, True), (13_499_999_999, 3_001, False), (13_500_000_000, 3_000, False)],
)
def test_what_is_said_is_wrong_if_it_disagrees_by_three_milliseconds_for_long(
    last_ns, heard, is_wrong
):
    drift = learnt()
    drift.see_each((0, 7 * S, last_ns), 0, heard)
    assert drift.error() == 0
    assert drift.constant == heard * is_wrong
    assert drift.error() == 0
    assert (drift.constant, drift.usual) == (heard * is_wrong, USUAL), "once is enough"


@pytest.mark.parametrize(("first_ns", "is_wrong"), [(0, True), (-1, False)])
def test_fifteen_seconds_are_remembered(first_ns, is_wrong):
    drift = learnt()
    drift.see_each((first_ns, 7 * S, 15 * S), 0, 4_000)
    assert drift.error() == 0
    assert drift.constant == 4_000 * is_wrong


def test_what_is_always_wrong_adds_up():
    drift = learnt()
    drift.see_each((0, 7 * S, 14 * S), 0, 4_000)
    drift.error()
    drift.see_each((100 * S, 107 * S, 114 * S), 0, -3_500)
    drift.error()
    assert drift.constant == 500


@pytest.mark.parametrize(
    ("late", "constant", "usual", "error"),
    [(1_000, 3_500, USUAL, 1_000), (1_001, 0, USUAL + 1_001 - 4_500, 4_500)],
)
def test_requests_that_moved_by_more_than_a_millisecond_are_those_that_are_wrong(
    late, constant, usual, error
):
    drift = learnt()
    drift.see_each((0, 3 * S, 14 * S), late, 4_500)
    assert drift.error() == error
    assert (drift.constant, drift.usual) == (constant, usual)


def test_measures_that_agree_leave_the_usual_as_it_is():
    drift = learnt()
    drift.see_each((0, 3 * S, 14 * S), 2_000, 1_900)
    assert drift.error() == 2_000
    assert (drift.constant, drift.usual) == (0, USUAL)


@pytest.mark.parametrize(("upper", "is_calm"), [(7_300, True), (7_301, False)])
def test_a_device_is_calm_whose_words_but_for_a_tenth_at_each_end_lie_within_two_and_a_half(
    upper, is_calm
):
    """Of 19 in order the 2nd and the 18th: a twentieth of 20 parts lies below each."""
    drift = learnt()
    words = [-90_000, 4_800, *[6_000] * 15, upper, 90_000]
    for n, heard in enumerate(words):
        drift.see(n * 750_000_000, 0, heard)
    assert drift.error() == 0
    assert drift.constant == 6_000 * is_calm
