"""Edges of what a recipe may say, and of what is poured and weighed for it, each worked by hand."""

from typing import Any

import pytest

from darktimer.bench.batch_water import Waters, waters
from darktimer.bench.ingredients import Liquid, Plant, Substance, bottled, unmeasured
from darktimer.bench.mixing_steps import in_order
from darktimer.bench.mixture import Item, mixture
from darktimer.bench.recipe import Recipe
from darktimer.bench.recipe_faults import faults
from darktimer.bench.substances import FORMS
from darktimer.bench.unit_system import METRIC


def recipe(*ingredients: dict[str, str], **more: Any) -> Recipe:
    """A recipe for a litre, unless ``more`` says another batch; ``None`` leaves a key out."""
    whole = {"title": "R", "bath": "stop", "makes": "1 l", "ingredients": list(ingredients)}
    written = {key.replace("_", " "): value for key, value in (whole | more).items()}
    return Recipe.read({key: value for key, value in written.items() if value is not None}, None)


def solid(grams: float, name: str = "sodium chloride") -> dict[str, str]:
    return {"substance": name, "amount": f"{grams} g"}


def liquid(ml: float, **more: str) -> dict[str, str]:
    return {"liquid": "vinegar", "amount": f"{ml} ml", **more}


def plant(grams: float, **more: str) -> dict[str, str]:
    return {"plant": "mint", "amount": f"{grams} g", "steep": "20 min", **more}


@pytest.mark.parametrize(
    ("written", "hours"),
    [
        ("1 hour", 1),
        ("2 h", 2),
        ("3 days", 3 * 24),
        ("2 weeks", 2 * 7 * 24),
        ("1 month", 30 * 24),
        ("1 year", 365 * 24),
    ],
)
def test_how_long_it_keeps(written: str, hours: int) -> None:
    assert recipe(keeps=written).keeps == hours


@pytest.mark.parametrize(
    ("written", "parts"),
    [
        ("1+4", (1, 4)),
        ("0.5+2", (0.5, 2)),
        ("1+0", (1, 0)),
        ("1+1000", (1, 1000)),
        ("1000+1", (1000, 1)),
        ("100+100", (100, 100)),
    ],
)
def test_dilutions(written: str, parts: tuple[float, float]) -> None:
    diluted = recipe(dilution=written)
    assert diluted.dilution == parts
    assert diluted.working_share == pytest.approx(parts[0] / sum(parts))


@pytest.mark.parametrize(("written", "rolls"), [("0.1", 0.1), ("1 roll", 1), ("1000 rolls", 1000)])
def test_capacities(written: str, rolls: float) -> None:
    assert recipe(rolls_per_litre=written).rolls_per_litre == rolls


@pytest.mark.parametrize(
    ("key", "written"),
    [
        ("keeps", "0 days"),
        ("dilution", "0+4"),
        ("dilution", "1+1001"),
        ("dilution", "1001+1"),
        ("rolls_per_litre", "0.09"),
        ("rolls_per_litre", "1000.1"),
        ("agitation", "9/8"),
    ],
)
def test_what_is_just_beyond_is_refused(key: str, written: str) -> None:
    with pytest.raises(ValueError, match="write "):
        recipe(**{key: written})


@pytest.mark.parametrize("key", ["dilution", "keeps", "rolls_per_litre"])
@pytest.mark.parametrize("begins", ["x", "1:4 x"])
def test_a_refusal_shows_the_first_forty_letters(key: str, begins: str) -> None:
    written = begins + 50 * "y"
    with pytest.raises(ValueError, match="write ") as refusal:
        recipe(**{key: written})
    assert f"'{written[:40]}'" in str(refusal.value)


def test_the_share_that_moves() -> None:
    """P: 30 s, then 5 s a minute, of ten minutes is an eighth (Navy training manual 14209)."""
    shares = {"continuous": 1, "Intermittent": 1 / 8, "1/3": 1 / 3}
    for written, share in shares.items():
        found = recipe(agitation=written).agitation
        assert found is not None
        assert float(found) == share


def test_the_batch_and_its_room() -> None:
    assert recipe(makes=None).batch_ml == 1000
    assert recipe(makes="2 l").batch_ml == 2000
    assert recipe(liquid(500), plant(5, water="300 ml")).room_ml == 200
    assert recipe(liquid(1500)).room_ml == 0
    assert recipe(plant(5)).room_ml == 1000, "what is steeped in all water takes none of its own"
    joined = recipe(liquid(500), solid(40), makes=None, added_to="1 l")
    assert (joined.batch_ml, joined.room_ml) == (1500, 1000)
    assert recipe(solid(500)).waters().first_ml == 700  # 0.6 ml a gram
    assert recipe(liquid(100)).waters(200).first_ml == 700
    assert recipe(liquid(100), makes=None, added_to="1 l").waters().first_ml == 1000


def test_what_it_can_do_is_in_rolls_and_what_speeds_it_up_is_a_guess() -> None:
    assert recipe().capacity_m2_per_l is None
    assert recipe(rolls_per_litre="2").capacity_m2_per_l == pytest.approx(2 * 0.0516128)
    assert recipe().activation.origin == "guess"
    assert recipe(activation_energy="70 kJ/mol").activation == (70, "given")
    assert recipe().working_share == 1
    assert recipe(dilution="1+4").bottled
    assert not recipe().bottled
    assert not recipe(solid(5), dilution="1+4").bottled


@pytest.mark.parametrize(
    ("steeping", "poured_ml", "solids_ml", "expected"),
    [
        ([], 0, 0, ((), 750)),
        ([], 0, 300, ((), 700)),
        ([], 900, 0, ((), 100)),
        ([], 0, 950, ((), 50)),
        ([], 500, 249, ((), 251)),  # in less than a quarter of the batch nothing is stirred
        ([], 500, 250, ((), 0)),
        ([400.0], 0, 50, ((400,), 350)),
        ([500.0], 0, 50, ((500,), 0)),
        ([None, 100.0], 0, 0, ((650, 100), 0)),
        ([None, None], 300, 0, ((350, 350), 0)),
        ([], 999.9995, 0, ((), 0)),
        ([], 999.9985, 0, ((), 0.0015)),
    ],
)
def test_the_water_that_is_first_in(steeping, poured_ml, solids_ml, expected) -> None:
    found = waters(1000, False, steeping, poured_ml, solids_ml)
    assert found.steeped_ml == expected[0]
    assert found.first_ml == pytest.approx(expected[1], abs=1e-9)
    assert found.all_ml == pytest.approx(sum(expected[0]) + expected[1])


def test_all_water_that_is_added_to_is_measured_first() -> None:
    assert waters(1000, True, [], 900, 50) == ((), 100)
    assert waters(1000, True, [400.0], 0, 50) == ((400,), 600)
    assert waters(1000, True, [400.0], 500, 50) == ((400,), 100)
    assert Waters((100, 200), 50).times(3) == ((300, 600), 150)


@pytest.mark.parametrize(
    ("ingredients", "more", "places"),
    [
        ((), {"temperature": "0 C"}, []),
        ((), {"temperature": "100 C", "water_at": "100 C"}, []),
        ((), {"temperature": "-0.5 C"}, [("temperature",)]),
        ((), {"temperature": "100.5 C"}, [("temperature",)]),
        ((), {"water_at": "0 C"}, []),
        ((), {"water_at": "-0.5 C"}, [("water at",)]),
        ((), {"water_at": "100.5 C"}, [("water at",)]),
        ((liquid(940), solid(100)), {}, []),
        ((liquid(941), solid(100)), {}, [("ingredients", 1, "amount")]),
        ((liquid(1100), liquid(100)), {}, [("ingredients", 0, "amount")]),
        ((liquid(500), plant(5, water="501 ml")), {}, [("ingredients", 1, "water")]),
        ((solid(1600),), {"makes": None, "added_to": "1 l"}, []),
        ((solid(1700),), {"makes": None, "added_to": "1 l"}, [("ingredients", 0, "amount")]),
        # Steeped in 900 ml, and 600 ml of salt in that: no more than is there.
        ((solid(1000), plant(5, water="900 ml")), {"makes": None, "added_to": "1 l"}, []),
        ((plant(100, water="400 ml"),), {}, []),
        ((plant(100, water="399 ml"),), {}, [("ingredients", 0, "water")]),
        ((plant(200),), {}, [("ingredients", 0, "amount")]),
        ((plant(5, at="100.5 C"),), {}, [("ingredients", 0, "at")]),
        ((plant(5, at="0 C", **{"cool to": "-0.5 C"}),), {}, [("ingredients", 0, "cool to")]),
        ((liquid(5, acid="acetic acid"),), {}, [("ingredients", 0)]),
        ((liquid(5, strength="5 %"),), {}, [("ingredients", 0, "strength")]),
        ((liquid(5, acid="acetic acid", strength="5 %"),), {}, []),
        ((solid(5),), {"added_to": "1 l"}, [("added to",)]),
        ((solid(5),), {"makes": None}, [()]),
        ((), {"makes": None}, []),
        ((), {"activation_energy": "60 kJ/mol"}, []),
        # C: 96 g/l of baking soda dissolve at 20 C, which is no carbonate to know a limit of here.
        ((solid(219, "sodium carbonate anhydrous"),), {}, [("ingredients", 0, "amount")]),
        ((solid(217, "sodium carbonate anhydrous"),), {}, []),
        ((solid(400, "sodium carbonate anhydrous"),), {"makes": "2 l"}, []),
        ((solid(200, "baking soda"),), {}, []),
    ],
)
def test_faults_of_a_recipe(ingredients, more, places) -> None:
    assert [each.path for each in faults(recipe(*ingredients, **more))] == places


def test_times_and_an_energy_are_one_too_many() -> None:
    times = [{"at": "20 C", "develop": "12 min"}, {"at": "30 C", "develop": "6 min"}]
    assert not [*faults(recipe(times=times))]
    (both,) = faults(recipe(times=times, activation_energy="60 kJ/mol"))
    assert both.path == ("times",)


def test_how_much_water_a_leaf_wants_is_said() -> None:
    (found,) = faults(recipe(plant(200)))
    assert found.found == "there is 750 ml of water to steep it in"
    assert "give it 800 ml or more" in found.remedy
    nothing = [*faults(recipe(liquid(1500), plant(5)))]
    assert nothing[-1].found == "there is 0 ml of water to steep it in"
    assert nothing[0].found == "with this, 1.5 l go into a batch of 1 l"


VINEGAR = Liquid.read(liquid(5), None)
NAMED = Liquid.read(liquid(5, acid="acetic acid"), None)
SALT = Substance.read(solid(5), None)
MINT = Plant.read(plant(5), None)


def test_what_nobody_named_or_measured() -> None:
    assert bottled([VINEGAR])
    assert not bottled([NAMED, SALT, MINT])
    assert [*unmeasured((VINEGAR, NAMED, SALT, MINT))] == ["vinegar", "mint"]


def steps(made: Recipe, water_ml: float = 0, celsius: float = 20, step_g: float = 0.1) -> list[str]:
    return [*in_order(mixture(made, 1000, (), step_g, METRIC), water_ml, celsius, METRIC)]


def test_the_steps_of_mixing_at_their_edges() -> None:
    assert steps(recipe()) == ["Take 1 l of water."]
    assert steps(recipe(dilution="2+1"), 500) == [
        "Pour 1 l of the concentrate into 500 ml of water: 1.5 l to use."
    ]
    assert steps(recipe(water_at="20 C"), celsius=20)[-1] == "Take 1 l of water."
    assert steps(recipe(water_at="21 C"), celsius=20)[-1].startswith("Let it come to 20.0")
    assert steps(recipe(), celsius=0) == ["Take 1 l of water."]
    assert steps(recipe(plant(5)), celsius=0)[-1] == "Fill up with water to 1 l."
    assert steps(recipe(bath="developer"))[-1].startswith("Let it come to 20.0")
    assert steps(recipe(bath="activator"))[-1].startswith("Let it come to 20.0")
    assert steps(recipe(plant(5)))[0].startswith("Steep 5 g of mint in 750 ml of water for 20:00.")
    assert "Pour together what was strained." not in steps(recipe(plant(5), solid(5)))
    assert steps(recipe(solid(5), makes=None, added_to="1 l")) == [
        "Begin with 1 l of water.",
        "Stir in 5 g of sodium chloride until it has dissolved.",
    ]


def test_each_that_makes_it_foam_says_so() -> None:
    """By hand: 40 g of soda are 0.38 mol, and take 5 g of citric acid (0.08 mol) four times."""
    soda, acid, salt = solid(40, "sodium carbonate anhydrous"), solid(5, "citric acid"), solid(5)
    lines = steps(recipe(soda, acid, salt, acid))
    assert [line.startswith("It foams") for line in lines[1:5]] == [False, True, False, True]
    lines = steps(recipe(acid, soda, salt, soda))
    assert [line.startswith("It foams") for line in lines[1:5]] == [False, True, False, True]
    lines = steps(recipe(soda, liquid(20), salt, liquid(20)))
    assert [line.startswith("It may foam") for line in lines[1:5]] == [False, True, False, True]


def test_a_liquid_is_first_where_there_is_no_water() -> None:
    lines = steps(recipe(solid(40), liquid(900), solid(50)))
    assert lines[0] == "Begin with 900 ml of vinegar."
    assert [line[:11] for line in lines[1:3]] == ["Stir in 40 ", "Stir in 50 "]


def test_a_dose_in_a_stock_is_stirred_in() -> None:
    """By hand: 0.3 g are 12 ml of 25 g in a litre; a scale of 1 g shows nothing of it."""
    made = recipe(solid(0.3), solid(40))
    mixed = mixture(made, 1000, (), 1, METRIC)
    assert mixed.stocks_ml == pytest.approx(12)
    assert mixed.waters.first_ml == pytest.approx(750)
    assert mixed.filled_ml == pytest.approx(762)
    assert steps(made, step_g=1)[1] == (
        "Dissolve 25 g of sodium chloride in water to make 1 l, and stir in 12 ml of that."
    )


def test_half_a_batch_takes_half_of_everything() -> None:
    made = recipe(liquid(100, acid="acetic acid", strength="5 %"), solid(10), plant(8))
    mixed = mixture(made, 500, (), 0.1, METRIC)
    assert [(item.mass_g, item.volume_ml) for item in mixed.items] == [
        (None, 50),
        (5, None),
        (4, None),
    ]
    assert mixed.masses == ((FORMS["acetic acid"], 2.5), (FORMS["sodium chloride"], 5))
    assert mixed.waters.steeped_ml == (pytest.approx(375),)
    assert mixed.filled_ml == pytest.approx(425)


def test_what_a_syringe_measures() -> None:
    """T: a small syringe has marks of 0.1 ml; two of them are the least."""
    fine, little = (mixture(recipe(liquid(ml)), 1000, (), 1, METRIC).items[0] for ml in (0.2, 0.19))
    assert fine.warning == ""
    assert little.warning.startswith("vinegar: 0.19 ml is less than a syringe measures")
    assert Item("salt").amount(METRIC) == "0 g"
    assert Item("salt", 0.3).amount(METRIC) == "0.3 g"
    assert Item("salt", 0.3, 1.0).amount(METRIC) == "1 g"


def test_notes_are_sentences() -> None:
    noted = mixture(recipe(solid(5) | {"note": "stir well"}), 1000, (), 0.1, METRIC)
    assert noted.items[0].note == "Stir well."
    asked = mixture(recipe(solid(5) | {"note": "Warm?"}), 1000, (), 0.1, METRIC)
    assert asked.items[0].note == "Warm?"


def test_what_is_bought_is_poured_as_it_is_where_no_water_goes_to_it() -> None:
    assert steps(recipe(dilution="1+0")) == ["Take 1 l of the concentrate."]
    assert recipe(dilution="1+0").bought
    assert not recipe(solid(5), dilution="1+0").bought
    assert [*faults(recipe(dilution="1+0", comes_in="1 l"))] == []


def test_every_stock_solution_has_its_share_of_the_room() -> None:
    """By hand: of 20.5 g a scale of 1 g is 2.4 % off; 25 g in 250 ml bring it with 205 ml.

    Two of them may use 500 ml each; beside 700 ml of vinegar each of three has but 100.
    """
    roomy = mixture(recipe(solid(20.5), solid(20.5)), 1000, (), 1, METRIC).items
    assert ["use 205 ml of it" in item.note for item in roomy] == [True, True]
    assert [item.error for item in roomy] == pytest.approx([20 / 20.5 - 1] * 2)
    full = mixture(recipe(liquid(700), solid(20.5), solid(20.5)), 1000, (), 1, METRIC).items
    assert ["take a finer scale" in item.note for item in full] == [False, True, True]
    assert full[0].error == 0, "what is poured is off by no scale"
