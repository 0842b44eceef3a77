"""Recipes: what is refused and how it is said, and what a sound one holds."""

from pathlib import Path

import pytest

from darktimer import shipped
from darktimer.bench.acidity import HIGH_PH, LOW_PH
from darktimer.bench.recipe_lookup import (
    FOLDER,
    FoundRecipe,
    carried,
    read_recipe_file,
    recipes_of,
)
from darktimer.document import read_document
from darktimer.errors import FileError
from darktimer.plan.baths import bath_key
from darktimer.plan.formats import ROLL_M2
from darktimer.plan.reader import read_plan_file

BAD = sorted((Path(__file__).parent.parent / "bad_recipes").glob("*.yaml"))
PLAN = """\
title: Evening
film: {format: 120}
vessel: {kind: spiral tank, light: closed}
steps:
  - load: by hand
  - develop: 12 min
    bath: BATH
    agitation: continuous
"""


def test_there_are_at_least_forty_bad_ones() -> None:
    assert len(BAD) >= 40


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_a_bad_recipe_is_refused_as_its_first_line_says(path: Path) -> None:
    expected = path.read_text().splitlines()[0].removeprefix("# expects: ")
    with pytest.raises(FileError) as refusal:
        read_recipe_file(path)
    assert str(refusal.value) == f"{path}:{expected}"


@pytest.mark.parametrize("name", shipped.names(FOLDER))
def test_every_shipped_recipe_reads_and_says_that_it_is_untested(name: str) -> None:
    recipe = read_recipe_file(shipped.find(FOLDER, "recipe", name))
    assert "untested on film" in (recipe.about or "").lower()
    assert name == recipe.title.lower().replace(",", "").replace(" ", "-")


@pytest.mark.parametrize("name", shipped.names(FOLDER))
def test_no_shipped_developer_is_far_from_the_usual_ph(name: str) -> None:
    recipe = read_recipe_file(shipped.find(FOLDER, "recipe", name))
    if recipe.bath == "developer" and "carbonate" in recipe.parts():
        found = recipe.acidity(20)
        assert found is not None
        assert LOW_PH < found.ph < HIGH_PH
        assert found.unmeasured


def write(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.parent.mkdir(exist_ok=True)
    path.write_text(text)
    return path


def test_a_stock_is_weaker_in_the_bath(tmp_path: Path) -> None:
    text = (
        "title: Stock\nbath: stop\nmakes: 500 ml\ndilution: 1+4\nrolls per litre: 10\n"
        "ingredients:\n  - {substance: citric acid, amount: 96.0619 g}\n"
    )
    recipe = read_recipe_file(write(tmp_path, "stock.yaml", text))
    # Half a mole (192.1238 g/mol) in half a litre is 1 mol/l, and a fifth of that when diluted.
    assert recipe.parts()["citrate"] == pytest.approx(0.2, rel=1e-5)
    assert recipe.capacity_m2_per_l == pytest.approx(10 * ROLL_M2)


def test_vinegar_brings_its_acid(tmp_path: Path) -> None:
    text = (
        "title: Vinegar\nbath: stop\nmakes: 1 l\ningredients:\n"
        "  - {liquid: white vinegar, amount: 200 ml, acid: acetic acid, strength: 5 %}\n"
    )
    recipe = read_recipe_file(write(tmp_path, "vinegar.yaml", text))
    # 10 g of 60.052 g/mol. M: pH of 0.1665 mol/l acetic acid is sqrt(Ka c), about 2.77.
    assert recipe.parts()["acetate"] == pytest.approx(10 / 60.052, rel=1e-4)
    found = recipe.acidity(25)
    assert found is not None
    assert found.ph == pytest.approx(2.77, abs=0.03)


@pytest.mark.parametrize(
    ("bath", "title", "where"),
    [
        ("tea developer", "Tea developer", "shipped as tea-developer.yaml"),
        (
            "Rowan Leaf developer, thin",
            "Rowan leaf developer, thin",
            "shipped as rowan-leaf-developer-thin.yaml",
        ),
        ("mine", "Mine", "recipes/mine.yaml beside the plan"),
        ("a title of its own", "A title of its own", "recipes/17.yaml beside the plan"),
        ("other", "Other", "other.yaml beside the plan"),
        ("other.yaml", "Other", "other.yaml beside the plan"),
    ],
)
def test_a_bath_finds_its_recipe(bath: str, title: str, where: str, tmp_path: Path) -> None:
    rest = "\nbath: developer\nmakes: 1 l\ningredients:\n  - {substance: citric acid, amount: 1 g}"
    write(tmp_path, "recipes/mine.yaml", f"title: Mine{rest}")
    write(tmp_path, "recipes/17.yaml", f"title: A title of its own{rest}")
    write(tmp_path, "recipes/draft.yaml", "title: [a draft")
    write(tmp_path, "other.yaml", f"title: Other{rest}")
    plan = read_plan_file(write(tmp_path, "plan.yaml", PLAN.replace("BATH", bath)))
    found = recipes_of(plan)[bath_key(bath)]
    assert found.recipe is not None
    assert (found.recipe.title, found.where) == (title, where)


def test_a_bath_without_a_recipe_has_none(tmp_path: Path) -> None:
    plan = read_plan_file(write(tmp_path, "plan.yaml", PLAN.replace("BATH", "from the bottle")))
    assert recipes_of(plan) == {"from-the-bottle": FoundRecipe(None, "")}


def test_a_bath_whose_name_is_near_is_not_taken_for_another(tmp_path: Path) -> None:
    plan = read_plan_file(write(tmp_path, "plan.yaml", PLAN.replace("BATH", "nettle developer")))
    (found,) = recipes_of(plan).values()
    assert found == FoundRecipe(None, "did you mean 'Nettle leaf developer'?")
    text = PLAN.replace("BATH", "birch brew") + "recipes:\n  birch bru: {title: B, bath: stop}\n"
    (found,) = recipes_of(read_plan_file(write(tmp_path, "plan.yaml", text))).values()
    assert found == FoundRecipe(None, "did you mean 'birch bru'?")


@pytest.mark.parametrize("kind", ["developer", "Develop", "fixer", "stop"])
def test_a_kind_of_bath_is_no_slip_of_the_pen_for_one_of_that_kind(
    tmp_path: Path, kind: str
) -> None:
    plan = read_plan_file(write(tmp_path, "plan.yaml", PLAN.replace("BATH", kind)))
    assert recipes_of(plan) == {kind.lower(): FoundRecipe(None, "")}


def test_a_file_that_is_named_must_be_there(tmp_path: Path) -> None:
    plan = read_plan_file(write(tmp_path, "plan.yaml", PLAN.replace("BATH", "gone.yaml")))
    told = r":7:11: steps\[2\]\.bath: there is no such .* shipped: acid-stop"
    with pytest.raises(FileError, match=told):
        recipes_of(plan)


def test_a_draft_is_refused_once_a_bath_names_it(tmp_path: Path) -> None:
    write(tmp_path, "recipes/draft.yaml", "title: [a draft")
    plan = read_plan_file(write(tmp_path, "plan.yaml", PLAN.replace("BATH", "draft")))
    with pytest.raises(FileError, match=r"draft\.yaml"):
        recipes_of(plan)


@pytest.mark.parametrize("bath", ["mine", "My own brew"])
def test_a_plan_carries_the_recipe_of_a_bath(bath: str, tmp_path: Path) -> None:
    """By the name it is carried under or its title; before any that lies beside the plan."""
    body = "bath: developer, makes: 1 l, ingredients: [{substance: citric acid, amount: 1 g}]"
    write(tmp_path, "recipes/mine.yaml", "title: Another\nbath: stop\n")
    text = PLAN.replace("BATH", bath) + f"recipes:\n  mine: {{title: My own brew, {body}}}\n"
    found = recipes_of(read_plan_file(write(tmp_path, "plan.yaml", text)))[bath_key(bath)]
    assert found.recipe is not None
    assert (found.recipe.title, found.where) == ("My own brew", "in the plan itself")


def test_a_plan_carries_recipes_with_their_places(tmp_path: Path) -> None:
    text = (
        "title: Plan\nrecipes:\n  mine:\n    title: Mine\n    bath: stop\n    makes: 1 l\n"
        "    ingredients:\n      - {substance: citric acid, amount: 10 GRAMS}\n"
    )
    good = write(tmp_path, "good.yaml", text.replace("GRAMS", "g"))
    assert carried(read_document(good))["mine"].batch_ml == 1000
    bad = write(tmp_path, "bad.yaml", text.replace("GRAMS", "ml"))
    with pytest.raises(FileError, match=r":8:42: recipes\.mine\.ingredients\[1\]\.amount: '10 ml'"):
        carried(read_document(bad))
    unbatched = write(
        tmp_path, "none.yaml", text.replace("    makes: 1 l\n", "").replace("GRAMS", "g")
    )
    with pytest.raises(FileError, match=r":4:5: recipes\.mine: neither 'makes' nor 'added to'"):
        carried(read_document(unbatched))
