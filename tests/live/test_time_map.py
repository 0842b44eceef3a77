"""How the plan's moments fall on a session: pieces, pauses, jumps."""

import json

from hypothesis import given
from hypothesis import strategies as some

from darktimer.live.time_map import Segment, TimeMap

MOMENTS = some.integers(0, 100_000)


@some.composite
def time_maps(draw) -> TimeMap:
    time_map, session_ms = TimeMap(), 0
    for _ in range(draw(some.integers(0, 4))):
        last = time_map.segments[-1]
        stop = last.from_ms + draw(some.integers(0, 10_000))
        session_ms = stop + last.shift_ms + draw(some.integers(0, 20_000))
        jump = stop + draw(some.sampled_from([0, 0, 5_000]))
        time_map = time_map.stopping(stop).going_on(jump, session_ms, None)
    return time_map


def test_without_pauses_the_plan_is_the_session():
    assert TimeMap().at_ms(1_234) == TimeMap().plan_ms(1_234) == 1_234


def test_a_pause_moves_what_comes_after_it():
    time_map = TimeMap().stopping(10_000)
    assert time_map.stops_ms == 10_000
    assert time_map.plan_ms(25_000) == 10_000
    time_map = time_map.going_on(10_000, 30_000, None)
    assert [time_map.at_ms(ms) for ms in (9_999, 10_000, 12_000)] == [9_999, 30_000, 32_000]
    assert [time_map.plan_ms(ms) for ms in (9_999, 20_000, 31_000)] == [9_999, 10_000, 11_000]


def test_what_is_jumped_over_is_not_played():
    time_map = TimeMap().stopping(5_000).going_on(8_000, 5_000, None)
    assert [time_map.plays(ms) for ms in (4_999, 5_000, 7_999, 8_000)] == [True, False, False, True]
    assert time_map.at_ms(6_000) == 5_000


@given(time_maps(), MOMENTS)
def test_a_moment_that_is_played_comes_back_to_itself(time_map, plan_ms):
    if time_map.plays(plan_ms):
        assert time_map.plan_ms(time_map.at_ms(plan_ms)) == plan_ms


@given(time_maps(), MOMENTS, MOMENTS)
def test_time_never_goes_back(time_map, one, two):
    first, second = sorted((one, two))
    assert time_map.at_ms(first) <= time_map.at_ms(second)
    assert time_map.plan_ms(first) <= time_map.plan_ms(second)


@given(time_maps())
def test_a_time_map_is_read_back_as_it_was_kept(time_map):
    kept = json.loads(json.dumps(time_map.segments))
    assert TimeMap(tuple(Segment(*segment) for segment in kept)) == time_map
