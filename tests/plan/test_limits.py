"""Each limit of a plan at its edge: the last that may be written, and the first that may not."""

from typing import Any

import pytest

from darktimer.plan.checks import faults, warnings
from darktimer.plan.fixing import fixing_factor, with_noted
from darktimer.plan.model import Plan
from darktimer.plan.temperature import energy_kj_per_mol, is_usual, reading

CLOSED = {"kind": "spiral tank", "light": "closed"}
OPEN = {"kind": "tub", "light": "open"}
TRAY = {"kind": "tray", "light": "open"}
SHEETS = {"format": "4x5 in", "sheets": "4"}
LOAD = {"load": "by hand"}
FIX = {"fix": "8 min"}


def plan(*steps: dict[str, Any], **keys: Any) -> Plan:
    return Plan.read({"title": "A test", "vessel": CLOSED, "steps": list(steps), **keys})


def found(made: Plan) -> list[tuple[tuple[str | int, ...], str]]:
    return [(each.path, each.found) for each in faults(made)]


def moved(**agitation: Any) -> dict[str, Any]:
    return {"develop": "10 min", "agitation": agitation}


@pytest.mark.parametrize(
    ("good", "bad", "path", "words"),
    [
        # Two cues must be heard one after the other: 3 s.
        ({"soak": "1 min", "transfer": "3 s"}, {"transfer": "2999 ms"}, ("transfer",), "too short"),
        ({"soak": "1 min", "drain": "3 s"}, {"drain": "2999 ms"}, ("drain",), "2.999 s is too"),
        ({"soak": "1 min", "drain": "none"}, {"drain": "1 ms"}, ("drain",), "0.001 s is too short"),
        ({"soak": "1 min", "heartbeat": "3 s"}, {"heartbeat": "2 s"}, ("heartbeat",), "2 s is too"),
        (moved(**{"reverse every": "3 s"}), moved(**{"reverse every": "2999 ms"}), (), "2.999 s"),
        # Minutes are counted whole.
        ({"soak": "5 min", "tally": "1 min"}, {"tally": "61 s"}, ("tally",), "1:01 is not whole"),
        ({"soak": "5 min", "tally": "none"}, {"tally": "90 s"}, ("tally",), "1:30 is not whole"),
        # A countdown of three pips and the warning before it.
        ({"soak": "1 min", "warnings": ["5 s"]}, {"warnings": ["4999 ms"]}, ("warnings",), "4.999"),
        (
            {"soak": "1 min", "warnings": ["10 s", "20 s"]},
            {"warnings": ["10 s", "10 s"]},
            ("warnings",),
            "the same warning",
        ),
        # 1.1 s before the turns, 1.4 s for each of them.
        (
            moved(inversions="2", within="3900 ms", every="1 min"),
            moved(inversions="2", within="3899 ms", every="1 min"),
            ("within",),
            "2 turns in 3.899 s",
        ),
        (
            moved(inversions="2", within="10 s", every="11100 ms"),
            moved(inversions="2", within="10 s", every="11099 ms"),
            ("every",),
            "10 s every 11.099 s",
        ),
        (
            moved(inversions="2", within="10 s", at=["1 min", "71100 ms"]),
            moved(inversions="2", within="10 s", at=["1 min", "71099 ms"]),
            ("at",),
            "1:11.099 comes before the turns at 1:00",
        ),
        (
            moved(inversions="2", within="10 s", at=["9:50"]),
            moved(inversions="2", within="10 s", at=["9:50.001"]),
            ("at",),
            "would not end within 10:00",
        ),
        (
            moved(share="1/2", cycle="10 min"),
            moved(share="1/2", cycle="10:00.001"),
            ("cycle",),
            "10:00.001 is longer than the step",
        ),
    ],
)
def test_the_edge_of_each_limit_of_a_step(
    good: dict[str, Any], bad: dict[str, Any], path: tuple[str, ...], words: str
) -> None:
    assert found(plan(good)) == []
    ((place, said),) = found(plan({**good, **bad}))
    inside = ("agitation",) if "agitation" in bad else ()
    key = ("reverse every",) if "reverse every" in bad.get("agitation", {}) else path
    assert place == ("steps", 0, *inside, *key)
    assert words in said


def test_no_transfer_takes_no_time() -> None:
    assert found(plan({"soak": "1 min", "transfer": "none"})) == [
        (("steps", 0, "transfer"), "0 s is too short for its cues to be heard apart")
    ]


def test_habits_of_a_plan_are_held_to_the_same_limits() -> None:
    made = plan({"soak": "1 min"}, habits={"drain": "2 s"})
    assert [path for path, _ in found(made)] == [("habits", "drain")]


@pytest.mark.parametrize(
    ("every", "at", "said"),
    [
        ("1 min", ["2 min"], "both 'every' and 'at' are written"),
        (None, [], "neither 'every' nor 'at' is written"),
    ],
)
def test_turns_are_at_an_interval_or_at_moments(every: Any, at: list[str], said: str) -> None:
    written = {"inversions": "2", "within": "10 s", "at": at, **({"every": every} if every else {})}
    assert found(plan(moved(**written))) == [(("steps", 0, "agitation"), said)]


def test_a_fault_of_the_plans_own_agitation_is_blamed_on_the_step_that_it_does_not_fit() -> None:
    made = plan({"soak": "30 s"}, habits={"agitation": {"share": "1/2", "cycle": "1 min"}})
    assert [path for path, _ in found(made)] == [("steps", 0, "cycle")]


def test_a_developers_agitation_must_be_written_somewhere() -> None:
    assert found(plan({"develop": "10 min"})) == [(("steps", 0), "the agitation is missing")]
    assert found(plan({"develop": "10 min"}, habits={"agitation": "stand"})) == []


@pytest.mark.parametrize(
    ("film", "path", "said"),
    [
        ({"format": "135-36"}, None, ""),
        ({"format": "135-36", "count": "2"}, None, ""),
        ({"format": "120", "sheets": "2"}, "sheets", "'sheets' does not go with 120"),
        ({"format": "16 mm", "length": "30 m"}, None, ""),
        ({"format": "16 mm"}, "", "'length' is missing"),
        ({"format": "4x5 in", "sheets": "1"}, None, ""),
        ({"format": "4x5 in"}, "", "'sheets' is missing"),
    ],
)
def test_film_is_measured_as_its_format_is(film: Any, path: str | None, said: str) -> None:
    expected = [] if path is None else [(("film", path) if path else ("film",), said)]
    assert found(plan({"soak": "1 min"}, film=film)) == expected


def test_a_roll_of_pictures_is_no_length_of_motion_picture_film() -> None:
    made = plan({"soak": "1 min"}, film={"format": "35 mm", "count": "1", "length": "10 m"})
    (fault,) = faults(made)
    assert fault.remedy == "write length instead; a roll for a still camera is 135-36"
    made = plan({"soak": "1 min"}, film={"format": "16 mm", "count": "1", "length": "10 m"})
    assert next(faults(made)).remedy == "write length instead"


@pytest.mark.parametrize(
    ("vessel", "keys"),
    [
        ({"kind": "tray", "reels": "2"}, ["reels"]),
        ({"kind": "spiral tank", "reels": "2"}, []),
        ({"kind": "tub", "size": "20 x 25 cm", "diameter": "20 cm"}, ["diameter"]),
        ({"kind": "tub", "depth": "5 cm"}, ["depth"]),
        ({"kind": "tub", "depth": "5 cm", "diameter": "20 cm"}, []),
        ({"kind": "tub", "depth": "5 cm", "size": "20 x 25 cm"}, []),
    ],
)
def test_a_vessel_has_the_shapes_of_its_kind(vessel: dict[str, str], keys: list[str]) -> None:
    made = plan({"soak": "1 min"}, vessel={"light": "closed", **vessel})
    assert [path for path, _ in found(made)] == [("vessel", key) for key in keys]


@pytest.mark.parametrize(
    ("celsius", "right"), [("0.1 C", True), ("99.9 C", True), ("100 C", False)]
)
def test_water_is_neither_ice_nor_steam(celsius: str, right: bool) -> None:
    develop = {**moved(**{"reverse every": "30 s"}), "temperature": "20 C"}
    for made in (
        plan(develop, temperature=celsius),
        plan(develop, room=celsius),
        plan({**develop, "time is for": celsius}),
        plan({"soak": "1 min", "temperature": celsius}),
        plan({**develop, "drifts to": f"{celsius} after 5 min"}, room="20 C"),
    ):
        assert (found(made) == []) is right


def test_ice_and_steam_are_named_for_a_bath_and_for_a_room() -> None:
    made = plan({"soak": "1 min"}, temperature="0 C", room="100 C")
    (bath, room) = faults(made)
    assert (bath.found, room.found) == ("at 0 C water is ice", "at 100 C water is steam")
    assert "of a bath" in bath.remedy
    assert "of a room" in room.remedy


@pytest.mark.parametrize(
    ("develop", "room", "keys"),
    [
        ({"adjust": "for temperature", "time is for": "20 C"}, None, []),
        ({"adjust": "for temperature"}, None, ["adjust"]),
        ({"adjust": "for drift"}, "18 C", []),
        ({"adjust": "for drift"}, None, ["adjust"]),
        ({"drifts to": "22 C after 10 min"}, None, ["drifts to"]),
        ({"drifts to": "22 C after 10 min"}, "18 C", []),
    ],
)
def test_what_a_time_needs_that_is_to_fit_its_bath(
    develop: dict[str, str], room: str | None, keys: list[str]
) -> None:
    step = {"develop": "10 min", "agitation": "continuous", **develop}
    rooms = {"room": room} if room else {}
    warm = plan(step, temperature="24 C", **rooms)
    assert [path for path, _ in found(warm)] == [("steps", 0, key) for key in keys]
    unknown = [path for path, said in found(plan(step, **rooms)) if "of the bath is miss" in said]
    assert unknown == [("steps", 0, "adjust" if "adjust" in develop else "drifts to")]


def test_the_dark_begins_with_loading_and_once() -> None:
    soak = {"soak": "1 min"}
    assert found(plan(LOAD, soak, vessel=OPEN)) == []
    ((path, said),) = found(plan(soak, vessel=OPEN))
    assert (path, "begins with soak" in said) == (("steps", 0), True)
    assert found(plan(soak, LOAD)) == [(("steps", 1), "loading comes after soak")]
    assert found(plan({**LOAD, "repeat": "2"}, soak)) == [
        (("steps", 0, "repeat"), "loading is repeated")
    ]


def test_light_comes_after_within_one_fix_and_after_every_develop() -> None:
    lit, develop = {**FIX, "light after": "8 min"}, {"develop": "5 min", "agitation": "stand"}
    assert found(plan(LOAD, develop, lit, vessel=OPEN)) == []
    late = {**FIX, "light after": "8:00.001"}
    assert [path for path, _ in found(plan(LOAD, late, vessel=OPEN))] == [
        ("steps", 1, "light after")
    ]
    for steps, places in (
        ((lit, lit), [("steps", 2, "light after")]),
        (({**lit, "repeat": "2"},), [("steps", 1, "light after")]),
        ((FIX, develop), [("steps", 2)]),
        ((lit, develop, FIX), [("steps", 2)]),
        ((FIX, develop, FIX), []),
    ):
        assert [path for path, _ in found(plan(LOAD, *steps, vessel=OPEN))] == places
    assert found(plan(FIX, develop)) == []
    assert [path for path, _ in found(plan(lit))] == [("steps", 0, "light after")]


def test_sheets_go_at_one_pace() -> None:
    tray = {"vessel": TRAY, "film": SHEETS}
    slow = {"soak": "5 min", "transfer": "10 s"}
    assert found(plan(LOAD, slow, **tray, habits={"transfer": "10 s"})) == []
    assert [path for path, _ in found(plan(LOAD, slow, **tray))] == [("steps", 1, "transfer")]
    alone = {**tray, "film": {**SHEETS, "sheets": "1"}}
    assert found(plan(LOAD, slow, **alone)) == []


def test_a_shuffle_is_of_sheets_and_leaves_a_second_for_each() -> None:
    tray = {"vessel": TRAY, "film": SHEETS}
    shuffle = {"develop": "5 min", "agitation": {"shuffle each": "1 s"}}
    assert found(plan(LOAD, shuffle, **tray)) == []
    quick = {"develop": "5 min", "agitation": {"shuffle each": "999 ms"}}
    assert found(plan(LOAD, quick, **tray)) == [
        (("steps", 1, "agitation", "shuffle each"), "0.999 s for each sheet")
    ]
    assert [path for path, _ in found(plan(shuffle))] == [("steps", 0, "agitation")]


def test_what_is_worth_a_second_thought() -> None:
    develop = {"agitation": "stand"}
    assert list(warnings(plan({"develop": "5 min", **develop}))) == []
    (short,) = warnings(plan({"develop": "4:59.999", **develop}))
    assert short.path == ("steps", 0, "develop")
    tray = {"vessel": TRAY, "film": SHEETS, "habits": {"transfer": "10 s"}}
    assert list(warnings(plan(LOAD, {"soak": "5 min", "drain": "10 s"}, **tray))) == []
    (slow, *more) = warnings(plan(LOAD, *2 * [{"soak": "5 min", "drain": "10001 ms"}], **tray))
    assert (slow.path, more) == (("steps", 1), [])
    assert slow.found == "a sheet drains 10.001 s, the next is due in 10 s"


@pytest.mark.parametrize(
    ("celsius", "usual"), [(14.9, False), (15, True), (30, True), (30.1, False)]
)
def test_tables_are_for_usual_temperatures(celsius: float, usual: bool) -> None:
    assert is_usual(celsius) is usual
    bath = plan({"soak": "1 min", "temperature": f"{celsius} C"}, temperature=f"{celsius} C")
    expected = [] if usual else [("temperature",), ("steps", 0, "temperature")]
    assert [each.path for each in warnings(bath)] == expected


def test_a_time_to_fix_doubles_for_ten_degrees_of_cold() -> None:
    """TM 11-2323: twice the time for each 18 F below 68 F; 15 C are half of that, 2 ** 0.5."""
    assert [fixing_factor(celsius) for celsius in (25, 20, 10, 0)] == [1, 1, 2, 4]
    assert fixing_factor(15) == pytest.approx(1.41421, abs=1e-5)


def test_a_short_or_cold_fix_is_warned_of() -> None:
    def said(**fix: str) -> list[str]:
        return [each.found for each in warnings(plan({"fix": "8 min", **fix}))]

    assert said() == said(clearing="4 min") == []
    assert said(clearing="4:00.001") == ["8:00 is under twice the clearing time of 4:00.001"]
    assert said(clearing="8 min") == ["8:00 is under twice the clearing time of 8:00"]
    assert said(clearing="9 min") == ["8:00 is under the clearing time of 9:00"]
    cold = "what takes 8:00 at 20.0 °C takes 11:19 at 15.0 °C, 1.41 times as long"
    assert said(temperature="15 C") == [cold]
    # Twice 2:49.706 at the factor of 2 ** 0.5 is eight minutes: then the film is fixed even so.
    assert said(temperature="15 C", clearing="2:49.705") == []
    assert said(temperature="15 C", clearing="2:49.706") == [cold]
    # 0.07 C colder is 0.49 % longer, and nothing worth a word; 0.08 C is 0.56 %.
    assert said(temperature="19.93 C") == []
    assert len(said(temperature="19.92 C")) == 1


def test_a_clearing_time_noted_since_takes_the_place_of_the_plans() -> None:
    made = plan({**FIX, "bath": "Plain Fixer", "clearing": "3 min"}, {"wash": "2 min"}, FIX)
    kept, notes = with_noted(made, {"plain-fixer": 200_000, "fix": 100_000, "water": 1})
    assert [getattr(step, "clearing", None) for step in kept.steps] == [200_000, None, 100_000]
    assert notes == (
        "Fix clears in 3:20, as last noted for its bath; the plan says 3:00.",
        "Fix clears in 1:40, as last noted for its bath.",
    )
    assert with_noted(made, {"plain-fixer": 180_000}) == (made, ())


def test_a_second_reading_and_an_energy_are_read() -> None:
    assert reading("22 C after 10 min") == (22.0, 600_000)
    for written in ("10 kJ/mol", " 200 kJ / mol ", "47.5kJ/mol"):
        assert energy_kj_per_mol(written) == float(written.strip().split("k")[0])
    for written in ("9.9 kJ/mol", "200.1 kJ/mol", "60", "60 kJ", "x60 kJ/mol"):
        with pytest.raises(ValueError, match="from 10 to 200"):
            energy_kj_per_mol(written)
    with pytest.raises(ValueError, match="such as 22 C after 10 min"):
        reading("22 C")
