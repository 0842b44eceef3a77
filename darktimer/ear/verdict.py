"""Compares what was heard with what a timeline asks for.

Only here do the two meet: the cues were found without the timeline.
"""

from bisect import bisect, bisect_left
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from itertools import islice
from typing import Final, NamedTuple

from darktimer.ear.alignment import Alignment, aligned, places
from darktimer.ear.hearing import Detection
from darktimer.process import meanings
from darktimer.process.timeline import Cue, Timeline

#: A cue is the planned one when it begins this near to its place on the fitted line.
_NEAR_MS: Final = 150.0
#: A part of a run with fewer acts than this could be a part of many a plan.
FEWEST_ACTS: Final = 5
#: By a clock that is further off than this, baths are too long or too short.
_MOST_PPM: Final = 10_000
#: Another place fits as well where it leaves no more cues than this unexplained: one is misheard.
_AS_WELL: Final = 1


class Check(NamedTuple):
    """A planned cue and what was heard in its place.

    ``state`` is ``heard``, ``damaged`` (a pulse is missing), ``missed``, ``mistaken`` (another
    meaning was heard) or ``outside`` (the recording had not begun or had ended). ``error_ms`` is
    against the fitted line. ``missing`` is the share of each pulse that is not there although the
    noise would have let it be heard.
    """

    cue: Cue
    state: str
    detection: Detection | None
    error_ms: float | None
    missing: tuple[float, ...] = ()


class Rival(NamedTuple):
    """Another place, of this plan or of another, that a recording fits as well."""

    title: str
    alignment: Alignment


class Verdict(NamedTuple):
    """Every planned cue checked, and every sound taken for a cue that was not planned.

    ``rivals`` holds one place for each plan that the recording fits as well; ``elsewhere`` is where
    most of what was not planned has its place: the recording was cut, or holds another run.
    """

    alignment: Alignment | None
    checks: tuple[Check, ...]
    unplanned: tuple[Detection, ...]
    rivals: tuple[Rival, ...] = ()
    elsewhere: Alignment | None = None

    @property
    def act_now_lost(self) -> tuple[Check, ...]:
        """Act-now cues that the recording should hold and that were not heard as such."""
        return tuple(
            check
            for check in self.checks
            if check.state in ("missed", "mistaken") and meanings.asks(check.cue.meaning)
        )

    @property
    def damaged(self) -> tuple[Check, ...]:
        """Cues of which the recording lacks something that no noise hides."""
        return tuple(check for check in self.checks if any(check.missing))

    @property
    def false_acts(self) -> tuple[Detection, ...]:
        """Every sound that asks for an act where the timeline asks for none, or for another."""
        mistaken = [c.detection for c in self.checks if c.state == "mistaken" and c.detection]
        return tuple(one for one in (*mistaken, *self.unplanned) if meanings.asks(one.meaning))

    @property
    def fits(self) -> bool:
        """Whether every act is heard that should be, at its time, no other, and none is damaged."""
        wrong = self.act_now_lost or self.false_acts or self.damaged
        return bool(self.alignment and abs(self.alignment.ppm) <= _MOST_PPM and not wrong)

    @property
    def mostly_heard(self) -> bool:
        """Whether half of what it should hold was heard, so that the place of the rest is known."""
        count = Counter(check.state for check in self.checks)
        return 2 * count["heard"] >= max(len(self.checks) - count["outside"], 1)

    def acts(self, *states: str) -> int:
        """How many acts of the plan are in one of these states."""
        return sum(c.state in states and meanings.asks(c.cue.meaning) for c in self.checks)

    @property
    def too_few(self) -> bool:
        """Whether it is a part of a run, with too few acts to tell of which."""
        return bool(self.acts("outside")) and self.acts("heard") < FEWEST_ACTS

    @property
    def sure(self) -> bool:
        """Whether a person could have worked by this recording without harm."""
        return self.fits and not self.too_few and not self.rivals


def compared(
    heard: Sequence[Detection],
    timeline: Timeline,
    duration_ms: float,
    others: Iterable[Timeline] = (),
) -> Verdict:
    """What became of every cue of ``timeline`` in a recording of ``duration_ms``.

    ``heard`` is in order of time; ``others`` are what may have been played in its stead. A
    recording that holds every act needs no comparison with them.
    """
    line = aligned(heard, timeline.cues)
    if line is None:
        missed = tuple(Check(cue, "missed", None, None) for cue in timeline.cues)
        return Verdict(None, missed, tuple(heard))
    verdict = laid(heard, timeline, line, duration_ms)
    if not verdict.fits:
        return verdict._replace(elsewhere=_elsewhere(verdict.unplanned, timeline))
    if not verdict.acts("outside"):
        return verdict
    explained = [c.detection for c in verdict.checks if c.state == "heard" and c.detection]
    plans = (timeline, *others)
    rivals = (
        Rival(plan.title, place)
        for plan in plans
        if (place := _as_good_a_place(explained, plan, line, plan is timeline, duration_ms))
    )
    return verdict._replace(rivals=tuple(rivals))


def _elsewhere(unplanned: Sequence[Detection], timeline: Timeline) -> Alignment | None:
    """The place of most of what was not planned, if that is more than chance."""
    line = aligned(unplanned, timeline.cues)
    if line is None:
        return None
    checks = laid(unplanned, timeline, line, unplanned[-1].at_ms).checks
    heard = sum(check.state == "heard" for check in checks)
    return line if heard >= max(FEWEST_ACTS, len(unplanned) / 2) else None


def _as_good_a_place(
    explained: Sequence[Detection],
    timeline: Timeline,
    own: Alignment,
    same: bool,
    duration_ms: float,
) -> Alignment | None:
    """A place in a timeline, in the ``same`` one another than its ``own``, for all but one cue."""
    planned_ms = defaultdict[str, list[int]](list)
    for cue in timeline.cues:
        planned_ms[cue.meaning].append(cue.at_ms)
    for place in places(explained[: _AS_WELL + 1], timeline.cues, own.ppm):
        if same and abs(place.offset_ms - own.offset_ms) < 2 * _NEAR_MS:
            continue
        if not _may_explain(explained, planned_ms, place):
            continue
        there = laid(explained, timeline, place, duration_ms)
        heard = sum(check.state == "heard" for check in there.checks)
        if there.fits and heard >= len(explained) - _AS_WELL:
            return place
    return None


def _may_explain(
    explained: Iterable[Detection], planned_ms: Mapping[str, Sequence[int]], place: Alignment
) -> bool:
    """Whether all but one have a cue of their meaning beside them: far quicker than to lay all."""
    lacking = (one for one in explained if not _is_near(one, planned_ms[one.meaning], place))
    return len(list(islice(lacking, _AS_WELL + 1))) <= _AS_WELL


def _is_near(one: Detection, planned_ms: Sequence[int], place: Alignment) -> bool:
    following = bisect_left(planned_ms, one.at_ms - _NEAR_MS, key=place.at)
    return any(place.at(ms) <= one.at_ms + _NEAR_MS for ms in planned_ms[following : following + 1])


def laid(
    heard: Sequence[Detection], timeline: Timeline, line: Alignment, duration_ms: float
) -> Verdict:
    """Every cue looked for in its place on ``line``."""
    free = dict(enumerate(heard))
    times_ms = [one.at_ms for one in heard]
    checks = []
    for cue in timeline.cues:
        at_ms = line.at(cue.at_ms)
        first, last = (bisect(times_ms, at_ms + way * _NEAR_MS) for way in (-1, 1))
        near = [
            (free[k].meaning != cue.meaning, abs(free[k].at_ms - at_ms), k)
            for k in range(first, last)
            if k in free
        ]
        one = free.pop(min(near)[-1]) if near else None  # of the same meaning before any other
        checks.append(_check(cue, one, line, duration_ms))
    cut = [check.cue for check in checks if check.state == "outside"]
    unplanned = (one for one in free.values() if not _is_part_of_any(one, cut, line))
    return Verdict(line, tuple(checks), tuple(unplanned))


def _is_part_of_any(one: Detection, cut: Sequence[Cue], line: Alignment) -> bool:
    """Whether it is what an end of the recording left of a cue; light-safe is never excused."""
    return one.meaning != meanings.LIGHT_SAFE and any(
        line.at(cue.at_ms) < one.at_ms + one.length_ms and one.at_ms < line.at(cue.end_ms)
        for cue in cut
    )


def _check(cue: Cue, one: Detection | None, line: Alignment, duration_ms: float) -> Check:
    at_ms = line.at(cue.at_ms)
    error_ms = one.at_ms - at_ms if one else None
    if one and one.meaning == cue.meaning:
        return Check(cue, "heard", one, error_ms)
    if at_ms < 0 or at_ms + cue.length_ms > duration_ms:
        return Check(cue, "outside", one, error_ms)  # a part of it may sound like another
    return Check(cue, "mistaken" if one else "missed", one, error_ms)
