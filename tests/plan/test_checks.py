"""What the keys of a plan must agree on: the light waits for the film to clear."""

from typing import Any

import pytest

from darktimer.plan.checks import faults, warnings
from darktimer.plan.model import Plan

OPEN = {"kind": "tub", "light": "open"}


def plan(*steps: dict[str, str], vessel: dict[str, str] = OPEN, **more: Any) -> Plan:
    written = [{"load": "by hand"}, *steps]
    return Plan.read({"title": "A test", "vessel": vessel, "steps": written, **more})


@pytest.mark.parametrize(
    ("steps", "place"),
    [
        (
            [{"fix": "8 min", "clearing": "3 min", "light after": "2:59"}],
            ("steps", 1, "light after"),
        ),
        ([{"fix": "2:59", "clearing": "3 min"}], ("steps", 1, "fix")),
        (
            [{"fix": "1 min", "clearing": "3 min"}, {"rinse": "1 min"}, {"fix": "1:59"}],
            ("steps", 3, "fix"),
        ),
    ],
)
def test_light_before_the_film_has_cleared_is_refused(
    steps: list[dict[str, str]], place: tuple[str | int, ...]
) -> None:
    assert [each.path for each in faults(plan(*steps))] == [place]
    closed = plan(*steps[-1:], vessel={"kind": "spiral tank", "light": "closed"})
    assert all("light comes" not in each.found for each in faults(closed))


@pytest.mark.parametrize(
    "steps",
    [
        [{"fix": "8 min", "clearing": "3 min", "light after": "3 min"}],
        [{"fix": "3 min", "clearing": "3 min"}],
        [{"fix": "1 min", "clearing": "3 min", "repeat": "3"}],
        [{"fix": "1 min", "clearing": "3 min"}, {"rinse": "1 min"}, {"fix": "2 min"}],
        [{"fix": "1 min", "clearing": "3 min", "repeat": "2"}, {"fix": "1 min"}],
        [
            {"fix": "6 min", "clearing": "3 min", "light after": "3 min"},
            {"fix": "1 min", "clearing": "8 min"},
        ],
    ],
)
def test_fixes_add_up_until_the_light(steps: list[dict[str, str]]) -> None:
    assert not list(faults(plan(*steps)))
    assert all("light" not in each.found for each in warnings(plan(*steps)))
