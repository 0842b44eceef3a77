"""A whole bench sheet against numbers worked out by hand from published constants.

The molar masses are typed in (C: standard atomic weights), the arithmetic is done in the test.
"""

from pathlib import Path

import pytest

from darktimer.bench.bath_sheet import BenchOptions
from darktimer.bench.recipe_lookup import recipes_of
from darktimer.bench.sheet import Sheet, bench_sheet
from darktimer.bench.substances import form_named
from darktimer.plan.reader import read_plan_file
from darktimer.plan.temperature import ThermometerReading

SODA, CRYSTALS, POTASH = 105.9885, 286.1414, 138.2056
ACID, ASCORBATE = 176.1244, 198.1062

PLAN = """\
title: Evening
film: {format: 135-36, count: 4}
vessel: {kind: tub, light: open, volume: 500 ml}
temperature: 24 C
room: 18 C
steps:
  - load: by hand
  - develop: 7:11
    bath: nettle leaf developer
    agitation: 1/2
  - stop: 1 min
    bath: acid stop
  - fix: 8 min
    bath: plain fixer
  - wash: 2 min
    repeat: 3
    temperature: 10 C
"""


NO_WISHES = BenchOptions()


def sheet(folder: Path, wishes: BenchOptions = NO_WISHES) -> Sheet:
    path = folder / "plan.yaml"
    path.write_text(PLAN)
    file = read_plan_file(path)
    return bench_sheet(file.plan, recipes_of(file), wishes)


def grams(made: Sheet, bath: int, item: int) -> float:
    value = made.baths[bath].items[item].mass_g
    assert value is not None
    return value


def test_the_area_rules_over_the_volume_that_covers(tmp_path: Path) -> None:
    """Four rolls at four to the litre are one litre; 500 ml only cover. 80 in2 are 0.0516 m2."""
    made = sheet(tmp_path)
    assert made.area_m2 == pytest.approx(4 * 0.0516, abs=2e-4)
    assert made.rolls == pytest.approx(4, abs=0.005)
    developer, stop, fixer, water = made.baths
    assert developer.volume_ml == pytest.approx(1000, rel=1e-3)
    assert "for the area of the film, 500 ml more than covers it" in developer.why
    assert "split the film into 2 loads" in developer.warnings[0]
    assert (stop.volume_ml, fixer.volume_ml) == (500, 500)
    assert (water.fills, water.volume_ml) == (3, 1500)


def test_masses_by_hand(tmp_path: Path) -> None:
    """70, 44 and 17 g/l in 1 l; 12 and 226 g/l in half a litre."""
    made = sheet(tmp_path)
    for item, mass in enumerate((70, 44, 17)):
        assert grams(made, 0, item) == pytest.approx(mass, rel=1e-3)
    assert grams(made, 1, 0) == pytest.approx(6)
    assert grams(made, 2, 0) == pytest.approx(113)


def test_masses_in_the_forms_at_hand(tmp_path: Path) -> None:
    """C: 44 g/l of soda less the 10.23 that the ascorbate does not eat, as crystals: 91.17 g."""
    have = (form_named("washing soda decahydrate"), form_named("sodium ascorbate"))
    made = sheet(tmp_path, BenchOptions(have=have))
    spared = 17 / ACID * SODA
    assert grams(made, 0, 1) == pytest.approx((44 - spared) / SODA * CRYSTALS, rel=1e-3)
    assert grams(made, 0, 2) == pytest.approx(17 / ACID * ASCORBATE, rel=1e-3)
    assert made.baths[0].items[1].instead_of == "sodium carbonate anhydrous"


def test_masses_on_a_coarse_scale_in_whole_bottles(tmp_path: Path) -> None:
    """1.4 l bottles: 44 x 1.4 as potash is 80.32 g, shown as 80 by a scale of 5 g: -0.4 %."""
    wishes = BenchOptions(have=(form_named("potash"),), scale_g=5, container_ml=1400)
    potash = sheet(tmp_path, wishes).baths[0].items[1]
    assert potash.mass_g == pytest.approx(44 * 1.4 / SODA * POTASH, rel=1e-4)
    assert potash.shown_g == 80
    assert potash.error == pytest.approx(-0.0040, abs=2e-4)


def test_times_by_hand(tmp_path: Path) -> None:
    """C: 60 kJ/mol. 7.18 min at 24 C is 10 min at 20 C, 8.46 at 22; 7.39 if it cools.

    The plan's 7:11 is 7.18 min. The reading is of a bath at 24 C in a room of 18 C with a time
    constant of 60 min: 18 + 6 exp(-10/60) = 23.079 C after 10 min.
    """
    made = sheet(tmp_path, BenchOptions(reading=ThermometerReading(23.079, 600_000)))
    (time,) = made.times
    elsewhere = {celsius: ms / 60_000 for celsius, ms in time.elsewhere}
    assert elsewhere[20] == pytest.approx(10, abs=0.01)
    assert elsewhere[22] == pytest.approx(8.46, abs=0.01)
    assert time.drifting is not None
    assert time.drifting.time_ms / 60_000 == pytest.approx(7.39, abs=0.02)
    assert time.drifting.end_celsius == pytest.approx(23.30, abs=0.01)  # 18 + 6 exp(-7.39/60)
    assert "guess" in time.warning


def test_ph_and_washing_by_hand(tmp_path: Path) -> None:
    """C: Davies has 10.23 at 24 C, within 0.5; a cold wash doubles at 50 F (P: TM 11-2323).

    40 ml cling to four rolls and mix with 500: each change keeps 40/540. 226 g/l of crystals are
    226 x 112.13 / 248.18 = 102.1 g/l of thiosulphate: 19.8 g/m2 before, 0.0080 after three.
    """
    made = sheet(tmp_path)
    assert "estimated pH at most 10.2" in made.baths[0].acidity
    assert "within 0.5" in made.baths[0].acidity
    cold, left = made.afterwards
    assert "what takes 2:00 at 20.0 °C takes 4:00 at 10.0 °C, 2.00 times as long" in cold
    by_hand = 226 * 112.13 / 248.1838 * 0.040 / (4 * 0.0516) * (40 / 540) ** 3
    assert by_hand == pytest.approx(0.0080, abs=1e-4)
    assert "after 3 changes of water ideal mixing leaves 0.008 g/m2" in left
    assert "3 would reach the 0.014" in left
    assert "follow practice, 10 to 12 changes" in left
