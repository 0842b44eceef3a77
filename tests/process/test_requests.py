"""What is to be said and when, before anything gives way: the edges of each rule."""

from typing import Any

import pytest

from darktimer.plan.model import Plan
from darktimer.process import meanings
from darktimer.process.announce import CueRequest, announce, some, uncounted, without_room
from darktimer.process.layout import Laid, lay_out

SILENT = {"warnings": "none", "countdown": "0", "tally": "none", "heartbeat": "none"}


def laid(step: dict[str, Any], **keys: Any) -> tuple[Plan, tuple[Laid, ...]]:
    """One step that begins at 0, covered from 10 s on, with no habits but its own."""
    vessel = {"kind": "tub", "light": "closed"}
    silent = {"lights out after": "none", **SILENT}
    plan = Plan.read({"title": "A", "vessel": vessel, "habits": silent, "steps": [step], **keys})
    return plan, lay_out(plan).steps


def requested(family: str, **step: Any) -> list[tuple[int, str]]:
    """The moments and meanings of a family in a soak."""
    habits = {key.replace("_", " "): value for key, value in step.items()}
    plan, steps = laid({"agitation": "none", **habits})
    requests = sorted(announce(plan, steps, None, None))
    return [
        (request.at_ms, request.meaning)
        for request in requests
        if request.meaning.startswith(family)
    ]


def test_a_warning_stays_three_seconds_clear_of_the_beginning() -> None:
    """A bath of 1:50 between its transfer and its lift at 2:00."""
    assert requested("ready", soak="2 min", warnings=["107 s"]) == [(13_000, "ready-1")]
    assert requested("ready", soak="2 min", warnings=["107001 ms"]) == []
    plan, steps = laid({"soak": "2 min", "agitation": "none", "warnings": ["107001 ms", "20 s"]})
    assert without_room(plan, steps) == [
        "No room for the warning 107.001 s before the end of: Soak."
    ]


def test_standing_film_gives_a_sign_of_life_until_six_seconds_before_it_ends() -> None:
    assert requested("heartbeat", soak="2 min", heartbeat="103999 ms") == [(113_999, "heartbeat")]
    assert requested("heartbeat", soak="2 min", heartbeat="104 s") == []
    assert [at for at, _ in requested("heartbeat", soak="2 min", heartbeat="30 s")] == [
        40_000,
        70_000,
        100_000,
    ]


@pytest.mark.parametrize(
    ("time", "first"), [("5001 ms", [10_001, 11_001]), ("5 s", [11_000, 12_000]), ("2 s", [11_000])]
)
def test_pips_have_room_from_the_moment_that_the_film_is_covered(
    time: str, first: list[int]
) -> None:
    """Covered at 0:10: a pip at that moment would fall on the cue for it."""
    told = requested("pip", soak=time, drain="none", countdown="9")
    assert [at for at, _ in told][:2] == first


def test_each_change_is_counted_down_and_the_drain_by_itself() -> None:
    told = [at for at, _ in requested("pip", soak="1 min", drain="4 s", countdown="9")]
    before_lift = [66_000 - 1000 * k for k in range(9, 0, -1)]
    assert told == [*before_lift, 67_000, 68_000, 69_000]


def test_minutes_are_told_up_to_ninety_nine() -> None:
    told = requested("tally", soak="3 h", tally="1 min")
    assert told == [(10_000 + 60_000 * m, f"tally-{m}") for m in range(1, 100)]
    fives = requested("tally", soak="3 h", tally="5 min")
    assert fives[-1] == (10_000 + 95 * 60_000, "tally-95")
    assert requested("tally", soak="3 min", drain="none", tally="1 min") == told[:2]


@pytest.mark.parametrize(("time", "silent"), [("100 min", False), ("6000001 ms", True)])
def test_a_step_of_more_than_a_hundred_minutes_is_said_to_fall_silent(
    time: str, silent: bool
) -> None:
    note = (
        "Minutes are counted up to 99; after that the count is silent, and the step goes on, in: "
    )
    step = {"soak": time, "agitation": "none", "drain": "none"}
    plan, steps = laid({**step, "tally": "1 min"})
    assert list(uncounted(plan, steps)) == [f"{note}Soak."] * silent
    plan, steps = laid(step)
    assert list(uncounted(plan, steps)) == []


def test_a_long_loading_is_not_counted() -> None:
    vessel = {"kind": "tub", "light": "open"}
    steps = [{"load": "2 h"}, {"soak": "2 min", "agitation": "none"}]
    plan, placed = laid({}, vessel=vessel, steps=steps, habits={"tally": "1 min"})
    assert list(uncounted(plan, placed)) == []
    assert not [w for w in announce(plan, placed, 0, None) if w.meaning == "tally-3"]


@pytest.mark.parametrize(("within", "told"), [("15 s", 75_000), ("15001 ms", 60_000)])
def test_minutes_wait_for_the_end_of_a_short_bout_of_turns(within: str, told: int) -> None:
    turns = {"inversions": "4", "within": within, "every": "1 min"}
    found = requested("tally", soak="2 min", agitation=turns, opening="none", tally="1 min")
    assert found == [(10_000 + told, "tally-1")]


def test_sheets_that_change_baths_keep_their_moment() -> None:
    tray = {"kind": "tray", "light": "open"}
    film = {"format": "4x5 in", "sheets": "3"}
    shuffled = {"soak": "2 min", "agitation": {"shuffle each": "5 s"}, "transfer": "5 s"}
    steps = [{"load": "by hand"}, shuffled]
    plan, placed = laid({}, vessel=tray, film=film, steps=steps)
    soak = placed[1]
    told = [w for w in announce(plan, placed, 0, None) if w.meaning in ("sheet", "round")]
    acts = [request.at_ms - soak.start_ms for request in told if request.acts and request.step == 1]
    assert acts == [5_000, 10_000]
    assert len([request for request in told if request.step == 1]) > 10


def test_light_safe_is_wished_for_once_where_one_step_ends_and_the_next_begins() -> None:
    plan, steps = laid(
        {}, steps=[{"soak": "2 min"}, {"rinse": "2 min"}], habits={"agitation": "none"}
    )
    light = steps[0].end_ms
    requests = [w for w in announce(plan, steps, None, light) if w.meaning == "light-safe"]
    assert requests == [CueRequest(light, "light-safe", 0)]


def test_time_left_is_told_in_whole_tens_of_seconds() -> None:
    told = [meanings.left(seconds) for seconds in (0, 9, 10, 139, 450, 5990)]
    assert told == ["left-0", "left-0", "left-10", "left-130", "left-450", "left-5990"]


def test_many_names_are_cut_short() -> None:
    assert some(["Soak", "Develop", "Fix"]) == "Soak, Develop, Fix"
    assert some(["Soak", "Develop", "Fix", "Wash"]) == "Soak, Develop, Fix and 1 more"
