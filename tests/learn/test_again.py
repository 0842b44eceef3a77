"""What was learnt is asked again after a day and a week, by the calendar."""

from datetime import date

import pytest

from darktimer.learn.again import Learnt, learnt
from darktimer.learn.scores import Done


@pytest.fixture(autouse=True)
def calendar(monkeypatch: pytest.MonkeyPatch) -> None:
    """The learner's clock is that of the file, wherever the test runs."""
    monkeypatch.setattr("darktimer.learn.again.local_text", lambda ms: _utc(ms))


def _utc(ms: int) -> str:
    return date.fromordinal(date(1970, 1, 1).toordinal() + ms // 86_400_000).isoformat()


def drill(day: str, *, ready: bool = True, lesson: str = "act-now") -> Done:
    return Done(f"2031-{day}.000Z", "standard", lesson, ready, {})


def due(*drills: Done) -> list[date | None]:
    return [each.due for each in learnt(drills)]


def test_nothing_is_due_before_it_was_learnt() -> None:
    assert learnt([]) == []
    assert learnt([drill("05-04T20:25:00", ready=False)]) == []


def test_it_is_asked_the_next_day_then_a_week_after_that_then_no_more() -> None:
    first, next_day = drill("05-04T20:15:00"), drill("05-05T19:10:00")
    assert learnt([first]) == [Learnt("standard", "act-now", 1, date(2031, 5, 5))]
    assert due(first, next_day) == [date(2031, 5, 12)]
    assert due(first, next_day, drill("05-12T18:00:00")) == [None]


def test_a_sitting_before_it_is_due_changes_nothing() -> None:
    first = drill("05-04T10:15:00")
    assert due(first, drill("05-04T20:15:00")) == [date(2031, 5, 5)]
    assert due(first, drill("05-05T20:15:00"), drill("05-11T20:15:00")) == [date(2031, 5, 12)]


def test_what_was_forgotten_is_due_at_once_and_begins_anew() -> None:
    forgotten = drill("05-07T20:15:00", ready=False)
    drills = drill("05-04T20:15:00"), drill("05-05T20:15:00"), forgotten
    assert due(*drills) == [date(2031, 5, 7)]
    assert due(*drills, drill("05-07T21:15:00")) == [date(2031, 5, 8)]


def test_lessons_and_sets_are_learnt_each_for_itself() -> None:
    other = drill("05-06T20:15:00", lesson="baths")
    night = drill("05-06T20:15:00")._replace(cue_set="at-night")
    assert due(drill("05-04T20:15:00"), other, night) == [date(2031, 5, 5), *[date(2031, 5, 7)] * 2]
