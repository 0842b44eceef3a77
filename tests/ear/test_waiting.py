"""Waits at gates are no faults, one wait or many; what is out of place elsewhere stays one."""

from collections.abc import Sequence
from pathlib import Path

import pytest

from darktimer.ear.hearing import Detection
from darktimer.ear.verdict import Verdict, compared
from darktimer.ear.waiting import as_planned, waits_heard, with_waits
from darktimer.live.gates import Waits, gates
from darktimer.prepare.prepared import prepare
from darktimer.process.timeline import Timeline

BRIEF = """
title: Brief, invented and untested on film
vessel: {kind: tub, light: open, volume: 1.5 l}
habits: {lights out after: 5 s, loading: 10 s}
steps:
  - load: by hand
  - develop: 30 s
    agitation: stand
  - rinse: 20 s
  - fix: 40 s
    clearing: 20 s
  - wash: 30 s
"""

#: A few seconds at each of many gates.
SMALL = [
    6020,
    7304,
    2669,
    3322,
    6401,
    6201,
    4399,
    7761,
    7179,
    3151,
    3783,
    6107,
    5125,
    5505,
    7213,
    5376,
    3968,
    2836,
    7773,
]


def played(timeline: Timeline, late_ms: Sequence[tuple[int, int]]) -> list[Detection]:
    """Every cue, later by all waits up to its moment, but for those that were gone on from."""
    return [
        Detection(5000 + cue.at_ms + late, cue.length_ms, cue.meaning, 20.0, 0.9)
        for cue in timeline.cues
        for late in [sum(ms for at_ms, ms in late_ms if at_ms <= cue.at_ms)]
        if not any(at_ms + ms <= cue.at_ms < at_ms for at_ms, ms in late_ms)
    ]


def judged(
    timeline: Timeline,
    heard: Sequence[Detection],
    waits: Waits = Waits.LOADING,
    duration_ms: float = 1e9,
) -> tuple[Verdict, list[int]]:
    free = [(gate.opens_ms, gate.plan_ms) for gate in gates(timeline, waits)]
    waits_ms = waits_heard(heard, timeline, free, duration_ms)
    verdict = compared(heard, with_waits(timeline, free, waits_ms), duration_ms)
    return as_planned(verdict, free, waits_ms), waits_ms


@pytest.mark.parametrize(
    ("plan", "waits", "waited"),
    [
        ("open-tub-half-agitation", Waits.LOADING, [45_000]),
        ("open-tub-half-agitation", Waits.LOADING, [0]),
        ("room-for-light", Waits.LOADING, [1_800_000, 62_000]),
        ("room-for-light", Waits.LOADING, [-30_000, 0]),
        ("two-bath-develop", Waits.TRANSFERS, [20_000, 0, 7000, 0, 300_000, 0, 9000]),
        # By most of the cues it looked like a clock that is slow by 321 millionths.
        ("bucket-motion-picture", Waits.TRANSFERS, SMALL),
    ],
)
def test_each_wait_is_found_and_nothing_is_at_fault(
    plan: str, waits: Waits, waited: list[int]
) -> None:
    timeline = prepare(plan, "standard", None).timeline
    moments = [gate.plan_ms for gate in gates(timeline, waits)]
    heard = played(timeline, [*zip(moments, waited, strict=True)])
    verdict, found = judged(timeline, heard, waits)
    assert found == pytest.approx(waited, abs=2)
    assert verdict.sure
    assert {check.cue for check in verdict.checks} <= {*timeline.cues}
    assert [check.state for check in verdict.checks] == ["heard"] * len(heard)


@pytest.mark.parametrize("late_ms", [-20_000, 20_000])
def test_a_pause_or_a_cut_while_the_film_develops_is_no_wait(late_ms: int) -> None:
    timeline = prepare("open-tub-half-agitation", "standard", None).timeline
    (gate,) = gates(timeline, Waits.LOADING)
    verdict, found = judged(timeline, played(timeline, [(gate.plan_ms + 400_000, late_ms)]))
    assert found == [0]
    assert verdict.elsewhere
    assert not verdict.fits


def test_many_short_waits_are_no_slow_clock(tmp_path: Path) -> None:
    """Each lies between the same sounds, so that one of another stretch was taken for them."""
    (tmp_path / "brief.yaml").write_text(BRIEF)
    timeline = prepare(str(tmp_path / "brief.yaml"), "standard", None).timeline
    moments = [gate.plan_ms for gate in gates(timeline, Waits.TRANSFERS)]
    waited = [3100, 2100, 7900, 5100, 2000]
    heard = played(timeline, [*zip(moments, waited, strict=True)])
    verdict, found = judged(timeline, heard, Waits.TRANSFERS)
    assert found == pytest.approx(waited, abs=2)
    assert verdict.sure


def test_waits_too_short_to_be_told_from_a_slow_clock_alone_are_waits(tmp_path: Path) -> None:
    """All together are right, though what lies between two of them may count to either."""
    (tmp_path / "brief.yaml").write_text(BRIEF)
    timeline = prepare(str(tmp_path / "brief.yaml"), "standard", None).timeline
    moments = [gate.plan_ms for gate in gates(timeline, Waits.TRANSFERS)]
    heard = played(timeline, [*zip(moments, [106, 80, 303, 215, 372], strict=True)])
    verdict, found = judged(timeline, heard, Waits.TRANSFERS)
    assert sum(found) == pytest.approx(106 + 80 + 303 + 215 + 372, abs=2)
    assert verdict.sure


def test_an_act_that_is_lost_before_a_wait_stays_lost() -> None:
    timeline = prepare("open-tub-half-agitation", "standard", None).timeline
    (gate,) = gates(timeline, Waits.LOADING)
    heard = played(timeline, [(gate.plan_ms, 45_000)])
    out = next(one for one in heard if one.meaning == "enter")
    verdict, _ = judged(timeline, [one for one in heard if one != out])
    assert [check.cue.at_ms for check in verdict.act_now_lost] == [30_000]


def test_nothing_heard_is_no_wait() -> None:
    timeline = prepare("open-tub-half-agitation", "standard", None).timeline
    assert judged(timeline, [])[1] == [0]


@pytest.mark.parametrize(("sooner_ms", "taken"), [(-500, False), (-20_000, False), (500, True)])
def test_nobody_goes_on_before_the_plan_lets_them(sooner_ms: int, taken: bool) -> None:
    """Half a second before it does the bath was cut short; half a second after, the drain was."""
    timeline = prepare("two-bath-develop", "standard", None).timeline
    gate = gates(timeline, Waits.TRANSFERS)[2]
    cut_ms = gate.opens_ms - gate.plan_ms + sooner_ms
    heard = played(timeline, [(gate.plan_ms, cut_ms)])
    verdict, found = judged(timeline, heard, Waits.TRANSFERS)
    assert found[2] == (pytest.approx(cut_ms, abs=2) if taken else 0)
    assert verdict.sure is taken


@pytest.mark.parametrize(("pips", "waited"), [(1, 0), (2, 45_000)])
def test_a_wait_needs_more_behind_it_than_chance_would_bring(pips: int, waited: int) -> None:
    """A recording that ends with the first act behind the wait, and some of the pips before it."""
    timeline = prepare("open-tub-half-agitation", "standard", None).timeline
    (gate,) = gates(timeline, Waits.LOADING)
    whole = played(timeline, [(gate.plan_ms, 45_000)])
    before = sum(cue.at_ms < gate.plan_ms for cue in timeline.cues)
    *countdown, enter = whole[before : before + 4]
    heard = [*whole[:before], *countdown[:pips], enter]
    _, found = judged(timeline, heard, duration_ms=enter.at_ms + enter.length_ms + 50)
    assert found == [waited]
