"""Figures of the trade's practice, computed by the compiler from plans that ask for them.

Each check names its source. "Navy" is the Navy training manual 14209, "Army" the Army subcourses
SS0509 and SS0514; "common practice" has no source.
"""

import runpy
from pathlib import Path
from typing import Any

import pytest

from darktimer import shipped
from darktimer.plan.checks import faults, warnings
from darktimer.plan.model import Plan
from darktimer.plan.reader import read_plan
from darktimer.plan.steps import Develop, Fix
from darktimer.process.compiler import compile_plan
from darktimer.process.timeline import Timeline

REMAKE = runpy.run_path(str(Path(__file__).parents[1] / "golden" / "remake.py"))
TANK = {"kind": "spiral tank", "light": "closed"}
OPEN = [
    name
    for name in shipped.names("sequences")
    if read_plan(name).plan.vessel.light == "open" and read_plan(name).plan.in_baths
]


def timeline(name: str) -> Timeline:
    made: Timeline = REMAKE["timeline"](name)
    return made


def plan(*steps: dict[str, str], **more: Any) -> Plan:
    return Plan.read({"title": "A test", "vessel": TANK, "steps": list(steps), **more})


def compiled(*steps: dict[str, str], **more: Any) -> Timeline:
    return compile_plan(plan(*steps, **more), REMAKE["length_ms"])


def moving_ms(timeline: Timeline, kind: str) -> int:
    steps = [index for index, step in enumerate(timeline.steps) if step.kind == kind]
    spans = [span for span in timeline.spans if span.step in steps and span.kind == "agitate"]
    return sum(span.end_ms - span.start_ms for span in spans)


def moments(timeline: Timeline, meaning: str) -> list[int]:
    return [cue.at_ms for cue in timeline.cues if cue.meaning == meaning]


def test_small_tank_is_agitated_an_eighth_of_the_time() -> None:
    # Navy: 30 s continuously, then 5 s of each minute: 75 s of a 10 min develop, 12.5 %.
    made = timeline("small-tank-inversions")
    develop = next(
        step for step in read_plan("small-tank-inversions").plan.steps if step.kind == "develop"
    )
    assert moving_ms(made, "develop") == 30_000 + 9 * 5_000
    assert moving_ms(made, "develop") / develop.time_ms == 0.125


@pytest.mark.parametrize("name", ["open-tub-half-agitation", "closed-spiral-half-agitation"])
def test_half_of_fifteen_minutes_is_four_hundred_and_fifty_seconds(name: str) -> None:
    # Common practice: a 15 min develop agitated for half of it moves 450 s and stands 450 s.
    assert moving_ms(timeline(name), "develop") == 450_000


def test_draining_starts_ten_seconds_before_the_end() -> None:
    # Navy; Army SS0514: open the tank or start to drain 10 s before the step ends.
    made = timeline("small-tank-inversions")
    develop = next(step for step in made.steps if step.kind == "develop")
    assert develop.end_ms - 10_000 in moments(made, "lift")


def test_time_runs_from_when_the_tank_is_full() -> None:
    # Navy: the clock starts when the tank is full, and pouring takes 10 to 20 s.
    made = timeline("small-tank-inversions")
    index, develop = next((i, s) for i, s in enumerate(made.steps) if s.kind == "develop")
    pouring, *_ = (span for span in made.spans if span.step == index)
    assert pouring.kind == "transfer"
    assert 10_000 <= pouring.end_ms - pouring.start_ms <= 20_000
    assert develop.end_ms - pouring.end_ms == 600_000


def test_time_can_run_from_the_first_drop() -> None:
    # Common practice: others start at the first drop, so that a plan must say which.
    made = compiled({"develop": "10 min", "agitation": "stand"}, **{"clock starts": "pour"})
    develop = next(step for step in made.steps if step.kind == "develop")
    assert develop.end_ms - develop.start_ms == 600_000
    assert any("the pour" in note for note in made.notes)


def test_fixing_takes_twice_the_clearing_time() -> None:
    # Navy: fix for twice the clearing time.
    assert not list(warnings(plan({"fix": "6 min", "clearing": "3 min"})))
    short = list(warnings(plan({"fix": "5:59", "clearing": "3 min"})))
    assert [each.path for each in short] == [("steps", 0, "fix")]
    for name in shipped.names("sequences"):
        for step in read_plan(name).plan.steps:
            assert not isinstance(step, Fix) or step.fix >= 2 * (step.clearing or 0)


@pytest.mark.parametrize("name", OPEN)
def test_light_waits_for_the_clearing_time(name: str) -> None:
    # From memory: no white light before the clearing time has passed in the fixer.
    made = timeline(name)
    fixes = [step for step in read_plan(name).plan.steps if isinstance(step, Fix)]
    fixing = [step for step in made.steps if step.kind == "fix"]
    bleached = any(step.kind == "bleach" for step in made.steps)
    for safe_ms in moments(made, "light-safe") if not bleached else ():
        assert safe_ms >= fixing[0].start_ms + (fixes[0].clearing or 0)
    assert len(moments(made, "light-safe")) == len(fixes)


def test_light_before_the_clearing_time_is_refused() -> None:
    # The same source.
    fix = {"fix": "8 min", "clearing": "3 min", "light after": "2 min"}
    opened = plan({"load": "by hand"}, fix, vessel={"kind": "tub", "light": "open"})
    assert [each.path for each in faults(opened)] == [("steps", 1, "light after")]


def test_a_develop_under_five_minutes_is_warned_of_and_not_refused() -> None:
    # Common practice: under 5 min the film may develop unevenly.
    short = plan({"develop": "4:59", "agitation": "continuous"})
    assert len(list(warnings(short))) == 1
    compiled({"develop": "4:59", "agitation": "continuous"})
    assert not list(warnings(plan({"develop": "5 min", "agitation": "continuous"})))


def test_sheets_are_wetted_first_and_keep_their_order() -> None:
    # Navy; Army SS0509: wet sheets first so that they do not stick; 6 to 12 at a time with
    # practice; from bottom to top, in the same order through every bath.
    film = read_plan("tray-six-sheets").plan.films[0]
    made = timeline("tray-six-sheets")
    assert film is not None
    assert film.sheets is not None
    assert 6 <= film.sheets <= 12
    assert [step.kind for step in made.steps[:4]] == ["ready", "load", "soak", "develop"]
    for step in made.steps:
        if step.kind in ("soak", "develop", "stop", "fix"):
            own = {step.start_ms + k * 10_000 for k in range(1, film.sheets)}
            assert own <= set(moments(made, "sheet"))


def test_every_shipped_develop_is_long_enough() -> None:
    # Common practice, as above.
    for name in shipped.names("sequences"):
        for step in read_plan(name).plan.steps:
            assert not isinstance(step, Develop) or step.develop >= 300_000
