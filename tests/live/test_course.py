"""How the plan's moments fall on a session: pieces, pauses, jumps."""

import json

from hypothesis import given
from hypothesis import strategies as some

from darktimer.live.course import Course, Piece

MOMENTS = some.integers(0, 100_000)


@some.composite
def courses(draw) -> Course:
    course, session_ms = Course(), 0
    for _ in range(draw(some.integers(0, 4))):
        last = course.pieces[-1]
        stop = last.from_ms + draw(some.integers(0, 10_000))
        session_ms = stop + last.shift_ms + draw(some.integers(0, 20_000))
        jump = stop + draw(some.sampled_from([0, 0, 5_000]))
        course = course.stopping(stop).going_on(jump, session_ms, None)
    return course


def test_without_pauses_the_plan_is_the_session():
    assert Course().at_ms(1_234) == Course().plan_ms(1_234) == 1_234


def test_a_pause_moves_what_comes_after_it():
    course = Course().stopping(10_000)
    assert course.stops_ms == 10_000
    assert course.plan_ms(25_000) == 10_000
    course = course.going_on(10_000, 30_000, None)
    assert [course.at_ms(ms) for ms in (9_999, 10_000, 12_000)] == [9_999, 30_000, 32_000]
    assert [course.plan_ms(ms) for ms in (9_999, 20_000, 31_000)] == [9_999, 10_000, 11_000]


def test_what_is_jumped_over_is_not_played():
    course = Course().stopping(5_000).going_on(8_000, 5_000, None)
    assert [course.plays(ms) for ms in (4_999, 5_000, 7_999, 8_000)] == [True, False, False, True]
    assert course.at_ms(6_000) == 5_000


@given(courses(), MOMENTS)
def test_a_moment_that_is_played_comes_back_to_itself(course, plan_ms):
    if course.plays(plan_ms):
        assert course.plan_ms(course.at_ms(plan_ms)) == plan_ms


@given(courses(), MOMENTS, MOMENTS)
def test_time_never_goes_back(course, one, two):
    first, second = sorted((one, two))
    assert course.at_ms(first) <= course.at_ms(second)
    assert course.plan_ms(first) <= course.plan_ms(second)


@given(courses())
def test_a_course_is_read_back_as_it_was_kept(course):
    kept = json.loads(json.dumps(course.pieces))
    assert Course(tuple(Piece(*piece) for piece in kept)) == course
