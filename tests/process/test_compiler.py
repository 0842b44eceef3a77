"""What a plan becomes: conventions of time, agitation, darkness, sounds, and the JSON form."""

import json
from collections.abc import Callable
from typing import Any

import pytest

from darktimer.errors import FindingsError
from darktimer.process.timeline import Timeline

Compiled = Callable[..., Timeline]
TUB = {"kind": "tub", "light": "open"}
LOAD = {"load": "by hand"}
TRAY = {
    "vessel": {"kind": "tray", "light": "open"},
    "film": {"format": "4x5 in", "sheets": "3"},
    "habits": {"transfer": "5 s"},
}


def spans(timeline: Timeline, kind: str) -> list[tuple[str, int]]:
    """The spans of the first step of ``kind``: what is done, and for how many seconds."""
    index = next(i for i, step in enumerate(timeline.steps) if step.kind == kind)
    return [(s.kind, (s.end_ms - s.start_ms) // 1000) for s in timeline.spans if s.step == index]


def heard(timeline: Timeline, kind: str) -> list[tuple[float, str]]:
    """The cues of the first step of ``kind``, in seconds from its start."""
    index, step = next((i, s) for i, s in enumerate(timeline.steps) if s.kind == kind)
    return [((c.at_ms - step.start_ms) / 1000, c.meaning) for c in timeline.cues if c.step == index]


def moments(timeline: Timeline, meaning: str) -> list[int]:
    return [cue.at_ms for cue in timeline.cues if cue.meaning == meaning]


@pytest.mark.parametrize(
    ("starts", "drain", "expected"),
    [
        ("full", "inside", [("transfer", 10), ("stand", 50), ("drain", 10)]),
        ("full", "after", [("transfer", 10), ("stand", 60), ("drain", 10)]),
        ("pour", "inside", [("transfer", 10), ("stand", 40), ("drain", 10)]),
        ("pour", "after", [("transfer", 10), ("stand", 50), ("drain", 10)]),
    ],
)
def test_conventions_of_time(
    compiled: Compiled, starts: str, drain: str, expected: list[tuple[str, int]]
) -> None:
    ways = {"clock starts": starts, "drain is": drain}
    timeline = compiled(**ways, steps=[{"soak": "1 min"}])
    assert spans(timeline, "soak") == expected
    pour, inside = "pour" in timeline.notes[0], "inside" in timeline.notes[0]
    assert (pour, inside) == (starts == "pour", drain == "inside")


@pytest.mark.parametrize(
    ("agitation", "expected"),
    [
        ("continuous", [("agitate", 110)]),
        ("none", [("stand", 110)]),
        ("stand", [("agitate", 30), ("stand", 80)]),
        ("1/2", [("agitate", 30), ("stand", 30), ("agitate", 30), ("stand", 20)]),
        ({"share": "1/4", "cycle": "20 s"}, [("agitate", 30), ("stand", 80)]),
        ({"reverse every": "40 s"}, [("agitate", 110)]),
        (
            {"inversions": "4", "every": "1 min"},
            [("agitate", 30), ("stand", 30), ("agitate", 10), ("stand", 40)],
        ),
        (
            {"inversions": "2", "within": "4 s", "at": ["45 s"]},
            [("agitate", 30), ("stand", 15), ("agitate", 4), ("stand", 61)],
        ),
    ],
)
def test_ways_of_agitation(
    compiled: Compiled, agitation: Any, expected: list[tuple[str, int]]
) -> None:
    timeline = compiled(steps=[{"develop": "2 min", "agitation": agitation}])
    assert spans(timeline, "develop")[1:-1] == expected


def test_a_crumb_of_a_cycle_is_joined_to_its_neighbour(compiled: Compiled) -> None:
    """Half of 105:40 in cycles of a minute: the last bout goes on to the end of the bath."""
    timeline = compiled(steps=[{"develop": "105:40", "agitation": "1/2"}])
    step = next(k for k, s in enumerate(timeline.steps) if s.kind == "develop")
    tiled = [s for s in timeline.spans if s.step == step]
    assert [s.kind for s in tiled[-4:]] == ["agitate", "stand", "agitate", "drain"]
    moving = [s.end_ms - s.start_ms for s in tiled if s.kind == "agitate"]
    assert sum(moving) == 3_170_000
    assert min(moving) > 29_000


def test_a_step_overrides_the_habits_of_the_plan(compiled: Compiled) -> None:
    steps = [{"soak": "2 min", "opening": "20 s"}, {"rinse": "2 min"}]
    habits = {"agitation": "stand", "opening": "40 s"}
    timeline = compiled(habits=habits, steps=steps)
    assert spans(timeline, "soak")[1] == ("agitate", 20)
    assert spans(timeline, "rinse")[1] == ("agitate", 40)


def test_rotation_turns_round_at_every_interval(compiled: Compiled) -> None:
    timeline = compiled(steps=[{"develop": "2 min", "agitation": {"reverse every": "40 s"}}])
    first = moments(timeline, "move")[0]
    assert [at - first for at in moments(timeline, "reverse")] == [40_000, 80_000]


def test_the_minutes_are_told_after_a_short_bout(compiled: Compiled) -> None:
    turns = {"inversions": "4", "within": "10 s", "every": "1 min"}
    timeline = compiled(steps=[{"develop": "3 min", "agitation": turns, "tally": "1 min"}])
    stands = moments(timeline, "stand")
    assert moments(timeline, "tally-1") == [stands[1] + 1600]
    assert moments(timeline, "tally-2") == [stands[2] + 1600]


def test_standing_film_is_told_of_and_a_wash_is_not(compiled: Compiled) -> None:
    timeline = compiled(steps=[{"soak": "2 min"}, {"wash": "5 min"}])
    heartbeats = moments(timeline, "heartbeat")
    soak = timeline.steps[1]
    assert heartbeats
    assert all(soak.start_ms < at < soak.end_ms for at in heartbeats)
    asked = compiled(steps=[{"wash": "5 min", "heartbeat": "20 s"}])
    assert moments(asked, "heartbeat")


def test_the_change_is_announced_and_counted_down(compiled: Compiled) -> None:
    warned = {"warnings": ["30 s", "10 s"], "tally": "1 min"}
    timeline = compiled(steps=[{"rinse": "2 min", **warned}])
    told = heard(timeline, "rinse")
    assert told == [
        (0, "enter"),
        (10, "move"),
        (70, "tally-1"),
        (90, "ready-2"),
        (110, "ready-1"),
        *((117.0, "pip"), (118.0, "pip"), (119.0, "pip")),
        (120, "lift"),
        *((127.0, "pip"), (128.0, "pip"), (129.0, "pip")),
    ]


def test_a_warning_without_room_is_noted_once_for_all_steps(compiled: Compiled) -> None:
    timeline = compiled(steps=[{"rinse": "32 s", "repeat": "5"}])
    notes = [note for note in timeline.notes if "warning" in note]
    assert notes == [
        "No room for the warning 20 s before the end of: "
        "Rinse 1 of 5, Rinse 2 of 5, Rinse 3 of 5 and 2 more."
    ]


def test_repeated_steps_are_counted_in_their_names(compiled: Compiled) -> None:
    timeline = compiled(steps=[{"wash": "1 min", "repeat": "2"}, {"step": "1 min", "name": "Dip"}])
    assert [step.name for step in timeline.steps[1:-1]] == ["Wash 1 of 2", "Wash 2 of 2", "Dip"]


def test_an_open_vessel_is_dark_to_the_end_of_the_fix(compiled: Compiled) -> None:
    steps = [LOAD, {"rinse": "1 min"}, {"fix": "5 min"}, {"wash": "5 min"}]
    timeline = compiled(vessel=TUB, steps=steps)
    dark = [step.name for step in timeline.steps if step.dark]
    assert dark == ["Load", "Rinse", "Fix"]
    fix = timeline.steps[3]
    assert 0 <= moments(timeline, "light-safe")[0] - fix.end_ms <= 10_000


def test_when_light_is_safe_and_when_it_is_heard_are_told_once(compiled: Compiled) -> None:
    steps = [LOAD, {"fix": "5 min"}, {"wash": "5 min"}]
    timeline = compiled(vessel=TUB, steps=steps)
    fix = timeline.steps[2]
    assert [at for at, meaning in heard(timeline, "wash") if meaning == "light-safe"] == [6.1]
    told = [note for note in timeline.notes if note.startswith("Light is safe")]
    assert fix.end_ms == 515_000
    assert told == [
        "Light is safe at 8:35, and not before: the film is fixed; its cue comes at 8:41.1."
    ]
    at_once = compiled(steps=[LOAD, {"soak": "5 min"}])
    told = [note for note in at_once.notes if note.startswith("Light is safe")]
    assert told == ["Light is safe at 3:30, and not before: the vessel is loaded and closed."]


def test_a_fix_can_end_in_the_light(compiled: Compiled) -> None:
    steps = [LOAD, {"fix": "5 min", "light after": "3 min"}, {"wash": "5 min"}]
    timeline = compiled(vessel=TUB, steps=steps)
    fix, lit = timeline.steps[2:4]
    assert (fix.name, fix.dark) == ("Fix", True)
    assert (lit.name, lit.dark) == ("Fix, in the light", False)
    assert lit.start_ms == fix.start_ms + 5_000 + 180_000
    assert moments(timeline, "light-safe") == [lit.start_ms]


def test_without_a_fix_light_is_never_safe_in_an_open_vessel(compiled: Compiled) -> None:
    timeline = compiled(vessel=TUB, steps=[LOAD, {"soak": "5 min"}])
    assert not moments(timeline, "light-safe")
    assert timeline.steps[-1].dark
    assert any("must stay in the dark" in note for note in timeline.notes)


def test_a_closed_vessel_is_dark_only_while_it_is_loaded(compiled: Compiled) -> None:
    timeline = compiled(steps=[LOAD, {"develop": "5 min", "agitation": "stand"}])
    assert [step.name for step in timeline.steps if step.dark] == ["Load"]
    assert moments(timeline, "light-safe") == [timeline.steps[1].end_ms]
    assert any("keep the light off" in note for note in timeline.notes)


def test_a_closed_vessel_that_is_loaded_already_is_never_dark(compiled: Compiled) -> None:
    timeline = compiled(steps=[{"develop": "5 min", "agitation": "stand"}])
    assert not any(step.dark for step in timeline.steps)
    assert not moments(timeline, "lights-out")
    assert not moments(timeline, "light-safe")


def test_developing_after_the_light_is_refused(compiled: Compiled) -> None:
    steps = [LOAD, {"fix": "5 min"}, {"develop": "5 min", "agitation": "stand"}]
    with pytest.raises(FindingsError, match="after the fix that makes light safe"):
        compiled(vessel=TUB, steps=steps)


def test_sheets_enter_and_leave_at_one_pace(compiled: Compiled) -> None:
    shuffle = {"shuffle each": "5 s"}
    steps = [LOAD, {"develop": "2 min", "agitation": shuffle}, {"fix": "2 min"}]
    timeline = compiled(**TRAY, steps=steps)
    develop, fix, done = timeline.steps[2], timeline.steps[3], timeline.steps[4]
    own = [[step.start_ms + k * 5_000 for k in (1, 2)] for step in (develop, fix, done)]
    assert all(set(each) <= set(moments(timeline, "sheet")) for each in own)
    assert done.start_ms in moments(timeline, "sheet")
    assert fix.start_ms - develop.start_ms == done.start_ms - fix.start_ms == 120_000
    assert moments(timeline, "light-safe")[0] >= fix.end_ms + 10_000


def test_sheets_are_shuffled_in_whole_rounds(compiled: Compiled) -> None:
    shuffle = {"shuffle each": "4 s", "rounds": "2"}
    timeline = compiled(**TRAY, steps=[LOAD, {"develop": "2 min", "agitation": shuffle}])
    assert spans(timeline, "develop") == [
        *(("transfer", 15), ("agitate", 12), ("stand", 35)),
        *(("agitate", 12), ("stand", 35), ("drain", 10)),
    ]


def test_the_json_form_is_the_contract(compiled: Compiled) -> None:
    timeline = compiled(vessel=TUB, steps=[LOAD, {"fix": "5 min"}])
    form = json.loads(json.dumps(timeline.as_json()))
    assert list(form) == ["title", "duration_ms", "steps", "spans", "cues", "notes"]
    assert type(form["title"]) is str
    assert type(form["duration_ms"]) is int
    assert [each.pop("source") for each in form["steps"]] == [None, 0, 1, None]
    assert [each.pop("sign") for each in form["steps"]] == ["", "", "1", ""]
    keys: dict[str, dict[str, type]] = {
        "steps": {"name": str, "kind": str, "start_ms": int, "end_ms": int, "dark": bool},
        "spans": {"step": int, "kind": str, "start_ms": int, "end_ms": int},
        "cues": {"at_ms": int, "length_ms": int, "meaning": str, "step": int},
    }
    for part, shape in keys.items():
        assert form[part]
        assert all({k: type(v) for k, v in each.items()} == shape for each in form[part])
    assert all(type(note) is str for note in form["notes"])
    assert form["cues"] == sorted(form["cues"], key=lambda cue: cue["at_ms"])
