"""The parts of the alignment one by one, held against figures worked by hand, and their edges."""

import numpy as np
import pytest

from darktimer.ear.alignment import (
    HIGHEST_PPM,
    MIXED_UP_PPM,
    Alignment,
    _agreeing,
    _around,
    _drawn,
    _least_squares,
    _pairs,
    _voted,
    aligned,
    places,
)
from darktimer.ear.hearing import Detection
from darktimer.process.timeline import Cue


def cue(at_ms: int, meaning: str = "move") -> Cue:
    return Cue(at_ms, 400, meaning, 0)


def sound(at_ms: float, meaning: str = "move") -> Detection:
    return Detection(at_ms, 400, meaning, 10.0, 0.9)


def pairs(*rows: tuple[float, float, float]) -> np.ndarray:
    return np.array(rows, float).reshape(-1, 3)


def test_the_usual_rates_differ_by_13_in_160_and_13_in_147() -> None:
    assert pytest.approx(MIXED_UP_PPM, abs=0.5) == (-1e6 * 13 / 160, 1e6 * 13 / 147)


def test_clocks_are_tried_from_the_middle_to_both_sides_alike() -> None:
    assert _around(1000, 60, 20) == [1000, 980, 1020, 960, 1040, 940, 1060]
    assert _around(0, 79, 40) == [0, -40, 40]
    usual = _around(0, HIGHEST_PPM)
    assert (sorted(usual), usual[0]) == (list(range(-300, 301, 20)), 0)


def test_a_moment_lies_where_offset_and_clock_put_it() -> None:
    assert Alignment(500.0, 1000.0).at(20_000) == pytest.approx(20_520, abs=1e-6)
    found = places([sound(90_000), sound(95_000, "lift")], [cue(20_000), cue(40_000)], 1000.0)
    assert [place.offset_ms for place in found] == pytest.approx([69_980, 49_960], abs=1e-6)


def test_every_pair_of_one_meaning_votes_the_rarest_first() -> None:
    planned = [cue(1), cue(2), cue(3), cue(4, "lift"), cue(5, "end")]
    heard = [sound(11), sound(12), sound(13, "lift"), sound(14, "alarm")]
    found = _pairs(heard, planned)
    assert found[0].tolist() == [4, 13, 1]
    assert found[1:, :2].tolist() == [[1, 11], [2, 11], [3, 11], [1, 12], [2, 12], [3, 12]]
    assert found[1:, 2] == pytest.approx(1 / 3)
    assert _pairs([], planned).shape == (0, 3)


@pytest.mark.parametrize(("rare", "kept"), [(20, 200_000), (21, 21), (0, 200_025)])
def test_the_commonest_meanings_do_not_vote_where_there_are_too_many(rare: int, kept: int) -> None:
    """495 times 404 and 20 are 200,000 pairs; the rarest meaning votes, however many it has."""
    many = 495 if rare else 495 + 1
    planned = [cue(k, "lift") for k in range(rare)] + [cue(k) for k in range(many)]
    planned.append(cue(0, "end"))
    heard = [sound(0, "lift")] * bool(rare) + [sound(k) for k in range(404)]
    assert len(_pairs(heard, planned)) == (kept if rare else many * 404)


def test_pairs_vote_for_an_offset_with_the_bin_above() -> None:
    two = pairs((0, 59, 1), (0, 61, 1), (0, 200, 1.5), (0, 321, 1), (0, 301, 0.1))
    assert _voted(two, [0], 60) == Alignment(60, 0)  # of bins 0 and 1: the edge between them
    apart = pairs((0, 0, 1), (0, 130, 1), (0, 300, 1.5))
    assert _voted(apart, [0], 60) == Alignment(360, 0)  # bins 0 and 2 are no neighbours
    alone = pairs((0, 0, 1.5), (0, 600, 1))
    assert _voted(alone, [0], 60) == Alignment(60, 0)
    below = pairs((0, -10, 1), (0, 10, 1), (0, 500, 1.5))
    assert _voted(below, [0], 60) == Alignment(0, 0)


def test_the_first_clock_is_kept_unless_another_has_more_votes() -> None:
    rows = pairs((0, 1000, 1), (1_000_000, 1_001_000, 1), (2_000_000, 2_001_000, 0.5))
    assert _voted(rows, [0, 10, -10], 60).ppm == 0
    assert _voted(rows, [500, 0], 60).ppm == 0
    late = pairs((0, 1000, 1), (1_000_000, 1_001_200, 1))
    assert _voted(late, [0, 200, -200], 60) == Alignment(1020, 200)
    assert _voted(late * [1, 1, 0.2], [0, -200, 200], 60) == Alignment(1020, 200)


def test_a_line_is_drawn_to_the_usual_clock_as_one_more_reading() -> None:
    """Of numpy: a clock off by 100 ppm is as likely as an onset off by 5 ms."""
    rng = np.random.default_rng(3)
    planned_ms = np.cumsum(rng.integers(3000, 9000, 9)).astype(float)
    heard_ms = 700 + planned_ms * 1.00021 + rng.normal(0, 4, 9)
    for usual_ppm in (0.0, 4000.0):
        rows = np.column_stack((np.ones(9), planned_ms - planned_ms.mean()))
        prior = 5 / 100e-6
        (_, slope), *_ = np.linalg.lstsq(
            np.vstack((rows, [0, prior])),
            np.append(heard_ms - planned_ms, prior * usual_ppm * 1e-6),
            rcond=None,
        )
        line = _least_squares(planned_ms, heard_ms, usual_ppm)
        assert line.ppm == pytest.approx(slope * 1e6, rel=1e-8)
        assert line.at(planned_ms.mean()) == pytest.approx(heard_ms.mean(), abs=1e-6)


@pytest.mark.parametrize(
    ("late_ms", "offset_ms"),
    [
        ((399.9,), 399.9),
        ((400.0,), 0.0),
        ((-399.9,), -399.9),
        ((0, 0, 0, 66.6), 16.65),  # three quarters of it are less than 50 from their mean
        ((0, 0, 0, 66.7), 0.0),
        (
            (0, 0, 0, -45, 113.6),
            0.0,
        ),  # the last is within 100 of all, and then the one before is not in 50
        ((0, 0, 0, -45, 113.9), -11.25),
    ],
)
def test_what_is_far_from_the_line_no_longer_draws_it(
    late_ms: tuple[float, ...], offset_ms: float
) -> None:
    rows = pairs(*((0, late, 1) for late in late_ms))
    line = _drawn(rows, Alignment(0, 0), 0.0)
    assert line.offset_ms == pytest.approx(offset_ms, abs=0.01)


def test_a_cue_agrees_that_is_within_a_tenth_of_a_second_and_is_one_however_often_planned() -> None:
    rows = pairs((0, 99.9, 1), (1, 99.9, 1), (0, 100.0, 1), (50, -49.9, 1), (500, 400, 1))
    assert _agreeing(rows, Alignment(0, 0)) == 2


#: Each of a meaning of its own, so that no two of them agree by chance.
PLANNED = [cue(1000 + 60_000 * k, f"piece-{k}") for k in range(40)]


def _clock(agreeing: int, beside: int, ppm: int = 4000) -> float:
    """The clock found where so many cues go by one, and so many others lie nowhere."""
    heard = [sound(each.at_ms * (1 + ppm * 1e-6), each.meaning) for each in PLANNED[:agreeing]]
    heard += [sound(5e6 + 7777.7 * k * k, PLANNED[39 - k].meaning) for k in range(beside)]
    line = aligned(heard, PLANNED)
    assert line
    return line.ppm


def test_a_clock_out_of_order_needs_eight_cues_and_half_of_those_heard() -> None:
    assert _clock(8, 0) == pytest.approx(4000, abs=1)
    assert _clock(7, 0) < 3500
    assert _clock(9, 9) == pytest.approx(4000, abs=1)
    assert _clock(9, 10) < 3500


def test_half_of_what_was_heard_is_enough_however_much_was_planned() -> None:
    later = [
        each._replace(at_ms=each.at_ms + 50_000_000 * k) for k in (0, 1, 2) for each in PLANNED
    ]
    heard = [sound(each.at_ms * 1.004, each.meaning) for each in PLANNED[:8]]
    line = aligned(heard, later)
    assert line
    assert line.ppm == pytest.approx(4000, abs=1)


def test_a_clock_in_order_is_drawn_to_the_usual_and_another_is_not() -> None:
    """Eight cues a minute apart weigh 42 square minutes against (5 ms / 100 ppm) squared."""
    weight = 42 * 60_000**2
    share = weight / (weight + 50_000**2)
    assert _clock(8, 0, 200) == pytest.approx(200 * share, abs=0.001)
    assert _clock(8, 0, 4000) == pytest.approx(4000, abs=0.5)


def test_a_usual_clock_on_which_enough_cues_lie_is_believed_before_any_other() -> None:
    """Nine cues lie on a usual clock and ten more on one that is out of order."""
    heard = [sound(each.at_ms, each.meaning) for each in PLANNED[:10]]
    heard += [sound(9e6 + each.at_ms * 1.004, each.meaning) for each in PLANNED[10:20]]
    line = aligned(heard, PLANNED)
    assert line
    assert line.ppm == pytest.approx(0, abs=0.001)
