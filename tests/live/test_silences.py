"""A silence of any length, anywhere in any plan that ships: no act is lost without its reason."""

from functools import lru_cache
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from darktimer.live.cue_queue import acts
from darktimer.prepare.prepared import prepare
from darktimer.process import meanings
from darktimer.process.spacing import CLEAR_MS
from darktimer.process.timeline import Cue, Timeline
from tests.live.studio import Studio

PLANS = sorted(path.stem for path in Path("sequences").glob("*.yaml"))
#: The rule as it is written down for people: older acts are replaced; so are those undone at once.
OLD_MS, UNDONE_MS = 10_000, 3_000
UNDONE_BY = {
    "move": {"stand", "lift", "enter"},
    "stand": {"move", "lift", "enter"},
    "lift": {"enter"},
    "enter": {"lift", "enter"},
    "reverse": {"reverse", "lift", "enter"},
}
AGELESS = {"light-safe", "end", "reverse"}
AWAY_MS = 20_000
#: That of going on to the next bath.
LONGEST_ACT_MS = 1_100


@lru_cache
def plan(name: str) -> Timeline:
    return prepare(name, "standard", None).timeline


class Silence:
    """One run with a silence in it, and what was heard; ``back_ms`` is when sound was back."""

    def __init__(self, line: Timeline, from_ms: int, length_ms: int, kind: str) -> None:
        self.line = line
        self.studio = Studio(line=line, samples=False)
        self.studio.keys.gone = True
        self.studio.leap(max(0, from_ms - 2_000))
        self.studio.until(from_ms)
        self.studio.clock.advance(from_ms - self.studio.tape.position_ms())
        if kind == "lost":
            self.studio.tape.lose()
            self.studio.until(from_ms + length_ms)
            self.studio.tape.return_()
        else:
            self.studio.tape.stand_still(length_ms)
        self.back_ms = self.studio.tape.filled_ms()
        self.studio.until(self.back_ms + AWAY_MS)
        self.studio.leap(line.duration_ms + 60_000)
        self.heard = self.studio.tape.whole()

    def excused(self, act: Cue) -> bool:
        """Whether the rule lets an act go untold."""
        family = meanings.family(act.meaning)
        busy_ms = sum(
            cue.length_ms + 2 * CLEAR_MS
            for cue in self.line.cues
            if acts(cue) and act.at_ms <= cue.at_ms < self.back_ms + OLD_MS
        )
        busy_ms += self._pieces_ms(act)
        if self.back_ms + busy_ms - act.at_ms >= OLD_MS:
            return act.meaning not in AGELESS
        until_ms = self.back_ms + busy_ms + UNDONE_MS
        return any(
            act.at_ms < cue.at_ms <= until_ms
            and meanings.family(cue.meaning) in UNDONE_BY.get(family, ())
            for cue in self.line.cues
        )

    def _pieces_ms(self, act: Cue) -> int:
        """How long it takes to ask for pieces that were due just before ``act``, by their numbers.

        A number is planned up to 30 s before its piece, which goes in or out by one act.
        """
        return sum(
            cue.length_ms + act.length_ms + 4 * CLEAR_MS + LONGEST_ACT_MS
            for cue in self.line.cues
            if meanings.family(cue.meaning) == "piece"
            and act.at_ms - 30_000 <= cue.at_ms < self.back_ms
        )


def _told(silence: Silence) -> None:
    moved = silence.studio.conductor.state.moved
    again = {(planned_ms, meaning): at_ms for (at_ms, meaning), planned_ms in moved.items()}
    for act in filter(acts, silence.line.cues):
        times = silence.heard[act.at_ms, act.meaning]
        later_ms = again.get((act.at_ms, act.meaning))
        if later_ms is not None:
            times += silence.heard[later_ms, act.meaning]
        assert times <= 1, f"{act} was asked for again, though it was heard"
        assert times or silence.excused(act), f"{act} was lost without a reason"


def _none_undone_at_once(silence: Silence) -> None:
    """What was asked for again is not undone right after it."""
    moved = silence.studio.conductor.state.moved
    told = sorted(cue for cue in silence.studio.conductor.state.cues if acts(cue))
    for cue, following in pairwise(told):
        if (cue.at_ms, cue.meaning) in moved:
            undoes = meanings.family(following.meaning) in UNDONE_BY.get(
                meanings.family(cue.meaning), ()
            )
            assert not undoes or following.at_ms >= cue.end_ms + UNDONE_MS


def _written_as_heard(silence: Silence) -> None:
    rows = [(e.at_ms, e.meaning) for e in silence.studio.notes.events if e.kind == "cue"]
    assert len(rows) == len(set(rows))
    assert set(silence.heard) <= set(rows), "all that was heard to its end"
    broken = set(rows) - set(silence.heard)
    assert not any(acts(Cue(at, 0, meaning, 0)) for at, meaning in broken), "no act but those"
    assert len(broken) <= 1, "and at most one of the rest that had a hole"


@settings(max_examples=300, deadline=None)
@given(
    name=some.sampled_from(PLANS),
    where=some.floats(0, 1),
    near_act=some.booleans(),
    length_ms=some.one_of(some.integers(50, 3_000), some.integers(50, 60_000)),
    kind=some.sampled_from(["lost", "stopped"]),
)
def test_every_act_is_heard_whole_or_replaced_by_the_rule(name, where, near_act, length_ms, kind):
    line = plan(name)
    from_ms = round(where * line.duration_ms)
    if near_act:  # most of a plan is quiet
        act = min(filter(acts, line.cues), key=lambda cue: abs(cue.at_ms - from_ms))
        from_ms = max(0, act.at_ms + from_ms % (act.length_ms + 1_000) - 500)
    silence = Silence(line, from_ms, length_ms, kind)
    _told(silence)
    _none_undone_at_once(silence)
    _written_as_heard(silence)


@pytest.mark.parametrize("kind", ["lost", "stopped"])
def test_a_lift_that_was_not_heard_is_asked_for_as_soon_as_there_is_sound(kind):
    line = plan("open-tub-half-agitation")
    lift = next(cue for cue in line.cues if cue.meaning == meanings.LIFT)
    silence = Silence(line, lift.at_ms - 400, 900, kind)
    (at_ms,) = (
        at
        for at, meaning in silence.heard
        if meaning == "lift" and at > lift.at_ms - 1 and at < lift.at_ms + 5_000
    )
    assert at_ms < silence.back_ms + 1_200
