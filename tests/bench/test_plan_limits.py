"""Edges of what a plan asks of the bench: film in its vessel, baths, times, each worked by hand.

Marks: P read in a published source or a public copy of it, C computed, T common practice with no
source, M from memory.
"""

from pathlib import Path
from typing import Any

import pytest

from darktimer.bench.adjusting import adjusted
from darktimer.bench.bath_at_hand import BathAtHand
from darktimer.bench.bath_sheet import BathSheet, BenchOptions
from darktimer.bench.cautions import of_recipe
from darktimer.bench.develop_time import develop_times
from darktimer.bench.fit import misfits
from darktimer.bench.fixing_and_washing import fixing_and_washing, thiosulphate_g_per_l
from darktimer.bench.plan_inputs import bath_celsius, bath_uses, film_of, known_vessel, vessel_of
from darktimer.bench.plan_warnings import drift_warnings, of_mixture, plan_warnings
from darktimer.bench.recipe import Recipe
from darktimer.bench.recipe_lookup import FoundRecipe
from darktimer.bench.sheet import bench_sheet
from darktimer.bench.substances import FORMS
from darktimer.bench.unit_system import METRIC
from darktimer.errors import FindingsError
from darktimer.plan.model import Plan
from darktimer.plan.reader import read_plan_text

STEPS = "  - load: by hand\n  - soak: 1 min\n"
TANK = "kind: spiral tank, light: closed"
TRAY = "kind: tray, light: open, volume: 1 l"
ROLL = "format: 135-36, count: 1"
SHEETS = "format: 4x5 in, sheets: 2"


def plan(vessel: str = TANK, film: str = ROLL, steps: str = STEPS, more: str = "") -> Plan:
    text = f"title: A\n{more}vessel: {{{vessel}}}\n"
    text += f"film: {{{film}}}\n" if film else ""
    return read_plan_text(f"{text}steps:\n{steps}", Path("a.yaml")).plan


def doubts(vessel: str, film: str = ROLL) -> list[str]:
    return [f"{each.path[1]}: {each.found}; {each.remedy}" for each in misfits(plan(vessel, film))]


@pytest.mark.parametrize(
    ("vessel", "film"),
    [
        (f"{TRAY}, size: 4 x 5 in", SHEETS),
        (f"{TRAY}, size: 5 x 4 in", SHEETS),
        (f"{TRAY}, diameter: 16.27 cm", SHEETS),  # C: sqrt(101.6^2 + 127^2) is 162.64 mm
        ("kind: tub, light: open, size: 1 x 1 cm", SHEETS),  # how sheets stand in it is not known
        (f"{TANK}, reels: 2, holds: 2, volume: 600 ml", "format: 135-36, count: 2"),
        (f"{TANK}, reels: 1, volume: 1 l", "format: 16 mm, length: 10 m"),
        (f"{TANK}, holds: 10 m, volume: 1 l", "format: 16 mm, length: 10 m"),
        (f"{TANK}, volume: 240 ml", ROLL),  # T: four fifths of what is usual
        ("kind: drum, light: closed, volume: 68 ml", ROLL),  # C: a roll displaces 6.71 ml
        (f"{TANK}, holds: 1, volume: 1 ml", ""),
    ],
)
def test_what_just_fits(vessel: str, film: str) -> None:
    assert doubts(vessel, film) == []


@pytest.mark.parametrize(
    ("vessel", "film", "words"),
    [
        (f"{TRAY}, size: 3.998 x 5 in", SHEETS, "size: a sheet of 4x5 in is larger than the tray"),
        (f"{TRAY}, size: 4.998 x 4.5 in", SHEETS, "size: a sheet of 4x5 in is larger"),
        (f"{TRAY}, diameter: 16.26 cm", SHEETS, "diameter: a sheet of 4x5 in is 163 mm from"),
        (f"{TANK}, reels: 1, volume: 1 l", "format: 135-36, count: 2", "reels: 2 rolls, and 1"),
        (f"{TANK}, holds: 1, volume: 1 l", "format: 135-36, count: 2", "holds: the film is more"),
        (
            f"{TANK}, holds: 9.995 m, volume: 1 l",
            "format: 16 mm, length: 10 m",
            "holds: the film is",
        ),
        (f"{TANK}, holds: 5 m, volume: 1 l", ROLL, "many pieces here; write such as holds: 2"),
        (
            f"{TANK}, holds: 2, volume: 1 l",
            "format: 16 mm, length: 1 m",
            "a length here; write such as holds: 50 ft",
        ),
        (f"{TANK}, volume: 239 ml", ROLL, "volume: 300 ml are usual for this film (spiral tank)"),
        (f"{TANK}, volume: 239 ml", ROLL, "61 ml too small"),
        ("kind: drum, light: closed, volume: 67 ml", ROLL, "film alone takes up 6.71 ml of 67 ml"),
    ],
)
def test_what_just_does_not(vessel: str, film: str, words: str) -> None:
    (doubt,) = doubts(vessel, film)
    assert words in doubt


def test_the_largest_vessel_that_hands_fill() -> None:
    largest = plan(f"{TANK}, volume: 1000 l")
    assert vessel_of(largest, film_of(largest)).cover_ml == 1e6
    beyond = plan("kind: tray, light: open, size: 1 x 1 m, depth: 1000.0005 mm", SHEETS)
    with pytest.raises(FindingsError, match="takes 1000 l; look at them again: the most is 1000 l"):
        vessel_of(beyond, film_of(beyond))


def test_film_as_a_plan_writes_it() -> None:
    """C: a roll is 80 square inches, four sheets of 4x5 in are another; 15.95 mm x 10 m."""
    assert film_of(plan(film="format: 135-36")).rolls == pytest.approx(1)
    assert film_of(plan(film="format: 135-36, count: 3")).rolls == pytest.approx(3)
    assert film_of(plan(film="format: 4x5 in, sheets: 4")).rolls == pytest.approx(1)
    assert film_of(plan(film="format: 16 mm, length: 10 m")).area_m2 == pytest.approx(0.1595)
    assert known_vessel(plan(film="")) is None
    with pytest.raises(FindingsError, match="the film is missing"):
        film_of(plan(film=""))


@pytest.mark.parametrize(
    ("vessel", "film", "cover_ml"),
    [
        (TANK, "format: 135-36, count: 2", 600),  # M: a reel of 135 takes 300 ml
        (f"{TANK}, reels: 3", "format: 135-36, count: 2", 900),
        # C: pi/4 x 100 cm2 x 12 cm
        ("kind: cylinder, light: open, diameter: 10 cm, depth: 12 cm", ROLL, 942.4778),
        (TANK, "format: 120", 500),  # M: and one of 120 half a litre
        ("kind: tray, light: open, size: 20 x 25 cm", SHEETS, 1000),  # T: 2 cm deep
        ("kind: tray, light: open, size: 20 x 25 cm, depth: 3 cm", SHEETS, 1500),
    ],
)
def test_what_a_vessel_asks_for(vessel: str, film: str, cover_ml: float) -> None:
    asked = known_vessel(plan(vessel, film))
    assert asked is not None
    assert asked.cover_ml == pytest.approx(cover_ml)


@pytest.mark.parametrize(
    ("vessel", "film"),
    [
        (TANK, SHEETS),
        ("kind: cylinder, light: open, diameter: 10 cm", ROLL),
        ("kind: tray, light: open", SHEETS),
        ("kind: drum, light: closed", ROLL),
    ],
)
def test_what_tells_no_volume(vessel: str, film: str) -> None:
    assert known_vessel(plan(vessel, film)) is None


TWICE = """\
  - load: by hand
  - develop: 10 min
    bath: brew
    agitation: 1/2
  - rinse: 1 min
    repeat: 3
  - develop: 5 min
    bath: Brew
    agitation: 1/2
"""


def test_steps_of_one_bath_come_together() -> None:
    brew, water = bath_uses(plan(steps=TWICE))
    assert (brew.name, brew.kind, brew.places, brew.fills) == ("brew", "develop", (1, 3), 2)
    assert (len(brew.steps), brew.is_water) == (2, False)
    assert (water.places, water.fills, water.is_water) == ((2,), 3, True)


def test_a_bath_without_a_temperature_has_twenty_degrees() -> None:
    none, cold = plan(steps=TWICE), plan(steps=TWICE, more="temperature: 1 C\n")
    assert bath_celsius(none, none.steps[1]) == 20
    assert bath_celsius(cold, cold.steps[1]) == 1


def develops(minutes: str, celsius: float, more: str = "") -> list:
    steps = f"  - load: by hand\n  - develop: {minutes}\n    agitation: continuous\n{more}"
    timed = plan(steps=steps, more=f"temperature: {celsius} C\n")
    return [*develop_times(timed, {}, None)]


@pytest.mark.parametrize(
    ("celsius", "told"),
    [
        (20, [16, 18, 22, 24]),
        (2, [0, 4, 6]),
        (1, [3, 5]),
        (98, [94, 96, 100]),
        (99, [95, 97]),
    ],
)
def test_the_temperatures_that_times_are_told_for(celsius: float, told: list[float]) -> None:
    (time,) = develops("10 min", celsius)
    assert [warm for warm, _ in time.elsewhere] == told
    assert (time.planned_ms, time.steady_ms, time.time_ms, time.alike_ms) == (600_000,) * 4
    assert (time.source, time.drifting, time.constant_ms, time.constant_from) == (1, None, 0, "")


def test_ten_seconds_is_the_least() -> None:
    """T: no film is put in and taken out again sooner; nor is a warmer bath told of then."""
    (time,) = develops("10 s", 20)
    assert [warm for warm, _ in time.elsewhere] == [16, 18]
    with pytest.raises(FindingsError, match="over in under 10 s; cool the bath"):
        develops("9.999 s", 20)


def test_two_days_are_the_most() -> None:
    (time,) = develops("48 h", 20)
    assert [warm for warm, _ in time.elsewhere] == [22, 24]


def test_a_time_for_another_temperature() -> None:
    """C: 60 kJ/mol between 20 and 24 C: exp(60/0.0083145 x (1/293.15 - 1/297.15)) is 1.393."""
    ask = "    time is for: 20 C\n    adjust: for temperature\n"
    (time,) = develops("10 min", 24, ask)
    assert time.time_ms == pytest.approx(600_000 / 1.393, abs=1000)
    assert time.time_ms % 1000 == 0
    assert [warm for warm, _ in time.elsewhere] == [22, 26, 28]
    assert (time.for_celsius, time.celsius, time.planned_ms) == (20, 24, 600_000)
    assert time.kj_per_mol == 60
    assert METRIC.temperature(time.celsius) == "24.0 °C"


BREW = {"title": "Brew", "bath": "developer", "makes": "1 l", "rolls per litre": "10"}
SALT = {"substance": "sodium chloride", "amount": "10 g"}


def recipe(*ingredients: dict[str, str], **more: str) -> Recipe:
    written = {key.replace("_", " "): value for key, value in more.items()}
    return Recipe.read(BREW | {"ingredients": list(ingredients)} | written, None)


def baths(made: Recipe | None, **options: Any) -> tuple[BathSheet, ...]:
    found = {"brew": FoundRecipe(made, "")}
    return bench_sheet(plan(steps=TWICE), found, BenchOptions(**options)).baths


def test_how_much_of_a_bath() -> None:
    """By hand: 300 ml cover a roll; a brew is filled twice, the rinse three times."""
    brew, water = baths(recipe(SALT))
    assert (brew.fills, brew.fill_ml, brew.volume_ml) == (2, 300, 600)
    assert (brew.stock_ml, brew.water_ml, brew.containers, brew.spare_ml) == (0, 0, 0, 0)
    assert (water.fills, water.volume_ml, water.discard) == (3, 900, ())
    again, _ = baths(recipe(SALT, use="again"))
    assert (again.fills, again.volume_ml, again.used_again) == (1, 300, True)
    bottles, water = baths(recipe(SALT), container_ml=250)
    assert (bottles.containers, bottles.container_ml, bottles.volume_ml) == (3, 250, 750)
    assert (bottles.spare_ml, water.containers, water.volume_ml) == (150, 0, 900)
    diluted, _ = baths(recipe(SALT, dilution="1+4"))
    assert (diluted.stock_ml, diluted.water_ml) == (pytest.approx(120), pytest.approx(480))
    unknown, _ = baths(None)
    assert (unknown.recipe, unknown.items, unknown.used_again) == ("", (), False)


def test_what_is_kept_is_not_mixed() -> None:
    kept, _ = baths(recipe(SALT), kept=(BathAtHand("Brew", 300, 1),), container_ml=250)
    assert (kept.ready, kept.volume_ml, kept.items, kept.containers) == (True, 300, (), 0)
    little, _ = baths(recipe(SALT), kept=(BathAtHand("brew", 299, 1),))
    assert (little.ready, little.volume_ml, len(little.items)) == (False, 600, 1)
    other, _ = baths(recipe(SALT), kept=(BathAtHand("water", 300, 1),))
    assert (other.ready, other.kept) == (False, "")


def test_what_a_sheet_says_of_a_bath() -> None:
    """By hand: 105.99 g of soda a litre less 88.06 g of ascorbic acid leave half a mole in it."""
    soda = {"substance": "sodium carbonate anhydrous", "amount": "105.9885 g"}
    acid = {"substance": "ascorbic acid", "amount": "88.062 g"}
    brew, _ = baths(recipe(soda, acid))
    assert brew.after_acid is not None
    assert brew.after_acid.left_mmol_per_l == pytest.approx(500, abs=0.1)
    assert brew.acidity.startswith("estimated pH")
    assert brew.discard == ("Discard as local rules say, never into a septic tank.",)
    fixer, _ = baths(recipe(soda, bath="fixer", discard="Ask first."))
    assert fixer.acidity == ""
    assert "holds silver" in fixer.discard[0]
    assert fixer.discard[1] == "Ask first."


def test_the_scale_is_of_a_tenth_of_a_gram() -> None:
    brew, _ = baths(recipe(SALT | {"amount": "10.1 g"}))
    assert brew.items[0].mass_g == pytest.approx(6.06)
    assert brew.items[0].shown_g == pytest.approx(6.1)


def warned(made: Recipe, steps: str = TWICE, celsius: float = 20) -> list[tuple[Any, str]]:
    evening = plan(steps=steps, more=f"temperature: {celsius} C\n")
    return [(each.path, each.found) for each in plan_warnings(evening, {"brew": made})]


def test_a_bath_is_warned_of_at_its_first_step() -> None:
    """By hand: 48 g/l of borax dissolve at 20 C, 31 at 10 C (M: the CRC Handbook)."""
    borax = {"substance": "borax decahydrate", "amount": "48.03 g"}
    weak = borax | {"amount": "47.97 g"}
    assert warned(recipe(SALT, bath="activator")) == []
    assert [path for path, _ in warned(recipe(borax, bath="activator"))] == [("steps", 1)]
    assert warned(recipe(weak, bath="activator")) == []
    assert "48 g/l of borax" in warned(recipe(weak, bath="activator"), celsius=15)[0][1]
    two_litres = recipe(borax | {"amount": "90 g"}, bath="activator", makes="2 l")
    assert warned(two_litres) == []
    assert warned(Recipe.read({"title": "B", "bath": "activator", "makes": "1 l"}, None)) == []
    named = TWICE.replace("develop: 5 min", "develop: 5 min\n    name: Again")
    (other,) = warned(recipe(SALT, bath="wetting"), named)
    assert "makes another bath (wetting) than Develop calls for" in other[1]
    (capacity,) = warned(Recipe.read({"title": "B", "bath": "fixer", "makes": "1 l"}, None))[1:]
    assert capacity[1].endswith("the recipe gives no capacity")


def test_only_a_developer_is_warned_of_for_its_ph() -> None:
    """C: half a mole of soda in a litre has a pH above 11.5."""
    soda = {"substance": "sodium carbonate anhydrous", "amount": "53 g"}
    assert warned(recipe(soda, bath="activator")) == []
    (fogs,) = warned(recipe(soda))
    assert fogs[1].endswith("too high for a carbonate developer, expect fog")


def test_a_roll_in_little_of_a_weak_bath() -> None:
    """By hand: at 3 rolls a litre one takes 333 ml, and a reel of 135 is covered by 300."""
    assert warned(recipe(SALT, bath="activator", rolls_per_litre="3.4")) == []
    (short,) = warned(recipe(SALT, bath="activator", rolls_per_litre="3"))
    assert "33.3 ml too small" in short[1]


WASHES = """\
  - load: by hand
  - fix: 8 min
    bath: brew
  - wash: 1 min
    repeat: 1
  - wash: 1 min
    repeat: 9
"""


def test_what_washes_leave() -> None:
    """By hand: a mole of thiosulphate, 112.13 g/l, of which 10 ml cling to a roll (T): 21.7 g/m2.

    A change of 490 ml leaves a fiftieth of it. P: 0.014 g/m2, 10 to 12 changes (Navy 14209).
    """
    crystals = {"substance": "sodium thiosulphate pentahydrate", "amount": "248.1838 g"}
    fixer = recipe(crystals, bath="fixer")
    assert thiosulphate_g_per_l(fixer) == pytest.approx(112.13, abs=0.01)
    assert thiosulphate_g_per_l(None) == thiosulphate_g_per_l(recipe(SALT)) == 0
    washed = plan(steps=WASHES)
    one, ten = [*fixing_and_washing(washed, {"brew": fixer}, 490, film_of(washed), METRIC)][-2:]
    assert "after 1 changes of water ideal mixing leaves 0.43 g/m2 of thiosulphate; 2 would" in one
    assert "after 10 changes of water ideal mixing leaves less than 0.0001 g/m2" in ten
    assert "within the 0.014 g/m2" in ten


@pytest.mark.parametrize(("minutes", "told"), [("119.51 s", 0), ("119.63 s", 1)])
def test_a_second_is_worth_a_remark(minutes: str, told: int) -> None:
    """C: a tenth of a degree at 60 kJ/mol is a factor 1.00843: 0.999 s of 119.51, 1 s of 119.63."""
    steps = f"  - load: by hand\n  - develop: {minutes}\n    agitation: continuous\n"
    warmer = plan(steps=f"{steps}    time is for: 20 C\n", more="temperature: 20.1 C\n")
    assert len(adjusted(warmer, {}).remarks) == told
    assert adjusted(warmer, {}).notes == ()


@pytest.mark.parametrize(("hot", "scalds"), [("49.5 C", False), ("50 C", True), ("50.5 C", True)])
def test_water_scalds(hot: str, scalds: bool) -> None:
    """T: from about 50 C on."""
    leaf = {"plant": "mint", "amount": "5 g", "steep": "20 min"}
    told = " ".join(of_recipe(recipe(leaf | {"at": hot}, leaf)))
    assert ("Hot water scalds" in told) == scalds
    assert "Hot water scalds" not in " ".join(of_recipe(recipe(leaf)))


@pytest.mark.parametrize(
    ("others", "ammonia"),
    [((), False), (("sodium chloride",), False), (("sodium hydroxide",), True)],
)
def test_alkali_frees_ammonia(others: tuple[str, ...], ammonia: bool) -> None:
    held = [{"substance": name, "amount": "10 g"} for name in ("ammonium thiosulphate", *others)]
    told = " ".join(of_recipe(recipe(*held, bath="fixer")))
    assert ("gives off ammonia" in told) == ammonia
    assert "Spent fixer holds silver" in told
    assert "Acid frees choking sulphur dioxide from thiosulphate" in told


def test_a_bottle_may_hold_the_worst() -> None:
    """T: a stop may be strong acetic acid, whoever bottled it."""
    told = " ".join(of_recipe(recipe(bath="stop", dilution="1+19")))
    assert "Strong acetic acid burns" in told
    assert "silver" not in told
    assert "burns" not in " ".join(of_recipe(recipe(SALT, bath="stop")))


HYPO = {"substance": "sodium thiosulphate anhydrous", "amount": "50 g"}
STOPPED = "  - load: by hand\n  - stop: 1 min\n    bath: sour\n  - fix: 5 min\n    bath: hypo\n"


def held(name: str) -> dict[str, str]:
    return {"substance": name, "amount": "5 g"}


@pytest.mark.parametrize(
    ("name", "spoils"),
    [("ascorbic acid", True), ("citric acid", True), ("sodium chloride", False)],
)
def test_acid_spoils_a_fixer(name: str, spoils: bool) -> None:
    """T: in the bath, or carried into it, where no sulphite is with the thiosulphate."""
    evening, fixer = plan(steps=STOPPED), recipe(HYPO, bath="fixer")
    carried = {"sour": recipe(held(name), bath="stop"), "hypo": fixer}
    assert any("sulphur" in each.found for each in plan_warnings(evening, carried)) == spoils
    mixed = [(FORMS[HYPO["substance"]], 50.0), (FORMS[name], 5.0)]
    assert bool([*of_mixture(mixed, 1000, 20)]) == spoils
    preserved = [*mixed, (FORMS["sodium sulphite anhydrous"], 5.0)]
    assert [*of_mixture(preserved, 1000, 20)] == []


def test_a_bath_that_drifts_after_the_water_does_is_warned_of() -> None:
    """C: 1.2 l in a tub of 15 x 20 cm has a constant of 65 min: 16 C in a room of 4 C are 12.8."""
    cold = plan(
        "kind: tub, light: open, volume: 1.2 l, size: 15 x 20 cm",
        steps=f"{STEPS}  - develop: 20 min\n    agitation: 1/2\n",
        more="temperature: 16 C\nroom: 4 C\n",
    )
    assert [each.path for each in drift_warnings(cold)] == [("steps", 2, "develop")]


TWO = "kind: tub, light: open, size: 10 x 20 cm, volume: two of 1 l"


def test_a_vessel_that_is_two_has_twice_the_bath_and_twice_the_faces() -> None:
    """By hand: a litre on 200 cm2 stands 5 cm deep; its wall is 200 + 60 x 5 = 500 cm2."""
    for written in ("two of 1 l", "2 x 1 l", "Two x 1000 ml", "2 of 1 l"):
        both = known_vessel(plan(TWO.replace("two of 1 l", written)))
        assert both
        assert both.cover_ml == pytest.approx(2000)
        assert both.open_cm2 == pytest.approx(400)
        assert both.wall_cm2 == pytest.approx(1000)
        assert both.basis == "2 vessels, measured with water"
    one = known_vessel(plan(TWO.replace("two of", "")))
    assert one
    assert (one.cover_ml, one.basis) == (pytest.approx(1000), "measured with water")
    six = known_vessel(plan(TWO.replace("two", "six")))
    assert six
    assert six.cover_ml == pytest.approx(6000)


def test_two_vessels_hold_twice_the_film() -> None:
    held = "kind: tub, light: open, holds: 2, volume: two of 1 l"
    assert doubts(held, "format: 135-36, count: 4") == []
    assert "holds: the film is more" in doubts(held, "format: 135-36, count: 5")[0]
    cine = held.replace("holds: 2", "holds: 5 m")
    assert doubts(cine, "format: 16 mm, length: 10 m") == []


def test_each_of_two_trays_has_to_be_filled() -> None:
    """T: 2 cm deep, a tray of 20 x 25 cm takes 1 l, two take 2 l; four fifths of that will do."""
    tray = "kind: tray, light: open, size: 20 x 25 cm, volume: two of 800 ml"
    assert doubts(tray, SHEETS) == []
    (less,) = doubts(tray.replace("800", "790"), SHEETS)
    assert "volume: 2 l are usual for this film" in less
