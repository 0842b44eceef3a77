"""Develop times made to fit their baths: only where the plan asks, and with reasons."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from darktimer import shipped
from darktimer.bench.adjusting import Adjusted, adjusted
from darktimer.bench.bath_sheet import BenchOptions
from darktimer.bench.develop_time import LEAST_MS
from darktimer.bench.recipe_lookup import recipes_in, recipes_of
from darktimer.bench.rules_of_thumb import agitation_rule, moving_share
from darktimer.bench.sheet import bench_sheet
from darktimer.errors import FileError
from darktimer.plan.reader import read_plan, read_plan_file, read_plan_text
from darktimer.plan.steps import Develop
from darktimer.plan.temperature import ThermometerReading
from darktimer.prepare.prepared import prepare
from darktimer.process.summary import summarize

PLAN = (Path(__file__).parent / "warm-kitchen.yaml").read_text("utf-8")
COOLS = "    drifts to: 23.079 C after 10 min\n"


def write(folder: Path, text: str) -> Path:
    path = folder / "plan.yaml"
    path.write_text(text)
    return path


def made(folder: Path, text: str) -> Adjusted:
    file = read_plan_file(write(folder, text))
    with file.blamed():
        return adjusted(file.plan, recipes_in(recipes_of(file)))


def develop_ms(result: Adjusted) -> int:
    (step,) = (step for step in result.plan.steps if isinstance(step, Develop))
    return step.develop


@pytest.mark.parametrize(
    ("asked", "minutes"),
    [
        # C: 10 min at 20 C are 7.18 min at 24 C, 60 kJ/mol; 7.39 min in a bath that cools towards
        # 18 C with a time constant of 60 min, which 18 + 6 exp(-10/60) = 23.079 C tells of.
        ("for temperature", 7.18),
        ("for drift", 7.39),
    ],
)
def test_the_time_that_is_asked_for(tmp_path: Path, asked: str, minutes: float) -> None:
    result = made(tmp_path, PLAN.replace("ASKED", asked))
    assert develop_ms(result) / 60_000 == pytest.approx(minutes, abs=0.02)
    assert develop_ms(result) % 1000 == 0
    (note,) = result.notes
    assert "in place of the 10:00 written for 20.0 °C, as the plan asks" in note
    assert ("time constant of 60 min" in note) == (asked == "for drift")
    # By hand: 7.18 of the 7.39 min are 2.8 % less.
    assert ("would develop 2.8 % too little" in note) == (asked == "for drift")
    assert result.remarks == ()


def test_a_plan_that_does_not_ask_is_not_changed(tmp_path: Path) -> None:
    text = PLAN.replace("    adjust: ASKED\n", "")
    result = made(tmp_path, text)
    assert result.plan == read_plan_file(write(tmp_path, text)).plan
    assert result.notes == ()
    (remark,) = result.remarks
    assert "lasts 10:00 as written for 20.0 °C; 7:23 would do the same" in remark
    assert "Write adjust: for drift if you want that" in remark


@pytest.mark.parametrize("name", shipped.names("sequences"))
def test_no_shipped_plan_is_changed(name: str) -> None:
    file = read_plan(name)
    assert adjusted(file.plan, recipes_in(recipes_of(file))).plan == file.plan


def test_the_vessel_tells_the_drift_where_nobody_read_twice(tmp_path: Path) -> None:
    """By hand, of 1 l over 12 x 18 cm: 4180 J/K over 0.0216 m2 x 24.6 and 0.0494 m2 x 9.5 W/K.

    The bath stands 4.63 cm deep: the wall is 0.0216 + 0.60 x 0.0463 m2. The time constant is
    69.6 min.
    """
    text = PLAN.replace(COOLS, "").replace("ASKED", "for drift")
    (note,) = made(tmp_path, text.replace("1 l}", "1 l, size: 12 x 18 cm}")).notes
    wall = 0.0216 + 0.60 * 0.001 / 0.0216
    by_hand = 4180 / (0.0216 * 24.6 + wall * 9.5) / 60
    assert by_hand == pytest.approx(69.6, abs=0.1)
    assert f"time constant of {by_hand:.0f} min, roughly, from vessel and room" in note
    assert "evaporation, which cools, is left out" in note
    with pytest.raises(FileError, match=r":10:13: steps\[2\]\.adjust: how fast the bath drifts"):
        made(tmp_path, text)
    with pytest.raises(FileError, match="how fast the bath drifts"):  # a lid keeps the warmth in
        made(tmp_path, text.replace("open", "closed").replace("1 l}", "1 l, size: 12 x 18 cm}"))


def test_the_energy_of_the_recipe_holds_unless_the_plan_says_another(tmp_path: Path) -> None:
    """C: a factor of 2 per 10 C between 20 and 30 C is 51.22 kJ/mol, so 30 C halves the time."""
    recipe = (
        "recipes:\n  mine:\n    title: Mine\n    bath: developer\n"
        "    times: [{at: 20 C, develop: 12 min}, {at: 30 C, develop: 6 min}]\n"
    )
    text = PLAN.replace("ASKED", "for temperature").replace(
        "temperature: 24 C", "temperature: 30 C"
    )
    text = text.replace("    drifts to: 23.079 C after 10 min\n", "    bath: mine\n") + recipe
    bare = text.replace("    activation energy: 60 kJ/mol\n", "")
    assert develop_ms(made(tmp_path, bare)) == 5 * 60_000
    assert develop_ms(made(tmp_path, text)) / 60_000 == pytest.approx(4.44, abs=0.01)


@pytest.mark.parametrize(
    ("was", "becomes", "words"),
    [
        ("room: 18 C\n", "", "the temperature of the room is missing"),
        ("temperature: 24 C\n", "", "the temperature of the bath is missing"),
        ("23.079 C after", "17 C after", "the bath must come nearer to the room"),
        ("23.079 C after", "25 C after", "the bath must come nearer to the room"),
        ("room: 18 C", "room: 118 C", "at 118 C water is steam"),
        ("is for: 20 C", "is for: -20 C", "at -20 C water is ice"),
        ("agitation: 1/2", "agitation: {inversions: 3, at: [9 min]}", "once the time is adjusted"),
        ("develop: 10 min", "develop: 47 h", "longer than 48 hours"),
        ("temperature: 24 C", "temperature: 2 C", "nearer to the room"),
    ],
)
def test_what_cannot_be_adjusted_has_its_line(
    tmp_path: Path, was: str, becomes: str, words: str
) -> None:
    text = PLAN.replace("ASKED", "for drift").replace(was, becomes)
    if "48 hours" in words:
        text = text.replace("temperature: 24 C", "temperature: 19 C").replace("23.079", "18.8")
    with pytest.raises(FileError) as refusal:
        made(tmp_path, text)
    assert words in str(refusal.value)
    assert all(fault.line > 1 for fault in refusal.value.faults)


@pytest.mark.parametrize("asked", ["    adjust: for temperature\n", ""])
@pytest.mark.parametrize(("celsius", "remedy"), [(90, "cool the bath"), (1, "warm the bath")])
def test_no_time_that_no_hand_keeps_to(
    tmp_path: Path, asked: str, celsius: int, remedy: str
) -> None:
    """C: at 200 kJ/mol 90 C does in 0.08 ms what takes 10 min at 20 C, and 1 C in 49 h."""
    text = PLAN.replace("    adjust: ASKED\n", asked).replace(COOLS, "").replace("60 kJ", "200 kJ")
    text = text.replace("temperature: 24 C", f"temperature: {celsius} C")
    with pytest.raises(FileError, match=remedy) as refusal:
        made(tmp_path, text)
    assert refusal.value.faults[0].line == (10 if asked else 8)


def test_a_bath_that_drifts_into_the_cold_has_no_time_either(tmp_path: Path) -> None:
    text = PLAN.replace("    adjust: ASKED\n", "").replace("60 kJ", "200 kJ")
    text = text.replace("room: 18 C", "room: 1 C").replace("develop: 10 min", "develop: 10 h")
    with pytest.raises(FileError, match="longer than 48 hours"):
        made(tmp_path, text)


def test_no_temperature_is_told_of_where_no_hand_keeps_to_the_time(tmp_path: Path) -> None:
    """C: 200 kJ/mol; 36 C does in 8.6 s what takes 10 min at 20 C, 34 C in 14.3 s."""
    text = PLAN.replace("    adjust: ASKED\n", "").replace(COOLS, "").replace("60 kJ", "200 kJ")
    text = text.replace("temperature: 24 C", "temperature: 34 C")
    file = read_plan_file(write(tmp_path, text))
    (time,) = bench_sheet(file.plan, recipes_of(file), BenchOptions()).times
    assert [warm for warm, _ in time.elsewhere] == [30, 32]
    assert min(ms for _, ms in time.elsewhere) >= LEAST_MS


def test_without_the_temperature_it_is_for_a_time_is_not_adjusted(tmp_path: Path) -> None:
    text = PLAN.replace("    time is for: 20 C\n", "")
    with pytest.raises(FileError, match="add time is for: 20 C"):
        made(tmp_path, text.replace("ASKED", "for temperature"))
    drifting = made(tmp_path, text.replace("ASKED", "for drift"))
    assert "written for 24.0 °C" in drifting.notes[0]
    assert develop_ms(drifting) > 10 * 60_000


ALL_THE_TIME = ("bucket-motion-picture", "reversal-motion-picture")


@pytest.mark.parametrize("name", shipped.names("sequences"))
def test_the_share_that_moves_is_the_one_that_check_prints(name: str) -> None:
    done = prepare(name, "standard", None)
    written = [step for step in done.plan.steps if isinstance(step, Develop)]
    laid = [s for s in summarize(done.timeline) if s.kind == "develop"]
    for step, found in zip(written, laid, strict=True):
        exact = 1.0 if name in ALL_THE_TIME else found.agitated_ms / found.time_ms
        assert moving_share(done.plan, step) == exact


@pytest.mark.parametrize(
    ("agitation", "moving"),
    [  # C: 10 min in a tank, 10 s of drain inside it, an opening of 30 s
        ("{inversions: 2, within: 5 s, every: 1 min}", (30 + 9 * 5) / 600),
        # At 9:40 there is room for a bout before the drain, at 9:45 there is none.
        ("{inversions: 2, within: 10 s, every: 4:50}", (30 + 10 + 10) / 600),
        ("{inversions: 2, within: 10 s, every: 3:15}", (30 + 2 * 10) / 600),
    ],
)
def test_a_bout_that_the_drain_prevents_moves_nothing(agitation: str, moving: float) -> None:
    text = f"""\
title: Bouts
vessel: {{kind: spiral tank, light: closed}}
steps:
  - load: by hand
  - develop: 10 min
    agitation: {agitation}
"""
    plan = read_plan_text(text, Path("bouts.yaml")).plan
    (step,) = (step for step in plan.steps if isinstance(step, Develop))
    assert moving_share(plan, step) == pytest.approx(moving)


@pytest.mark.parametrize("rounds", [1, 3])
def test_sheets_that_are_left_alone_between_rounds_do_not_move_all_the_time(rounds: int) -> None:
    """C: two sheets of 5 s a round, in ten minutes."""
    text = f"""\
title: Rounds
film: {{format: 4x5 in, sheets: 2}}
vessel: {{kind: tray, light: open, volume: 1 l}}
temperature: 20 C
steps:
  - load: by hand
  - develop: 10 min
    agitation: {{shuffle each: 5 s, rounds: {rounds}}}
"""
    plan = read_plan_text(text, Path("rounds.yaml")).plan
    (step,) = (step for step in plan.steps if isinstance(step, Develop))
    assert moving_share(plan, step) == pytest.approx(rounds * 10 / 600)


def test_ten_minutes_by_the_navys_rule_move_an_eighth(tmp_path: Path) -> None:
    """P, C: Navy 14209: 30 s, then 5 s each minute: a 10 min develop is agitated 75 s."""
    plan = read_plan("small-tank-inversions").plan
    (develop,) = (step for step in plan.steps if isinstance(step, Develop))
    assert moving_share(plan, develop) == 0.125


@given(moving=st.floats(0.13, 1), meant=st.floats(0.13, 1))
def test_moving_more_never_asks_for_longer(moving: float, meant: float) -> None:
    """M: continuous agitation shortens by 10-20 %, so moving more than was meant shortens."""
    said = agitation_rule(600_000, moving, meant)
    if said:
        became = said.split("10:00 would become ")[1].split(": a rule")[0]
        minutes, seconds = map(int, became.split(":"))
        assert (60 * minutes + seconds <= 600) == (moving >= meant) or became == "10:00"


def test_film_that_stands_has_no_rule() -> None:
    assert "no rule is known" in agitation_rule(600_000, 0.02, None)
    assert agitation_rule(600_000, 0.125, None) == ""
    assert "the recipe is for film that moves all the time" in agitation_rule(600_000, 0.5, 1.0)
    assert "the film moves all the time; " in agitation_rule(600_000, 1.0, None)


def test_a_reading_of_the_moment_changes_no_time_of_the_plan(tmp_path: Path) -> None:
    file = read_plan_file(write(tmp_path, PLAN.replace("ASKED", "for drift")))
    now = BenchOptions(reading=ThermometerReading(21.0, 600_000))
    (time,) = bench_sheet(file.plan, recipes_of(file), now).times
    assert time.time_ms == develop_ms(made(tmp_path, PLAN.replace("ASKED", "for drift")))
    assert time.drifting is not None
    assert time.drifting.time_ms > time.time_ms + 10_000
