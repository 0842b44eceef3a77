"""What a sheet says of fixing and washing: running and standing water, cold baths, practice."""

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from darktimer.cli.check import command as check
from darktimer.cli.mix import command as mix

PLAN = """\
title: A cold evening
film: {format: 135-36, count: 1}
vessel: {kind: tub, light: open, volume: 500 ml}
temperature: 20 C
steps:
  - load: by hand
  - develop: 10 min
    agitation: 1/2
  - fix: 8 min
    bath: plain fixer
FIX
"""
WASH = "  - wash: 12 min\n"
#: C: 10 ml cling to a roll (T); 226 g/l of crystals are 226 x 112.13 / 248.18 g/l of thiosulphate.
BEFORE = 226 * 112.13 / 248.1838 * 0.010 / 0.0516128


def text(folder: Path, washes: str, command=mix, fix: str = "", **more: str) -> str:
    path = folder / "plan.yaml"
    plan = PLAN.replace("FIX\n", f"{fix}{washes}")
    for was, becomes in more.items():
        plan = plan.replace(f"{was}: ", f"{was}: {becomes} # ")
    path.write_text(plan)
    printed = CliRunner().invoke(command, [str(path)])
    assert printed.exit_code == 0, printed.output
    return " ".join(printed.output.split())


def left(said: str) -> list[float]:
    return [float(each) for each in re.findall(r"leaves? ([\d.]+) g/m2", said)]


def test_cold_running_water_washes_less_in_its_time(tmp_path: Path) -> None:
    """P: halved each minute (Navy 14209), twice as long at 50 F (TM 11-2323): 2^6 in 12 min."""
    said = text(tmp_path, WASH + "    running: yes\n    temperature: 10 C\n")
    assert left(said) == [pytest.approx(BEFORE / 2**6, rel=0.02)]
    assert "12:00 of running water at 10.0 °C, worth 6:00 at 20.0 °C, leave" in said
    assert "above the 0.014" in said
    assert "by that rule 21 min are enough" in said
    assert "within" not in said.split("Fixing and washing:")[1]


def test_running_water_as_warm_as_usual(tmp_path: Path) -> None:
    said = text(tmp_path, WASH + "    running: yes\n    repeat: 2\n")
    assert "24:00 of running water leaves less than 0.0001 g/m2" in said
    said = text(tmp_path, WASH + "    running: yes\n")
    assert left(said) == [pytest.approx(BEFORE / 2**12, rel=0.02)]
    assert "within the 0.014 g/m2 quoted" in said
    assert "by that rule 11 min are enough" in said


@pytest.mark.parametrize("asked", ["", "    running: no\n"])
def test_one_change_of_standing_water_is_ideal_mixing(tmp_path: Path, asked: str) -> None:
    said = text(tmp_path, WASH + asked)
    assert left(said) == [pytest.approx(BEFORE * 10 / 510, rel=0.03)]
    assert "of running water" not in said


@pytest.mark.parametrize("changes", range(1, 14))
def test_fewer_changes_than_practice_are_never_said_to_do(tmp_path: Path, changes: int) -> None:
    """P: 10 to 12 changes, Navy training manual 14209."""
    said = text(tmp_path, WASH + f"    repeat: {changes}\n")
    assert f"after {changes} changes of water ideal mixing leaves" in said
    assert ("within the 0.014" in said) == (changes >= 10)
    assert "follow practice, 10 to 12 changes, since film gives up its fixer more slowly" in said
    assert ("2 would reach" in said) == (changes < 10)
    assert not re.search(r"0\.0000\d", said)


def test_changes_in_several_steps_add_up(tmp_path: Path) -> None:
    one = text(tmp_path, WASH + "    repeat: 11\n")
    four = text(tmp_path, WASH + "    repeat: 5\n" + WASH + "    repeat: 6\n")
    assert "Wash: after 5 changes of water" in four
    assert "2 would reach the 0.014" in four
    last = "after 11 changes of water ideal mixing leaves less than 0.0001 g/m2"
    assert last in one
    assert last in four


def test_a_second_wash_begins_where_the_first_ended(tmp_path: Path) -> None:
    said = text(tmp_path, 2 * "  - wash: 2 min\n    running: yes\n")
    assert left(said) == [pytest.approx(BEFORE / 2**n, rel=0.05) for n in (2, 4)]


def test_ten_changes_of_too_little_water_do_not_do(tmp_path: Path) -> None:
    said = text(tmp_path, WASH + "    repeat: 10\n", volume="8 ml, size: 10 x 10 cm}")
    assert "within" not in said.split("Fixing and washing:")[1]


COLD = "what takes 8:00 at {} takes 22:38 at {}, 2.83 times as long; allow for it"


def test_check_says_of_a_cold_fix_what_mix_says(tmp_path: Path) -> None:
    """P: the time for fixing doubles for each 18 F colder than 68 F: TM 11-2323."""
    fix = "    temperature: 5 C\n"
    assert COLD.format("20.0 °C", "5.0 °C") in text(tmp_path, WASH, fix=fix)
    said = text(tmp_path, WASH, check, fix)
    assert f"steps[3].fix: {COLD.format('20.0 °C', '5.0 °C')}" in said
    assert re.search("the film is fixed, if its time is for such cold: what takes 8:00", said)


def test_a_fix_twice_its_clearing_time_in_the_cold_too_is_not_doubted(tmp_path: Path) -> None:
    """C: at 10 C 2:00 become 4:00, and twice that is 8:00."""
    for clearing, cold in (("2 min", False), ("2:01", True)):
        fix = f"    temperature: 10 C\n    clearing: {clearing}\n"
        for command in (mix, check):
            assert ("allow for it" in text(tmp_path, WASH, command, fix)) == cold
        said = text(tmp_path, WASH, check, fix)
        assert "and not before: the film is fixed" in said
        assert ("the film is fixed, if" in said) == cold


def test_a_fix_short_for_its_clearing_time_is_told_on_the_sheet_too(tmp_path: Path) -> None:
    short = "8:00 is under twice the clearing time of 4:01; fix for at least twice"
    assert short in text(tmp_path, WASH, fix="    clearing: 4:01\n")
    assert short in text(tmp_path, WASH, check, "    clearing: 4:01\n")
    assert short not in text(tmp_path, WASH, fix="    clearing: 4 min\n")
