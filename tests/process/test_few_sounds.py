"""A person learns few sounds for a plan, and can have every other one back by a word in it."""

from collections.abc import Callable
from typing import Any

import pytest

from darktimer.process.timeline import Timeline
from darktimer.shipped import names
from tests.benchmarks.sounds_of_plans import sounds

Compiled = Callable[..., Timeline]
LOAD = {"load": "by hand"}


def told(timeline: Timeline) -> set[str]:
    return {cue.meaning for cue in timeline.cues}


@pytest.mark.parametrize("plan", names("sequences"))
def test_a_shipped_plan_has_six_acts_and_twelve_sounds_at_most(plan: str) -> None:
    acts, rest = sounds(plan)
    assert len(acts) <= 6, acts
    assert len(acts) + len(rest) <= 12, rest


@pytest.mark.parametrize(
    ("way", "entered"),
    [
        ({}, ["enter", "enter", "enter", "enter", "enter"]),
        ({"baths told by": "order"}, ["enter", "enter", "enter", "enter", "enter"]),
        ({"baths told by": "place"}, ["lights-out", "enter-1", "enter-2", "enter", "enter-1"]),
        (
            {"baths told by": "signature"},
            ["lights-out", "enter-develop", "enter-fix", "enter-step", "enter-develop"],
        ),
    ],
)
def test_a_bath_is_told_as_the_plan_asks(
    compiled: Compiled, way: dict[str, str], entered: list[str]
) -> None:
    """A bath that comes again stands where it stood; a step without a bath has no place. By order
    the first is lights out, which else has a sound of its own.
    """
    develop = {"develop": "5 min", "agitation": "continuous"}
    steps = [LOAD, develop, {"fix": "5 min"}, {"step": "1 min", "name": "Look"}, develop]
    timeline = compiled(habits=way, steps=steps)
    goes_on = ("enter", "lights-out")
    assert [cue.meaning for cue in timeline.cues if cue.meaning.startswith(goes_on)] == entered
    signs = [step.sign for step in timeline.steps if step.source is not None]
    if way.get("baths told by") == "signature":
        assert signs == ["load", "develop", "fix", "step", "develop"]
    else:
        assert signs == ["", "1", "2", "", "1"]


def test_no_place_is_told_beyond_the_fifteenth(compiled: Compiled) -> None:
    steps = [{"step": "1 min", "name": f"Bath {k}", "bath": f"bath {k}"} for k in range(1, 18)]
    timeline = compiled(habits={"baths told by": "place"}, steps=steps)
    entered = [cue.meaning for cue in timeline.cues if cue.meaning.startswith("enter")]
    assert entered[-3:] == ["enter-15", "enter", "enter"]


@pytest.mark.parametrize(
    ("time", "numbers"),
    [
        ("10 min", []),
        ("601 s", [5]),
        ("20 min", [5, 10, 15]),
        ("1201 s", [10]),
        ("30 min", [10, 20]),
        ("1801 s", []),
        ("120 min", [30, 60, 90]),
        ("121 min", [60]),
    ],
)
def test_minutes_are_told_in_long_steps_alone_and_seldom(
    compiled: Compiled, time: str, numbers: list[int]
) -> None:
    timeline = compiled(steps=[{"fix": time}])
    told = [cue.meaning for cue in timeline.cues if cue.meaning.startswith("tally")]
    assert told == [f"tally-{number}" for number in numbers]


@pytest.mark.parametrize(
    ("habits", "beats"),
    [
        ({}, True),
        ({"tally": "2 min"}, True),
        ({"tally": "1 min"}, False),
        ({"tally": "1 min", "heartbeat": "30 s"}, True),
        ({"heartbeat": "none", "tally": "none"}, False),
    ],
)
def test_no_heartbeat_where_minutes_are_told_as_often(
    compiled: Compiled, habits: dict[str, Any], beats: bool
) -> None:
    timeline = compiled(habits=habits, steps=[{"soak": "5 min"}])
    assert ("heartbeat" in told(timeline)) is beats
