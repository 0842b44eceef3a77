"""What is poured into a bath: never more than it holds, in the order in which hands do it."""

import re
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from darktimer import units
from darktimer.bench.mixing_steps import in_order
from darktimer.bench.mixture import mixture
from darktimer.bench.recipe import Recipe
from darktimer.bench.recipe_faults import faults
from darktimer.bench.substances import FORMS
from darktimer.bench.unit_system import METRIC

SODA = {"substance": "sodium carbonate anhydrous", "amount": "40 g"}
LEAF = {"plant": "mint", "amount": "50 g", "steep": "20 min"}
VINEGAR = {"liquid": "vinegar", "amount": "500 ml"}
TEA = {"liquid": "strong tea", "amount": "800 ml"}
DRINK = {"liquid": "instant coffee, brewed", "amount": "1 l"}

_VOLUME = r"([\d.]+ m?l)\b"
_POURED = re.compile(
    rf"(?:Begin with|[Ss]tir in|Add|Pour it into|Steep [\d.]+ g of \w+ in) {_VOLUME} of "
    r"(?!.*it has dissolved)"
)


def recipe(*ingredients: dict[str, str], **more: Any) -> Recipe:
    amount = {} if "added to" in more else {"makes": "1 l"}
    return Recipe.read(
        {"title": "R", "bath": "stop", "ingredients": list(ingredients), **amount, **more}, None
    )


def order(made: Recipe, volume_ml: float = 1000, water_ml: float = 0, step_g: float = 0.1):
    mixed = mixture(made, volume_ml, (), step_g, METRIC)
    return list(in_order(mixed, water_ml, 20, METRIC))


def poured_ml(lines: list[str]) -> list[float]:
    return [units.volume_ml(found) for line in lines for found in _POURED.findall(line)]


@pytest.mark.parametrize(
    ("ingredients", "lines"),
    [
        ((VINEGAR,), ["Begin with 500 ml of water.", "Stir in 500 ml of vinegar."]),
        (
            (SODA, TEA),
            [
                "Begin with 800 ml of strong tea.",
                "It may foam: in an open vessel with room above, stir in 40 g of sodium carbonate "
                "anhydrous a little at a time until it has dissolved.",
                "Fill up with water to 1 l.",
            ],
        ),
        ((DRINK,), ["Begin with 1 l of instant coffee, brewed."]),
        (
            (SODA,),
            [
                "Begin with 750 ml of water.",
                "Stir in 40 g of sodium carbonate anhydrous until it has dissolved.",
                "Fill up with water to 1 l.",
            ],
        ),
    ],
)
def test_water_first_is_what_is_left_of_the_batch(ingredients, lines: list[str]) -> None:
    assert order(recipe(*ingredients)) == lines


def test_two_plants_share_the_water_and_come_before_everything_else() -> None:
    """By hand: half of 750 ml each; the soda that the recipe names first goes into the brew."""
    lines = order(recipe(SODA, LEAF, {**LEAF, "plant": "thyme"}))
    strain = "Strain it through cloth and let it cool."
    assert lines[:3] == [
        f"Steep 50 g of mint in 375 ml of water for 20:00. {strain}",
        f"Steep 50 g of thyme in 375 ml of water for 20:00. {strain}",
        "Pour together what was strained.",
    ]


def test_a_small_decoction_is_joined_by_water() -> None:
    lines = order(recipe({**LEAF, "water": "300 ml"}, SODA))
    assert lines[1] == "Add 450 ml of water to it."


def test_a_bought_concentrate_is_diluted_last() -> None:
    lines = order(recipe({"liquid": "concentrate", "amount": "1 l"}), 200, 800)
    assert lines == [
        "Begin with 200 ml of concentrate.",
        "Pour it into 800 ml of water: 1 l to use.",
    ]


def test_a_stock_without_ingredients_is_no_water() -> None:
    bottle = Recipe.read({"title": "R", "bath": "fixer", "dilution": "1+4"}, None)
    pour = "Pour 200 ml of the concentrate into 800 ml of water: 1 l to use."
    assert order(bottle, 200, 800) == [pour]


def test_what_is_added_to_water_makes_more_than_the_water() -> None:
    """By hand: half a litre on a litre makes 1.5; a litre of bath takes two thirds of each."""
    lines = order(recipe(VINEGAR, **{"added to": "1 l"}))
    assert lines == ["Begin with 667 ml of water.", "Stir in 333 ml of vinegar."]


def test_warm_water_is_asked_for_when_it_is_measured_and_cools_before_use() -> None:
    lines = order(recipe(SODA, **{"water at": "40 C"}), 1000, 1000)
    assert lines[0] == "Begin with 750 ml of water at 40.0 °C."
    assert lines[-2:] == [
        "Pour it into 1 l of water: 2 l to use.",
        "Let it come to 20.0 °C before you use it.",
    ]
    assert order(recipe({**LEAF, "at": "90 C"}))[-1].startswith("Let it come to 20.0 °C")
    (fault,) = faults(recipe(SODA, **{"water at": "140 C"}))
    assert (fault.path, fault.found) == (("water at",), "140 C is not a temperature of water")


def test_it_foams_is_said_before_it_does() -> None:
    lines = order(recipe(SODA, {"substance": "citric acid", "amount": "5 g"}))
    assert lines[2] == (
        "It foams: in an open vessel with room above, stir in 5 g of citric acid a little at a "
        "time until it has dissolved."
    )


@pytest.mark.parametrize(
    ("ingredients", "place", "words"),
    [
        ((TEA, VINEGAR), (1, "amount"), "with this, 1.3 l go into a batch of 1 l"),
        ((TEA, {**LEAF, "water": "300 ml"}), (1, "water"), "1.1 l go into a batch of 1 l"),
        ((DRINK, LEAF), (1, "amount"), "there is 0 ml of water to steep it in"),
        (({**LEAF, "amount": "500 g"},), (0, "amount"), "there is 750 ml of water to steep it in"),
        (({**SODA, "amount": "100000 g"},), (0, "amount"), "60 l go into a batch of 1 l"),
    ],
)
def test_a_recipe_that_cannot_fit_is_a_fault_at_its_line(ingredients, place, words: str) -> None:
    found = [(each.path, each.found) for each in faults(recipe(*ingredients))]
    assert any(path == ("ingredients", *place) and words in said for path, said in found)


amounts = st.integers(1, 1200)
liquids = st.builds(lambda ml: {"liquid": "juice", "amount": f"{ml} ml"}, amounts)
solids = st.builds(
    lambda form, g: {"substance": form, "amount": f"{g / 10} g"}, st.sampled_from([*FORMS]), amounts
)
plants = st.builds(
    lambda g, ml: {**LEAF, "amount": f"{g / 10} g", **({"water": f"{ml} ml"} if ml else {})},
    amounts,
    st.none() | amounts,
)


@given(
    ingredients=st.lists(liquids | solids | plants, min_size=1, max_size=6),
    added_to=st.booleans(),
    volume_ml=st.integers(100, 20_000),
    water_parts=st.integers(0, 9),
    step_g=st.sampled_from([0.01, 0.1, 1.0, 5.0]),
)
def test_what_is_poured_ends_at_the_batch(
    ingredients, added_to: bool, volume_ml: int, water_parts: int, step_g: float
) -> None:
    made = recipe(*ingredients, **({"added to": "1 l"} if added_to else {}))
    assume(not list(faults(made)))
    lines = order(made, volume_ml, water_parts * volume_ml, step_g)
    *inside, last = poured_ml(lines) if water_parts else [*poured_ml(lines), 0.0]
    assert sum(inside) <= volume_ml * 1.006  # three figures are shown
    if not any(line.startswith("Fill up") for line in lines):
        assert sum(inside) == pytest.approx(volume_ml, rel=0.006)
    assert last == pytest.approx(water_parts * volume_ml, rel=0.006)
    assert " 0 g" not in " ".join(lines)
    assert lines[-1].endswith("to use.") == bool(water_parts)


ACID = {"liquid": "acetic acid", "acid": "acetic acid", "strength": "99 %", "amount": "90 ml"}


def test_a_strong_acid_goes_into_the_water_and_never_water_onto_it() -> None:
    """T: acid into water; the caution on every page says so, and the order is no other."""
    assert order(recipe(ACID, makes="100 ml"), 100, 1900) == [
        "Begin with 10 ml of water.",
        "Stir in 90 ml of acetic acid.",
        "Pour it into 1.9 l of water: 2 l to use.",
    ]


def test_what_leaves_keep_is_made_up_with_water() -> None:
    """T: dried leaf keeps two or three times its weight of water when it is strained."""
    whole = LEAF | {"water": "1 l"}
    assert order(recipe(whole))[-1] == "Fill up with water to 1 l."
    lines = order(recipe(LEAF | {"water": "400 ml"}, SODA, **{"added to": "1 l"}))
    assert lines[1:3] == [
        "Add 600 ml of water to it.",
        "Make it up with water to 1 l: what was steeped has kept some.",
    ]


def test_a_drink_that_may_be_sour_may_foam_with_soda() -> None:
    """T: wine, vinegar or lemon juice with washing soda foams, whoever measured their acid."""
    assert order(recipe(VINEGAR, SODA))[2].startswith("It may foam: in an open vessel")
    named = VINEGAR | {"acid": "acetic acid", "strength": "5 %"}
    assert order(recipe(named, SODA))[2].startswith("It foams: in an open vessel")
    assert "foam" not in " ".join(order(recipe(VINEGAR)))


def test_what_was_steeped_cools_to_what_the_recipe_asks_for_before_anything_is_added() -> None:
    assert order(recipe(LEAF | {"cool to": "30 C"}))[0] == (
        "Steep 50 g of mint in 750 ml of water for 20:00. Strain it through cloth and let it cool "
        "to 30.0 °C before anything is added."
    )
    noted = recipe(LEAF | {"cool to": "30 C", "note": "press the leaves"})
    assert order(noted)[0].endswith(
        "Press the leaves. Let it cool to 30.0 °C before anything is added."
    )
    (fault,) = faults(recipe(LEAF | {"cool to": "-1 C"}))
    assert fault.path == ("ingredients", 0, "cool to")


def test_a_leaf_is_steeped_and_never_dissolved_whatever_the_scale() -> None:
    lines = order(recipe(LEAF | {"amount": "0.2 g"}), step_g=1)
    assert not any("dissolve" in line for line in lines)
    assert lines[0].startswith("Steep 0.2 g of mint")
