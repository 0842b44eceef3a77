"""A step's own time is what the plan writes, whatever lies before it and after it."""

from collections import Counter
from collections.abc import Callable
from typing import Any

import pytest

from darktimer import shipped
from darktimer.plan.kinds import HAND_KINDS
from darktimer.plan.model import Plan
from darktimer.plan.reader import read_plan
from darktimer.process.compiler import compile_plan
from darktimer.process.summary import summarize

Length = Callable[[str], int]
TUB: dict[str, Any] = {"vessel": {"kind": "tub", "light": "open"}}
TRAY: dict[str, Any] = {
    "vessel": {"kind": "tray", "light": "open"},
    "film": {"format": "4x5 in", "sheets": "3"},
    "habits": {"transfer": "5 s"},
}


def own_times(plan: Plan, length_ms: Length) -> None:
    summary = summarize(compile_plan(plan, length_ms))
    told: Counter[int] = Counter()
    for step in summary:
        if step.source is not None and step.kind not in HAND_KINDS:
            told[step.source] += step.time_ms
    steps = [(k, s) for k, s in enumerate(plan.steps) if s.kind not in HAND_KINDS]
    written = {k: (s.time_ms or 0) * s.repeat for k, s in steps}
    assert told == written
    assert all(step.start_ms <= step.clock_ms <= step.end_ms for step in summary)


@pytest.mark.parametrize("vessel", [TUB, TRAY])
@pytest.mark.parametrize("starts", ["full", "pour"])
@pytest.mark.parametrize("drain", ["inside", "after"])
def test_own_time_is_the_written_one(
    length_ms: Length, vessel: dict[str, Any], starts: str, drain: str
) -> None:
    ways = {"clock starts": starts, "drain is": drain}
    fix = {"fix": "5 min", "light after": "3 min"}
    steps = [{"load": "by hand"}, {"soak": "1 min", "repeat": "2"}, fix]
    own_times(Plan.read({"title": "A test", **vessel, **ways, "steps": steps}), length_ms)


@pytest.mark.parametrize("name", shipped.names("sequences"))
def test_own_times_of_a_shipped_plan(length_ms: Length, name: str) -> None:
    own_times(read_plan(name).plan, length_ms)


def test_the_figures_of_a_step_are_those_of_its_spans(length_ms: Length) -> None:
    """Lights out at 0:30, loaded at 3:30. Covered 5 s later, ten minutes, 10 s to drain."""
    develop = {"develop": "10 min", "agitation": "1/4"}
    steps = [{"load": "by hand"}, develop, {"fix": "5 min", "drain": "20 s"}]
    plan = Plan.read({"title": "A test", **TUB, "drain is": "after", "steps": steps})
    timeline = compile_plan(plan, length_ms)
    found = next(step for step in summarize(timeline) if step.kind == "develop")
    assert (found.start_ms, found.clock_ms, found.end_ms) == (210_000, 215_000, 825_000)
    assert (found.time_ms, found.agitated_ms) == (600_000, 150_000)
    kinds = [step.kind for step in timeline.steps]
    assert timeline.outside_ms(kinds.index("develop")) == 15_000
    # The fix ends 5 s + 5 min + 20 s later: dark from 0:30 to 19:10.
    assert timeline.dark_ms == 1_120_000
