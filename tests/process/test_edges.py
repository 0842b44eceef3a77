"""The edges of a plan: the last sheet, the last bout, the shortest stretch, the longest plan."""

from collections.abc import Callable
from typing import Any

import pytest

from darktimer.errors import FindingsError
from darktimer.plan.model import Plan
from darktimer.process.compiler import compile_plan
from darktimer.process.layout import lay_out
from darktimer.process.timeline import Timeline

Compiled = Callable[..., Timeline]
LOAD = {"load": "by hand"}
TRAY: dict[str, Any] = {
    "vessel": {"kind": "tray", "light": "open"},
    "film": {"format": "4x5 in", "sheets": "3"},
    "habits": {"transfer": "5 s"},
}
TANK: dict[str, Any] = {"title": "A test", "vessel": {"kind": "tub", "light": "closed"}}
HOUR_MS = 3_600_000


def spans(timeline: Timeline, step: int) -> list[tuple[str, int]]:
    return [(s.kind, (s.end_ms - s.start_ms) // 1000) for s in timeline.spans if s.step == step]


@pytest.mark.parametrize(("light", "after"), [({"light after": "3 min"}, 180), ({}, 300)])
def test_light_waits_for_the_last_sheet(
    compiled: Compiled, light: dict[str, str], after: int
) -> None:
    """Three sheets that enter 5 s apart: the last has had its time 15 s after the first."""
    timeline = compiled(**TRAY, steps=[LOAD, {"fix": "5 min", **light}, {"wash": "5 min"}])
    fix = timeline.steps[2]
    safe_ms = fix.start_ms + (after + 15) * 1000
    assert [s.start_ms for s in timeline.steps if s.name.endswith(", in the light")] == [safe_ms]
    (heard,) = [cue.at_ms for cue in timeline.cues if cue.meaning == "light-safe"]
    assert safe_ms <= heard < safe_ms + 12_000
    assert [step.end_ms for step in timeline.steps if step.dark][-1] == safe_ms


def test_the_drain_of_sheets_is_inside_whatever_the_plan_says(compiled: Compiled) -> None:
    steps = [LOAD, {"soak": "1 min"}, {"develop": "2 min", "agitation": "continuous"}]
    inside, after = (
        compiled(**TRAY, steps=steps, **{"drain is": each}) for each in ("inside", "after")
    )
    assert inside == after
    assert "the drain is inside it" in after.notes[0]
    assert spans(after, 2) == [("transfer", 15), ("stand", 35), ("drain", 10)]
    assert spans(after, 3) == [("transfer", 15), ("agitate", 95), ("drain", 10)]
    assert after.steps[3].start_ms - after.steps[2].start_ms == 60_000


@pytest.mark.parametrize(
    ("agitation", "last"),
    [
        ({"inversions": "4", "within": "10 s", "at": ["4:40"]}, ("agitate", 10)),
        ({"inversions": "4", "within": "10 s", "at": ["4:38"]}, ("stand", 2)),
        ({"inversions": "4", "within": "10 s", "every": "4:40"}, ("agitate", 10)),
        ({"inversions": "4", "within": "10 s", "every": "4:41"}, ("stand", 260)),
    ],
)
def test_a_bout_may_end_where_the_drain_begins_and_no_later(
    compiled: Compiled, agitation: dict[str, Any], last: tuple[str, int]
) -> None:
    timeline = compiled(steps=[{"develop": "5 min", "agitation": agitation}])
    assert spans(timeline, 1)[-2:] == [last, ("drain", 10)]
    told = [cue for cue in timeline.cues if cue.step == 1 and cue.meaning == "lift"]
    assert [cue.at_ms for cue in told] == [timeline.steps[1].start_ms + 300_000]


@pytest.mark.parametrize(
    ("opening", "doubts"),
    [
        ("3 s", []),
        ("2999 ms", ["moving lasts only 2.999 s at 0:00 of Soak"]),
        ("107 s", []),
        ("107001 ms", ["standing lasts only 2.999 s at 1:47.001 of Soak"]),
    ],
)
def test_a_stretch_under_three_seconds_is_doubtful(opening: str, doubts: list[str]) -> None:
    soak = {"soak": "2 min", "opening": opening, "agitation": "stand"}
    laid = lay_out(Plan.read({**TANK, "steps": [soak]}))
    assert [each.found for each in laid.warnings] == doubts
    assert [each.path for each in laid.warnings] == [("steps", 0, "soak")] * len(doubts)


def test_a_short_stretch_of_repeated_steps_is_doubted_once() -> None:
    soak = {"soak": "2 min", "opening": "2 s", "agitation": "stand", "repeat": "3"}
    rinse = {"rinse": "1 min", "opening": "1 s", "agitation": "stand"}
    with pytest.raises(FindingsError) as caught:
        lay_out(Plan.read({**TANK, "steps": [rinse, {**soak, "opening": "1 s"}]}))
    assert [each.path for each in caught.value.findings] == [
        ("steps", 0, "rinse"),
        ("steps", 1, "soak"),
    ]
    (doubt,) = lay_out(Plan.read({**TANK, "steps": [soak]})).warnings
    assert doubt.found == "moving lasts only 2 s at 0:00 of Soak 1 of 3"


def test_doubtful_steps_are_told_in_order() -> None:
    short = {"opening": "2 s", "agitation": "stand"}
    steps = [{kind: "2 min", **short} for kind in ("soak", "develop", "rinse")]
    doubts = lay_out(Plan.read({**TANK, "steps": steps})).warnings
    assert [each.path[2] for each in doubts] == ["soak", "develop", "rinse"]


def test_a_bath_needs_room_between_transfer_and_drain() -> None:
    """Covered at 0:10 and drained from 10 s before its end."""
    lay_out(Plan.read({**TANK, "steps": [{"soak": "11100 ms", "agitation": "none"}]}))
    with pytest.raises(FindingsError, match=r"0:11\.099 leaves no time between transfer"):
        lay_out(Plan.read({**TANK, "steps": [{"soak": "11099 ms", "agitation": "none"}]}))


def test_a_repeated_step_that_does_not_fit_is_refused_once() -> None:
    with pytest.raises(FindingsError) as caught:
        lay_out(Plan.read({**TANK, "steps": [{"soak": "5 s", "repeat": "3"}]}))
    assert [each.path for each in caught.value.findings] == [("steps", 0, "soak")]


def test_sheets_leave_the_last_bath_at_its_own_pace() -> None:
    steps = [LOAD, {"soak": "2 min", "transfer": "4 s"}, {"rinse": "2 min", "transfer": "7 s"}]
    done = lay_out(Plan.read({"title": "A test", **TRAY, "steps": steps})).steps[-1]
    assert done.spans[0] == ("transfer", done.start_ms, done.start_ms + 21_000)
    assert [at - done.start_ms for at, _ in done.ticks] == [0, 7_000, 14_000]
    loaded = lay_out(Plan.read({"title": "A test", **TRAY, "steps": [LOAD]})).steps[-1]
    assert loaded.spans == (("done", loaded.start_ms, loaded.start_ms + 1000),)


def test_a_stretch_in_which_its_cues_have_no_room_is_refused() -> None:
    def stands(opening: str) -> dict[str, Any]:
        return {**TANK, "steps": [{"soak": "2 min", "opening": opening, "agitation": "stand"}]}

    lay_out(Plan.read(stands("1100 ms")))
    with pytest.raises(FindingsError, match=r"moving lasts only 1\.099 s"):
        lay_out(Plan.read(stands("1099 ms")))


@pytest.mark.parametrize("lead", ["none", "30 s", "2 h"])
def test_a_plan_may_last_48_hours_after_the_lights_are_out(lead: str) -> None:
    def lasting(last: str) -> Plan:
        steps = [{"soak": "47 h"}, {"wash": last}]
        habits = {"lights out after": lead}
        return Plan.read({**TANK, "clock starts": "pour", "habits": habits, "steps": steps})

    longest = lay_out(lasting("1 h")).steps
    begun_ms = next(step.start_ms for step in longest if step.kind == "soak")
    assert longest[-1].start_ms - begun_ms == 48 * HOUR_MS
    with pytest.raises(FindingsError, match=r"takes 48:00:00\.001"):
        lay_out(lasting("3600001 ms"))


def test_a_lead_given_for_one_run_counts_as_the_plans_own() -> None:
    steps = [{"soak": "47 h"}, {"wash": "1 h"}]
    plan = Plan.read({**TANK, "clock starts": "pour", "steps": steps})
    assert lay_out(plan, HOUR_MS).steps[-1].start_ms == 49 * HOUR_MS
    assert lay_out(plan, 0).steps[-1].start_ms == 48 * HOUR_MS


def test_of_a_repeated_fix_only_the_last_makes_light_safe(compiled: Compiled) -> None:
    tub = {"kind": "tub", "light": "open"}
    timeline = compiled(vessel=tub, steps=[LOAD, {"fix": "5 min", "repeat": "2"}])
    (heard,) = [cue.at_ms for cue in timeline.cues if cue.meaning == "light-safe"]
    dark = [step for step in timeline.steps if step.dark]
    assert (dark[-1].name, dark[-1].end_ms <= heard) == ("Fix 2 of 2", True)


@pytest.mark.parametrize(("length", "whole"), [(999, 3), (1000, 3), (1001, 4)])
def test_a_line_ends_two_seconds_after_its_last_sound_on_the_full_second(
    length: int, whole: int
) -> None:
    plan = Plan.read({**TANK, "steps": [{"soak": "2 min", "agitation": "none"}]})
    timeline = compile_plan(plan, lambda _: length)
    assert timeline.duration_ms - timeline.cues[-1].at_ms == whole * 1000


@pytest.mark.parametrize(
    ("tick", "light", "hidden"),
    [
        (2000, "62500 ms", ["1 tick of a sheet"]),
        (2000, "62499 ms", ["2 ticks of sheets"]),
        (2001, "62499 ms", ["2 ticks of sheets"]),
        (2001, "62500 ms", None),
    ],
)
def test_only_ticks_that_would_still_sound_when_light_is_safe_are_hidden(
    tick: int, light: str, hidden: list[str] | None
) -> None:
    """Sheets every 5 s from 0:15; light safe at 1:17.5 is 2.5 s after the tick at 1:15."""
    fix = {"fix": "4 min", "light after": light, "agitation": {"shuffle each": "5 s"}}
    plan = Plan.read({"title": "A test", **TRAY, "steps": [LOAD, fix]})
    lengths = {"sheet": tick, "light-safe": 8_000}

    def notes() -> list[str]:
        return list(compile_plan(plan, lambda meaning: lengths.get(meaning, 300)).notes)

    if hidden is None:
        with pytest.raises(FindingsError, match="1 tick of a sheet cannot sound clear"):
            notes()
    else:
        played = [note for note in notes() if note.startswith("Not played")]
        assert [note.split(": ")[1] for note in played] == [f"{each}, in Fix." for each in hidden]


def test_an_act_that_cannot_be_told_is_refused_at_its_step() -> None:
    steps = [{"soak": "2 min", "agitation": {"reverse every": "5 s"}}]
    plan = Plan.read({**TANK, "steps": steps})
    with pytest.raises(FindingsError) as caught:
        compile_plan(plan, lambda meaning: 4_600 if meaning == "reverse" else 300)
    assert [each.path for each in caught.value.findings] == [("steps", 0, "soak")]
