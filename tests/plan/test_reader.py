"""A plan as its user wrote it, read whole: habits, usual values, places of warnings."""

from pathlib import Path
from typing import Any

import pytest

from darktimer import shipped
from darktimer.errors import Fault, FileError
from darktimer.plan.agitation import Inversions, ShareOfTime, Stand, Still
from darktimer.plan.checks import warnings
from darktimer.plan.reader import PlanFile, read_plan, read_plan_file

PLAN = """\
title: Read right
vessel: {kind: tub, light: open}
room: 64 F
habits:
  warnings: no
  drain: none
  tally: 2 min
steps:
  - load: by hand
  - develop: 7:30
    agitation: 50 %
    drain: 12 s
    heartbeat: off
  - fix: 3 min
    clearing: 2 min
"""


def doubtful(file: PlanFile) -> list[Fault]:
    return file.located(warnings(file.plan))


@pytest.fixture
def file(tmp_path: Path) -> PlanFile:
    path = tmp_path / "plan.yaml"
    path.write_text(PLAN, encoding="utf-8")
    return read_plan_file(path)


@pytest.mark.parametrize(
    ("step", "habit", "value"),
    [
        (1, "warnings", ()),
        (1, "drain", 12_000),
        (2, "drain", 0),
        (1, "tally", 120_000),
        (1, "heartbeat", 0),
        (2, "heartbeat", 60_000),
        (1, "transfer", 5_000),
        (1, "opening", 30_000),
        (1, "countdown", 3),
    ],
)
def test_a_habit_is_the_steps_or_the_plans_or_the_usual_one(
    file: PlanFile, step: int, habit: str, value: Any
) -> None:
    assert file.plan.habit(file.plan.steps[step], habit) == value


def test_unquoted_times_and_words_are_read_as_they_stand(file: PlanFile) -> None:
    load, develop, _ = file.plan.steps
    assert (load.time_ms, develop.time_ms) == (None, 450_000)
    assert develop.agitation == ShareOfTime(share="1/2")


def test_warnings_stand_at_their_places(file: PlanFile) -> None:
    assert [(w.line, w.column, w.key) for w in doubtful(file)] == [(14, 10, "steps[3].fix")]


@pytest.mark.parametrize("name", shipped.names("sequences"))
def test_shipped_plans_say_what_they_are_and_raise_no_doubts(name: str) -> None:
    file = read_plan(name)
    assert file.plan.about == "Invented for demonstration; untested on film."
    assert doubtful(file) == []


def test_shipped_plans_are_of_different_shapes() -> None:
    plans = [read_plan(name).plan for name in shipped.names("sequences")]
    ways = {type(plan.agitation(step)) for plan in plans for step in plan.steps}
    assert {ShareOfTime, Inversions, Stand, Still} <= ways
    assert {plan.vessel.light for plan in plans} == {"open", "closed"}
    assert len(plans) >= 9


def test_a_kind_is_read_by_its_former_name_and_blamed_at_its_line(tmp_path: Path) -> None:
    path = tmp_path / "old.yaml"
    head = "title: Old\nvessel: {kind: tub, light: closed}\nsteps:\n"
    path.write_text(f"{head}  - clear: 2 min\n    bath: sulphite\n", encoding="utf-8")
    (step,) = read_plan_file(path).plan.steps
    assert (step.kind, step.time_ms) == ("wash aid", 120_000)
    path.write_text(f"{head}  - clear: 2\n    baht: sulphite\n", encoding="utf-8")
    with pytest.raises(FileError) as error:
        read_plan_file(path)
    assert [fault.line for fault in error.value.faults] == [4, 5]
