"""When what was learnt is asked again: the next day, and a week after that.

What is asked again after a rest keeps longer than what is asked at one sitting only, and the rests
may grow (the spacing effect: Cepeda et al. 2006, doi 10.1037/0033-2909.132.3.354, from memory;
which rests is our choice). Days are those of the learner's own calendar, so that the next evening
may be a little earlier.
"""

from collections.abc import Iterable
from datetime import date, timedelta
from typing import Final, NamedTuple

from darktimer.journal.clocks import local_text, read_clocks, utc_ms
from darktimer.learn.scores import Done

#: Days from one sitting that was passed to the next that asks the same.
RESTS: Final = (1, 7)


class Learnt(NamedTuple):
    """A lesson of a set that was passed, how often in time, and the day on which it is due.

    ``due`` is None where it was known after each of `RESTS`.
    """

    cue_set: str
    lesson: str
    passed: int
    due: date | None


def learnt(drills: Iterable[Done]) -> list[Learnt]:
    """What was learnt, in the order in which it was; the drills from the first to the last."""
    known: dict[tuple[str, str], Learnt] = {}
    for drill in drills:
        key = drill.cue_set, drill.lesson
        before = known.get(key, Learnt(*key, 0, date.min))
        after = _after(before, drill)
        if after != before:
            known[key] = after
    return list(known.values())


def today() -> date:
    """The day of the learner's calendar."""
    return _day(read_clocks().wall_utc_ms)


def _after(one: Learnt, drill: Done) -> Learnt:
    """A drill that fails makes what was learnt due at once."""
    day = _day(utc_ms(drill.at))
    if not drill.ready:
        return one._replace(passed=0, due=day) if one.passed else one
    if one.due is None or day < one.due:
        return one
    rest = RESTS[one.passed] if one.passed < len(RESTS) else None
    return one._replace(passed=one.passed + 1, due=day + timedelta(rest) if rest else None)


def _day(utc: int) -> date:
    return date.fromisoformat(local_text(utc)[:10])
