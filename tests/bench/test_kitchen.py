"""Tablets, spoons, goods, drinks in place of the water, kitchen salt: by hand, where a number is.

M: ascorbic acid has 176.12 g/mol, sodium carbonate 105.99, sodium chloride 58.44.
"""

from typing import Any

import pytest

from darktimer.bench.acidity import tenths_up, worst_off
from darktimer.bench.bath_sheet import acidity_words
from darktimer.bench.dry_amount import DryAmount, dry_amount
from darktimer.bench.mixing_steps import in_order
from darktimer.bench.mixture import Item, Mixture, mixture
from darktimer.bench.plan_warnings import of_mixture, of_recipe
from darktimer.bench.recipe import Recipe
from darktimer.bench.recipe_faults import faults
from darktimer.bench.substances import FORMS, form_named
from darktimer.bench.unit_system import METRIC, US
from darktimer.errors import UnreadableError

SODA = {"substance": "sodium carbonate anhydrous", "amount": "40 g"}
TABLETS = {"substance": "ascorbic acid", "amount": "32 x 500 mg"}
SPOONS = {"substance": "sodium carbonate anhydrous", "amount": "6 tsp of 5 g ± 1 g"}
COFFEE = {"goods": "instant coffee", "amount": "30 g"}


def recipe(*ingredients: dict[str, str], **more: Any) -> Recipe:
    whole = {"title": "R", "bath": "developer", "makes": "1 l", "rolls per litre": "4", **more}
    return Recipe.read({**whole, "ingredients": list(ingredients)}, None)


def mixed(made: Recipe, volume_ml: float = 1000, have: tuple[Any, ...] = ()) -> Mixture:
    return mixture(made, volume_ml, have, 0.1, METRIC)


def item(ingredient: dict[str, str], volume_ml: float = 1000) -> Item:
    return mixed(recipe(ingredient), volume_ml).items[0]


@pytest.mark.parametrize(
    ("written", "amount"),
    [
        ("40 g", (40, 0, 0, "")),
        ("40 g ± 2 g", (40, 2, 0, "")),
        ("40 g +/- 500 mg", (40, 0.5, 0, "")),
        ("32 x 500 mg", (16, 0, 32, "tablet")),
        ("1 tablet of 1 g", (1, 0, 1, "tablet")),
        ("3 × 500 mg ± 10 mg", (1.5, 0.03, 3, "tablet")),
        ("2 tsp of 5 g ± 1 g", (10, 2, 2, "tsp")),
        ("2.5 Tablespoons 8 g +- 2 g", (20, 5, 2.5, "tbsp")),
        ("1/2 cup of 100 g ± 10 g", (50, 5, 0.5, "cup")),
        ("1½ tsp of 4 g ± ½ g", (6, 0.75, 1.5, "tsp")),
        ("1 1/2 tablets of ⅔ g", (1, 0, 1.5, "tablet")),
        ("999 spoons of 1 g ± 0.1 g", (999, 99.9, 999, "spoon")),
    ],
)
def test_dry_amounts_as_people_write_them(written: str, amount: tuple[Any, ...]) -> None:
    read = dry_amount(written)
    assert read[:3] == pytest.approx(amount[:3])
    assert read.unit == amount[3]


@pytest.mark.parametrize(
    ("written", "found"),
    [
        ("2 tsp", "is not a mass: spoons differ"),
        ("2 tsp of 5 g", "does not say how far a tsp may be off"),
        ("2 tsp of", "is not a mass: spoons differ"),
        ("2 tsp of 5 g ± 5 g", "may be nothing at all"),
        ("5 g ± 6 g", "may be nothing at all"),
        ("5 g ± 1 g ± 1 g", "'1 g ± 1' is not a number"),
        ("1000 x 1 g", "'1000' is not a number above 0 and up to 999"),
        ("0 x 1 g", "'0' is not a number above 0 and up to 999"),
        ("-2 tsp of 5 g ± 1 g", "'-2' is not a number above 0 and up to 999"),
        ("NaN tablets of 1 g", "'NaN' is not a number above 0 and up to 999"),
        ("tsp of 5 g ± 1 g", "'' is not a number above 0"),
        ("1e999 g", "'1e999' is not a number"),
        ("5 g ± inf g", "'inf' is not a number"),
        ("32 x", "does not say how much a tablet holds"),
        ("32 x 5 ml", "'5 ml' is a volume"),
        ("32 x 5", "'5' has no unit"),
        ("40", "'40' has no unit"),
    ],
)
def test_dry_amounts_that_say_too_little(written: str, found: str) -> None:
    with pytest.raises(UnreadableError) as refusal:
        dry_amount(written)
    assert found in refusal.value.found


@pytest.mark.parametrize(
    ("amount", "words"),
    [
        (DryAmount(16, 0, 32, "tablet"), "32 tablets of 0.5 g"),
        (DryAmount(0.5, 0, 1, "tablet"), "1 tablet of 0.5 g"),
        (DryAmount(10, 2, 2, "tsp"), "2 tsp (10 g ± 2 g)"),
        (DryAmount(40, 0), "40 g"),
        (DryAmount(40, 1.5), "40 g ± 1.5 g"),
    ],
)
def test_dry_amounts_in_words(amount: DryAmount, words: str) -> None:
    assert amount.text() == words
    assert amount.times(2).times(0.5) == amount


def test_a_tablet_is_what_its_pack_says_it_is_in_every_measure() -> None:
    """Packs say milligrams everywhere: 0.01764 ounces are on none."""
    assert DryAmount(16, 0, 32, "tablet").text(US) == "32 tablets of 0.5 g"
    assert DryAmount(10, 2, 2, "tsp").text(US).startswith("2 tsp (0.3527 avoirdupois oz ± ")


def test_so_much_of_a_tablet_is_the_substance() -> None:
    """By hand: 32 tablets of 500 mg are 16 g, of which 400 mg each are 12.8 g or 0.07268 mol."""
    for written in ("400 mg", "80 %"):
        made = recipe(TABLETS | {"of which": written})
        assert made.parts()["ascorbate"] == pytest.approx(12.8 / 176.12, rel=1e-4)
        (weighed,) = mixed(made).items
        assert (weighed.mass_g, weighed.shown_g) == (pytest.approx(16), pytest.approx(16))
        assert weighed.amount(METRIC) == "32 tablets of 0.5 g"
    assert recipe(TABLETS).parts()["ascorbate"] == pytest.approx(16 / 176.12, rel=1e-4)
    powder = recipe(SODA | {"of which": "500 mg"})
    assert powder.parts()["carbonate"] == pytest.approx(0.5 / 105.99, rel=1e-4)
    whole = recipe(TABLETS | {"of which": "500 mg"})
    assert [*faults(whole)] == []


def test_tablets_are_halved_at_the_finest() -> None:
    """By hand: 0.35 of 32 is 11.2, so 11, 1.8 % less; 0.04 of it is 1.28, so 1.5, 17 % more."""
    near, far = item(TABLETS, 350), item(TABLETS, 40)
    assert near.amount(METRIC) == "11 tablets of 0.5 g"
    assert near.error == pytest.approx(11 / 11.2 - 1)
    assert near.note == ""
    assert far.amount(METRIC) == "1.5 tablets of 0.5 g"
    assert far.note.startswith("Taken in halves of a tablet it is 17% off here: weigh it")
    crumb = item(TABLETS, 5)
    assert (crumb.counted, crumb.shown_g, crumb.stock) == (None, None, None)
    assert "100% off here" in crumb.warning


def test_spoons_are_quartered_and_stay_uncertain() -> None:
    """By hand: 6 tsp of 5 g within 1 g; 0.29 of it is 1.74, so 1.75 tsp: 8.75 g within 1.75 g."""
    assert item(SPOONS).amount(METRIC) == "6 tsp (30 g ± 6 g)"
    assert item(SPOONS, 290).amount(METRIC) == "1.75 tsp (8.75 g ± 1.75 g)"
    assert item(SPOONS).within_g == pytest.approx(6)
    assert item(SPOONS, 500).within_g == pytest.approx(3)
    loose = item(SODA | {"amount": "40 g ± 4 g"}, 500)
    assert loose.amount(METRIC) == "20 g ± 2 g"
    assert item({"plant": "mint", "steep": "5 min", "amount": "4 tbsp of 3 g ± 1 g"}).within_g == 4


def test_another_form_is_weighed_though_the_recipe_has_spoons() -> None:
    """By hand: 30 g of 105.99 g/mol are 35.10 g of the monohydrate, 124.00 g/mol."""
    have = (FORMS["sodium carbonate monohydrate"],)
    (weighed,) = mixed(recipe(SPOONS | {"comes in": "500 g"}), have=have).items
    assert weighed.amount(METRIC) == "35.1 g"
    assert (weighed.within_g, weighed.pack) == (0, None)
    assert weighed.instead_of == "sodium carbonate anhydrous"


def test_what_is_off_by_so_much_at_its_worst() -> None:
    """By hand: pH 10 + 0.1 a - 0.2 b, a within 2 and b within 3, is off by 0.2 + 0.6."""
    slopes = {"a": 0.1, "b": -0.2}

    def ph(*off: tuple[str, float]) -> float:
        return 10 + sum(slopes[what] * by for what, by in off)

    assert worst_off(ph, [("a", 2), ("b", 3)]) == pytest.approx(0.8)
    assert worst_off(ph, []) == 0
    assert [tenths_up(each) for each in (0.5, 0.51, 0.6)] == [0.5, 0.6, 0.6]


def test_the_worse_side_of_an_uneven_ph_counts() -> None:
    def ph(*off: tuple[str, float]) -> float:
        by = sum(each for _, each in off)
        return 10 + by * (1 if by > 0 else 3)

    assert worst_off(ph, [("a", 0.1)]) == pytest.approx(0.3)


def test_uncertain_spoons_reach_the_ph() -> None:
    surely, loosely = recipe(SODA | {"amount": "30 g"}, TABLETS), recipe(SPOONS, TABLETS)
    sure, loose = surely.acidity(20), loosely.acidity(20)
    assert sure
    assert loose
    assert loose.ph == pytest.approx(sure.ph)
    assert loose.uncertainty > sure.uncertainty


def test_what_else_is_in_tablets_is_not_counted() -> None:
    said = acidity_words(recipe(SODA, TABLETS), 20)
    assert said.endswith("(within 0.5), not counting what else is in the ascorbic acid")
    pure = acidity_words(recipe(SODA, TABLETS | {"amount": "16 g"}), 20)
    assert "not counting" not in pure
    impure = recipe(SODA | {"of which": "90 %"}, TABLETS | {"amount": "16 g"})
    assert acidity_words(impure, 20).endswith(
        "what else is in the sodium carbonate anhydrous (90 % pure)"
    )


def test_goods_are_stirred_in_and_take_up_room() -> None:
    made = recipe(SODA, COFFEE)
    assert [*in_order(mixed(made), 0, 20, METRIC)][2] == (
        "Stir in 30 g of instant coffee until it has dissolved."
    )
    assert "at most" in acidity_words(made, 20)
    (found,) = faults(recipe(COFFEE | {"amount": "2 kg"}))  # 0.6 ml a gram are 1.2 l
    assert found.found == "with this, 1.2 l go into a batch of 1 l"


def drink(**more: str) -> dict[str, Any]:
    return {"in place of water": {"drink": "cold tea", **more}}


def test_a_drink_stands_in_for_all_the_water() -> None:
    """By hand: 40 g take up 24 ml of the litre, so that 976 ml are drink."""
    made = recipe(SODA, **drink(note="let it cool", **{"comes in": "330 ml"}))
    assert made.drink_ml == pytest.approx(976)
    assert [*in_order(mixed(made), 0, 20, METRIC)] == [
        "Cold tea: let it cool",
        "Begin with 750 ml of cold tea.",
        "It may foam: in an open vessel with room above, stir in 40 g of sodium carbonate anhydrous"
        " a little at a time until it has dissolved.",
        "Fill up with cold tea to 1 l.",
        "Let it come to 20.0 °C before you use it.",
    ]
    poured = mixed(made, 500).drink
    assert poured
    assert (poured.what, poured.volume_ml, poured.pack) == ("cold tea", pytest.approx(488), 330)
    steeped = mixed(recipe(SODA, {"plant": "mint", "amount": "20 g", "steep": "5 min"}, **drink()))
    assert steeped.drink
    assert steeped.drink.volume_ml == pytest.approx(976 + 60), "leaves keep three times their mass"
    assert mixed(recipe(SODA)).drink is None
    assert recipe(SODA).drink_ml == 0
    wine = {"liquid": "wine", "amount": "100 ml"}
    assert recipe(SODA, wine, **drink()).drink_ml == pytest.approx(876)


def test_a_drink_that_all_is_added_to() -> None:
    added = {"makes": None, "added_to": "1 l", "in_place_of_water": {"drink": "cold tea"}}
    whole = {"title": "R", "bath": "developer", "ingredients": [SODA], **added}
    assert Recipe.read(whole, None).drink_ml == pytest.approx(1000)
    made = recipe({"plant": "mint", "amount": "5 g", "steep": "5 min"}, **drink())
    assert "Steep 5 g of mint in 750 ml of cold tea for 5:00." in next(
        in_order(mixed(made), 0, 20, METRIC)
    )


def test_the_acid_that_a_drink_is_said_to_have_is_counted() -> None:
    """By hand: 0.5 g of citric acid (192.12 g/mol) in each 100 ml of 976 ml are 4.88 g."""
    made = recipe(SODA, **drink(acid="citric acid", strength="0.5 %"))
    assert made.parts()["citrate"] == pytest.approx(4.88 / 192.12, rel=1e-4)
    assert "at most" not in acidity_words(made, 20)
    assert not made.bottled
    assert recipe(SODA, **drink()).bottled
    (found,) = of_recipe(made, 20)
    assert found.found == "of cold tea, in place of the water, only the citric acid is counted"


@pytest.mark.parametrize(
    ("more", "said", "doubt"),
    [
        ({}, "lowered by unmeasured acids in cold tea", "what is in it is not known"),
        ({"pH": "4.9"}, "lowered by unmeasured acids in cold tea", "its pH of 4.9 does not tell"),
        ({"pH": "13"}, "not counting what else is in the cold tea", "its pH of 13 does not tell"),
    ],
)
def test_what_a_drink_leaves_unknown_is_said(more: dict[str, str], said: str, doubt: str) -> None:
    made = recipe(SODA, {"substance": "ascorbic acid", "amount": "16 g"}, **drink(**more))
    assert acidity_words(made, 20).endswith(said)
    assert doubt in next(of_recipe(made, 20)).found


def test_a_bath_of_which_nothing_is_known_has_no_ph() -> None:
    made = recipe(COFFEE, **drink())
    assert acidity_words(made, 20) == (
        "its pH cannot be estimated: what is in the cold tea and instant coffee is not known"
    )
    assert acidity_words(recipe(), 20) == ""
    assert acidity_words(recipe(COFFEE, bath="rinse"), 20) == ""


@pytest.mark.parametrize(
    ("name", "doubts"),
    [("table salt", 1), ("iodized salt", 1), ("Kitchen Salt", 1), ("sodium chloride", 0)],
)
def test_salt_from_the_kitchen_restrains_nobody_knows_how_much(name: str, doubts: int) -> None:
    form = form_named(name)
    found = [*of_mixture([(form, 5)], 1000, 20)]
    assert len(found) == doubts
    assert all("nobody can say beforehand" in each.found for each in found)
    assert ("iodide" in "".join(each.found for each in found)) == (name == "iodized salt")
    salted = recipe(SODA, {"substance": name, "amount": "5 g"})
    assert salted.parts()["chloride"] == pytest.approx(5 / 58.44, rel=1e-3)
