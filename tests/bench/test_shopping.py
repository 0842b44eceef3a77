"""What to buy for two plans, worked by hand, and what a cupboard may hold."""

from pathlib import Path
from typing import Any

import pytest

from darktimer.bench.bath_at_hand import BathAtHand
from darktimer.bench.bath_sheet import BenchOptions
from darktimer.bench.bench_error import BenchError
from darktimer.bench.recipe_lookup import recipes_of
from darktimer.bench.sheet import Sheet, bench_sheet
from darktimer.bench.shopping import InStock, Purchase, Shopping, in_stock, shopping
from darktimer.bench.substances import FORMS
from darktimer.bench.unit_system import METRIC
from darktimer.errors import UnreadableError
from darktimer.plan.reader import read_plan_file

# Amounts for one litre each.
RECIPES = """\
recipes:
  mint developer:
    title: Mint developer
    bath: developer
    makes: 1 l
    rolls per litre: 9
    ingredients:
      - {plant: dried mint, amount: 50 g, steep: 20 min, comes in: 25 g}
      - {substance: sodium carbonate anhydrous, amount: 40 g, comes in: 30 g}
      - {substance: ascorbic acid, amount: 20 x 500 mg, comes in: 4 g}
      - {substance: table salt, amount: 2 tsp of 5 g ± 1 g}
  trace bath:
    title: Trace bath
    bath: developer
    makes: 1 l
    ingredients:
      - {substance: potassium bromide, amount: 0.3 g}
      - {liquid: white vinegar, amount: 20 ml}
  soda bath:
    title: Soda bath
    bath: activator
    makes: 1 l
    use: again
    ingredients:
      - {substance: sodium carbonate anhydrous, amount: 30 g}
      - {liquid: white wine, amount: 100 ml, comes in: 330 ml}
  bottled fixer:
    title: Bottled fixer
    bath: fixer
    dilution: 1+9
    comes in: 250 ml
    rolls per litre: 9
"""
PLAN = """\
title: TITLE
film: {format: 135-36}
vessel: {kind: cylinder, light: closed, volume: VOLUME}
steps:
  - load: by hand
  - develop: 10 min
    bath: DEVELOPER
    agitation: 1/2
  - step: 2 min
    name: Alkali
    bath: soda bath
  - fix: 8 min
    bath: bottled fixer
  - wash: 2 min
    repeat: 10
"""


def sheet(
    folder: Path, title: str, volume: str, developer: str, recipes: str = RECIPES, **options: Any
) -> Sheet:
    path = folder / f"{title}.yaml"
    text = PLAN.replace("TITLE", title).replace("VOLUME", volume).replace("DEVELOPER", developer)
    path.write_text(text + recipes)
    file = read_plan_file(path)
    return bench_sheet(file.plan, recipes_of(file), BenchOptions(**options))


@pytest.fixture
def sheets(tmp_path: Path) -> list[Sheet]:
    return [
        sheet(tmp_path, "First", "600 ml", "mint developer"),
        sheet(tmp_path, "Second", "1 l", "mystery juice"),
    ]


def bought(made: Shopping) -> dict[str, tuple[float, int, float]]:
    """Needed, packs, left over."""
    return {
        line.what: (
            pytest.approx(line.needed),
            line.packs,
            pytest.approx(line.left_over, abs=1e-9),
        )
        for line in made.lines
    }


def test_the_list_for_two_plans(sheets: list[Sheet]) -> None:
    """By hand. First is 600 ml of each bath, second 1 l of soda bath and fixer.

    Mint: 0.6 x 50 = 30 g, two packs of 25, 20 left. Soda: 0.6 x 40 + 0.6 x 30 + 1 x 30 = 72 g,
    three packs of 30, 18 left. Tablets: 12 of 0.5 g, 6 g, two packs of 4, 2 left. Salt: 0.6 x
    10 = 6 g and 1.2 within are 7.2 g at most, loose. Wine: 60 + 100 = 160 ml, a bottle of 330,
    170 left. Fixer: a tenth of 600 ml and of 1 l, 160 ml, a bottle of 250, 90 left.
    """
    made = shopping(sheets, ())
    assert bought(made) == {
        "dried mint": (30, 2, 20),
        "sodium carbonate anhydrous": (72, 3, 18),
        "ascorbic acid tablets of 0.5 g": (6, 2, 2),
        "table salt": (7.2, 0, 0),
        "white wine": (160, 1, 170),
        "Bottled fixer": (160, 1, 90),
    }
    assert made.plans == ("First", "Second")
    assert made.notes == (
        "mystery juice, 1 l of it: no recipe is known, so its ingredients are not on the list.",
        "table salt: its amount is uncertain; the most that it may be is counted.",
        "soda bath is counted for each plan, though it may be used again.",
    )


def test_what_the_cupboard_holds_is_not_bought(sheets: list[Sheet]) -> None:
    """By hand: of 72 g of soda 50 are there, so that a pack of 30 is enough, and 8 are left."""
    held = [
        in_stock("Sodium carbonate, anhydrous = 20 g"),
        in_stock("soda ash=30 g"),
        in_stock("Dried Mint=31 g"),
        in_stock("ascorbic acid tablets of 0.5 g=4 x 500 mg"),
        in_stock("table salt=7.2 g"),
        in_stock("bottled fixer=0.1 l"),
    ]
    made = shopping(sheets, held)
    assert bought(made) == {
        "dried mint": (30, 0, 1),
        "sodium carbonate anhydrous": (72, 1, 8),
        "ascorbic acid tablets of 0.5 g": (6, 1, 0),
        "table salt": (7.2, 0, 0),
        "white wine": (160, 1, 170),
        "Bottled fixer": (160, 1, 190),
    }
    assert [line.to_buy for line in made.lines] == pytest.approx([0, 22, 4, 0, 160, 60])


SEASONS = """\
recipes:
  spring bath:
    title: Spring bath
    bath: developer
    makes: 1 l
    in place of water: {drink: black tea, comes in: 1 l}
    ingredients:
      - {plant: dried mint, amount: 40 g, steep: 20 min}
      - {substance: soda ash, amount: 30 g, comes in: ½ kg}
      - {substance: vitamin c, amount: 20 x 500 mg, of which: 400 mg, comes in: 30 x 500 mg}
  summer bath:
    title: Summer bath
    bath: developer
    makes: 1 l
    ingredients:
      - {goods: Black  Tea, amount: 20 g, comes in: 50 g}
      - {substance: sodium carbonate decahydrate, amount: 60 g}
      - {substance: ascorbic acid, amount: 10 g}
      - {substance: table salt, amount: 1 g}
  autumn bath:
    title: Autumn bath
    bath: developer
    makes: 1 l
    ingredients:
      - {liquid: Black tea, amount: 100 ml}
      - {goods: black tea, amount: 15 g}
      - {substance: "Sodium Carbonate, Anhydrous", amount: 2 tsp of 5 g ± 1 g, comes in: 250 g}
      - {substance: iodised salt, amount: 2 g}
  soda bath: {title: Ready stop, bath: activator, dilution: 1+0, comes in: 1 l}
  bottled fixer: {title: Bottled fixer, bath: fixer, dilution: 1+9, comes in: 250 ml}
"""


@pytest.fixture
def three(tmp_path: Path) -> list[Sheet]:
    seasons = {"Spring": "500 ml", "Summer": "1 l", "Autumn": "two of 750 ml"}
    return [
        sheet(tmp_path, title, volume, f"{title} bath", recipes=SEASONS)
        for title, volume in seasons.items()
    ]


def test_the_list_for_three_plans_that_share_what_they_need(three: list[Sheet]) -> None:
    """By hand, for 500 ml of the first, 1 l and 1.5 l.

    Tea to pour: a litre of the first holds 30 + 10 g of solids at 0.6 ml, so 976 ml of tea; of half
    of it 488 ml, 20 g of mint keep 60, and the third takes 1.5 x 100: 698 ml of a litre, 302 left.
    Tea to stir in, one thing however it is written: 20 + 1.5 x 15 = 42.5 g of 50.
    Anhydrous soda: 15 g and 1.5 x (10 + 2) = 33 g of 500. Tablets: ten, of a pack of thirty.
    Fixer: a tenth of 3 l, two bottles of 250 ml, 200 left. The stop is used as it is.
    """
    made = shopping(three, ())
    tablets = "ascorbic acid (80 % pure) tablets of 0.5 g"
    assert bought(made) == {
        "black tea": (698, 1, 302),
        "dried mint": (20, 0, 0),
        "sodium carbonate anhydrous": (33, 1, 467),
        tablets: (5, 1, 10),
        "Ready stop": (3000, 3, 0),
        "Bottled fixer": (300, 2, 200),
        "Black Tea": (42.5, 1, 7.5),
        "sodium carbonate decahydrate": (60, 0, 0),
        "ascorbic acid": (10, 0, 0),
        "table salt": (1, 0, 0),
        "iodised salt": (3, 0, 0),
    }
    (line,) = [each for each in made.lines if each.what == tablets]
    assert (line.said(5, METRIC), line.said(0.5, METRIC)) == ("10 tablets", "1 tablet")
    assert made.notes == (
        "sodium carbonate anhydrous comes in 500 g and in 250 g: counted in the first.",
        "sodium carbonate anhydrous: its amount is uncertain; the most that it may be is counted.",
    )
    assert made.plans == ("Spring", "Summer", "Autumn")
    stop, fixer, water = three[0].baths[1:]
    assert (stop.stock_ml, stop.water_ml) == (500, 0), (
        "what is bought ready is thinned with nothing"
    )
    assert (fixer.stock_ml, fixer.water_ml) == (50, 450)
    assert (water.stock_ml, water.water_ml, water.pack_ml) == (0, 0, None)


def test_a_cupboard_for_three_plans(three: list[Sheet]) -> None:
    """By hand: 8 tablets are there, so 2 are missing; of 3 tsp of 5 g within 1 g at least 12 g."""
    held = ("Vitamin C (80 % pure)=8 x 500 mg", "soda ash=3 tsp of 5 g ± 1 g", "BLACK TEA=40 g")
    made = shopping(three, [in_stock(each) for each in (*held, "black tea=698 ml")])
    lines = {(line.what, line.measure): line for line in made.lines}
    assert {key: line.to_buy for key, line in lines.items() if line.in_stock} == {
        ("black tea", "ml"): 0,
        ("Black Tea", "g"): pytest.approx(2.5),
        ("sodium carbonate anhydrous", "g"): pytest.approx(21),
        ("ascorbic acid (80 % pure) tablets of 0.5 g", "g"): pytest.approx(1),
    }


@pytest.mark.parametrize(
    ("held", "note"),
    [
        (
            "vitamin c=6 x 500 mg",
            "3 g of ascorbic acid tablets of 0.5 g in stock: not counted, since the list has"
            " ascorbic acid (80 % pure) tablets of 0.5 g; say",
        ),
        (
            "sodium chloride=20 g",
            "20 g of sodium chloride in stock: not counted, since it is another form; how far table"
            " salt holds fog back, and the picture with it, nobody can say beforehand. Say --have",
        ),
        (
            "borax decahydrate tablets=3 x 1 g",
            "3 g of borax decahydrate tablets of 1 g in stock: nothing here needs it.",
        ),
    ],
)
def test_what_is_like_it_and_another_thing_is_not_taken(
    held: str, note: str, three: list[Sheet]
) -> None:
    made = shopping(three, [in_stock(held)])
    assert made.notes[0].startswith(note)
    assert all(line.in_stock == 0 for line in made.lines)


def test_tablets_that_are_not_sure_are_bought_for_the_least_that_they_may_hold(
    tmp_path: Path,
) -> None:
    """By hand: twelve of 0.5 g within 0.1 g are 6 g, and for 1.2 g more three go with them."""
    unsure = RECIPES.replace("20 x 500 mg", "20 x 500 mg ± 100 mg")
    made = shopping([sheet(tmp_path, "A", "600 ml", "mint developer", recipes=unsure)], ())
    (line,) = [each for each in made.lines if "tablets" in each.what]
    assert (line.needed, line.to_buy) == (pytest.approx(7.2), pytest.approx(7.5))


def test_a_tablet_is_bought_whole() -> None:
    """By hand: nine and a half tablets of 0.5 g are ten, two packs of six, two over."""
    line = Purchase("x tablets of 0.5 g", "g", 4.75, tablet_g=0.5)
    assert (line.to_buy, line.packs, line.left_over) == (5, 0, 0.25)
    packed = Purchase("x tablets of 0.5 g", "g", 4.75, 3, tablet_g=0.5)
    assert (packed.packs, packed.left_over) == (2, 1.25)


@pytest.mark.parametrize(
    ("held", "note"),
    [
        (  # 286.14 of the one do the work of 105.99 of the other: 300 g that of 111.1 g
            "sodium carbonate decahydrate=300 g",
            "300 g of sodium carbonate decahydrate in stock: not counted, since it is another form;"
            " it does the work of 111.1 g of sodium carbonate anhydrous. Say --have 'sodium"
            " carbonate decahydrate' to weigh that form instead.",
        ),
        (
            "ascorbic acid=9 g",
            "9 g of ascorbic acid in stock: not counted, since the list has ascorbic acid tablets"
            " of 0.5 g; say 'ascorbic acid tablets of 0.5 g=...' if it is that.",
        ),
        ("baking soda=9 g", "9 g of baking soda in stock: nothing here needs it."),
        ("borax decahydrate=1 kg", "1000 g of borax decahydrate in stock: nothing here needs it."),
    ],
)
def test_another_form_is_never_silently_taken(held: str, note: str, sheets: list[Sheet]) -> None:
    made = shopping(sheets, [in_stock(held)])
    assert made.notes[0] == note
    assert bought(made) == bought(shopping(sheets, ()))


def test_a_form_that_is_weighed_instead_is_bought_loose(tmp_path: Path) -> None:
    """By hand: 42 g of anhydrous soda, for 600 ml, are 49.14 g of the monohydrate."""
    have = (FORMS["sodium carbonate monohydrate"],)
    made = shopping([sheet(tmp_path, "A", "600 ml", "mint developer", have=have)], ())
    (soda,) = [line for line in made.lines if "carbonate" in line.what]
    assert (soda.what, soda.packs) == ("sodium carbonate monohydrate", 0)
    assert soda.needed == pytest.approx(42 * 124.0038 / 105.9885, rel=1e-5)


def test_what_goes_into_a_stock_solution_is_bought(tmp_path: Path) -> None:
    """By hand: a scale of 1 g shows nothing of 0.3 g; 25 g within half a step are within 2 %."""
    made = shopping([sheet(tmp_path, "A", "1 l", "trace bath", scale_g=1)], ())
    lines = {line.what: line for line in made.lines}
    assert lines["potassium bromide"].needed == 25
    assert not any("counted" in note for note in made.notes), "one plan mixes its soda bath once"
    vinegar = lines["white vinegar"]
    assert (vinegar.to_buy, vinegar.packs, vinegar.left_over) == (pytest.approx(20), 0, 0)


def test_nothing_is_bought_for_a_bath_that_is_kept(tmp_path: Path) -> None:
    kept = (BathAtHand("bottled fixer", 700, 1.0),)
    made = shopping([sheet(tmp_path, "A", "600 ml", "mint developer", kept=kept)], ())
    assert "Bottled fixer" not in bought(made)
    assert made.notes[0] == "bottled fixer is kept and still good: nothing is bought for it."
    assert BathAtHand("b", 700, 1.0).after(0.25).left_m2 == 0.75
    assert BathAtHand("b", 700, None).after(0.25).left_m2 is None


@pytest.mark.parametrize(
    ("held", "said"),
    [
        ("dried mynt=3 g", "nothing here is called 'dried mynt'; did you mean 'dried mint'?"),
        ("plutonium=3 g", "nothing here is called 'plutonium'; allowed are dried mint,"),
        ("dried mint=30 ml", "dried mint is weighed, and this is a volume; write it in g"),
        ("white wine=30 g", "white wine is poured, and this is a mass; write it in ml"),
        ("washing soda=30 g", "washing soda: the name may mean several forms; write one of"),
    ],
)
def test_what_nobody_can_take_from_a_cupboard(held: str, said: str, sheets: list[Sheet]) -> None:
    with pytest.raises(BenchError) as refusal:
        shopping(sheets, [in_stock(held)])
    assert said in str(refusal.value)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("", "'' is not a name and an amount; write such as"),
        ("soda", "'soda' is not a name and an amount"),
        ("=3 g", "'=3 g' is not a name and an amount"),
        ("soda=", "nothing is written"),
        ("soda=0 g", "'0 g' is not above zero"),
        ("soda=0 ml", "'0 ml' is not above zero"),
        ("soda=3", "'3' has no unit"),
        ("soda=2 tsp", "spoons differ"),
    ],
)
def test_what_is_no_amount_in_stock(text: str, found: str) -> None:
    with pytest.raises(UnreadableError) as refusal:
        in_stock(text)
    assert found in str(refusal.value)


def test_amounts_in_stock() -> None:
    assert in_stock(" a = b = 2 l ") == InStock("a = b", 2000, "ml")
    assert in_stock("x=3 x 500 mg") == InStock("x tablets of 0.5 g", 1.5, "g")
    assert in_stock("x tablets=3 x 500 mg") == in_stock("x tablets of 0.5 g=3 x 500 mg")
    assert in_stock("x tablets=3 x 500 mg") == in_stock("x=3 x 500 mg")
    assert in_stock("x=½ tsp of 4 g ± 1 g") == InStock("x", 1.5, "g"), "the least that it may be"


def test_a_pack_that_is_met_exactly_is_enough() -> None:
    line = Purchase("x", "g", 0.3, 0.1)
    assert (line.packs, line.left_over) == (3, pytest.approx(0, abs=1e-9))
    assert Purchase("x", "g", 0.301, 0.1).packs == 4
    hair = Purchase("x", "g", 0.3 + 1e-12, 0.1)
    assert (hair.packs, hair.left_over) == (3, 0)
    assert (Purchase("x", "g", 5).packs, Purchase("x", "g", 5).left_over) == (0, 0)
    assert Purchase("x", "g", 5, None, 7).left_over == 2
    assert (line.said(2, METRIC), Purchase("x", "ml", 1).said(2, METRIC)) == ("2 g", "2 ml")
