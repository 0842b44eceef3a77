"""What a plan may do in the light, and what of a bleach it warns of."""

from typing import Any

import pytest

from darktimer.plan.checks import faults, warnings
from darktimer.plan.model import Plan

OPEN, CLOSED = {"kind": "tub", "light": "open"}, {"kind": "spiral tank", "light": "closed"}
DEVELOP, RINSE, FIX = {"develop": "10 min"}, {"rinse": "2 min"}, {"fix": "8 min"}
BLEACH, EXPOSE = {"bleach": "6 min", "least": "5 min"}, {"expose": "2 min"}


def plan(*steps: dict[str, str], vessel: dict[str, str] = OPEN) -> Plan:
    written: dict[str, Any] = {"title": "A test", "vessel": vessel}
    written["habits"] = {"agitation": "continuous"}
    return Plan.read({**written, "steps": [{"load": "by hand"}, *steps]})


@pytest.mark.parametrize("vessel", [OPEN, CLOSED])
def test_a_whole_reversal_has_no_fault_and_no_warning(vessel: dict[str, str]) -> None:
    whole = plan(DEVELOP, RINSE, BLEACH, RINSE, EXPOSE, DEVELOP, RINSE, FIX, vessel=vessel)
    assert [*faults(whole), *warnings(whole)] == []
    assert whole.light_safe_after == 4


@pytest.mark.parametrize(
    ("bleach", "faulty"),
    [
        ({"bleach": "5 min"}, False),
        ({"bleach": "299999 ms"}, True),
        ({"bleach": "150 s", "repeat": "2"}, False),
        ({"bleach": "149 s", "repeat": "2"}, True),
    ],
)
def test_a_bleach_may_last_just_its_least_time(bleach: dict[str, str], faulty: bool) -> None:
    steps = (DEVELOP, RINSE, {**bleach, "least": "5 min"}, RINSE, EXPOSE, DEVELOP, RINSE, FIX)
    assert any("shorter than its least" in each.found for each in faults(plan(*steps))) is faulty


@pytest.mark.parametrize(
    ("steps", "safe"),
    [
        ([DEVELOP, FIX, RINSE, FIX], 4),
        ([DEVELOP, {**FIX, "light after": "5 min"}, RINSE, FIX], 2),
        ([DEVELOP, RINSE, BLEACH, RINSE, {"wash": "9 min"}, EXPOSE, DEVELOP, FIX], 5),
        ([DEVELOP, RINSE, BLEACH, RINSE, FIX], 4),
        ([DEVELOP, RINSE, BLEACH, RINSE, DEVELOP, RINSE, FIX], 7),
        ([DEVELOP, RINSE, BLEACH, RINSE, DEVELOP], None),
        ([DEVELOP, FIX, RINSE, BLEACH, RINSE, EXPOSE, DEVELOP], 2),
        ([DEVELOP, RINSE], None),
        ([DEVELOP, RINSE, {"put away": "by hand"}], 3),
        ([DEVELOP, RINSE, BLEACH, RINSE, EXPOSE, DEVELOP, FIX, {"put away": "by hand"}], 4),
        ([DEVELOP, FIX, {"put away": "by hand"}], 2),
    ],
)
def test_light_is_safe_after_one_step(steps: list[dict[str, str]], safe: int | None) -> None:
    assert plan(*steps).light_safe_after == safe


@pytest.mark.parametrize(
    ("steps", "place"),
    [
        ([DEVELOP, RINSE, {**BLEACH, "bleach": "4:59"}, RINSE, EXPOSE, DEVELOP], 3),
        ([DEVELOP, RINSE, BLEACH, EXPOSE, DEVELOP], 3),
        ([DEVELOP, RINSE, BLEACH, {"stop": "1 min"}, RINSE, EXPOSE, DEVELOP], 3),
        ([DEVELOP, EXPOSE, DEVELOP, FIX], 2),
        ([DEVELOP, RINSE, BLEACH, RINSE, FIX, EXPOSE, DEVELOP], 6),
        ([DEVELOP, FIX, EXPOSE, DEVELOP], 3),
    ],
)
@pytest.mark.parametrize("vessel", [OPEN, CLOSED])
def test_film_that_light_would_spoil_is_refused_in_any_vessel(
    steps: list[dict[str, str]], place: int, vessel: dict[str, str]
) -> None:
    assert place in [each.path[1] for each in faults(plan(*steps, vessel=vessel))]


def test_a_second_develop_in_the_light_is_for_film_that_was_exposed() -> None:
    steps = [DEVELOP, RINSE, BLEACH, RINSE, DEVELOP, EXPOSE, FIX]
    assert [each.path for each in faults(plan(*steps))] == [("steps", 5)]


@pytest.mark.parametrize("vessel", [OPEN, CLOSED])
def test_a_developer_that_fogs_works_in_the_dark_and_a_forgotten_exposure_is_told_of(
    vessel: dict[str, str],
) -> None:
    fogged = plan(DEVELOP, RINSE, BLEACH, RINSE, DEVELOP, RINSE, FIX, vessel=vessel)
    assert list(faults(fogged)) == []
    (found,) = warnings(fogged)
    assert found.path == ("steps", 5)
    assert "only a developer that fogs" in found.found


@pytest.mark.parametrize("before", ["bleach", "rinse", "wash", "soak"])
def test_only_water_or_another_bleach_comes_before_a_bleach(before: str) -> None:
    step = BLEACH if before == "bleach" else {before: "3 min"}
    assert list(warnings(plan(DEVELOP, RINSE, step, BLEACH, RINSE, EXPOSE, DEVELOP, FIX))) == []


@pytest.mark.parametrize(
    ("steps", "place", "words"),
    [
        ([DEVELOP, BLEACH, RINSE, EXPOSE, DEVELOP], 2, "Develop is carried into the bleach"),
        ([DEVELOP, RINSE, BLEACH, RINSE, EXPOSE, FIX], 5, "no develop follows"),
        (
            [DEVELOP, RINSE, BLEACH, RINSE, {"clear": "2 min"}, EXPOSE, DEVELOP],
            5,
            "helps a fixer out, and no fix comes before it",
        ),
    ],
)
def test_what_is_doubtful_is_said(steps: list[dict[str, str]], place: int, words: str) -> None:
    (found,) = warnings(plan(*steps))
    assert found.path == ("steps", place)
    assert words in found.found


def test_a_washing_aid_after_the_fix_is_no_clearing_bath() -> None:
    steps = [DEVELOP, RINSE, BLEACH, RINSE, EXPOSE, DEVELOP, FIX, {"wash aid": "2 min"}]
    assert list(warnings(plan(*steps))) == []
