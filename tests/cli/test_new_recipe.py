"""``darktimer new --recipe``: a recipe of one's own, without fault, or nothing at all."""

import json
import os
from pathlib import Path

import pytest

from darktimer.bench.recipe_lookup import read_recipe_file
from darktimer.prepare.recipe_drafting import KINDS, QUESTIONS
from tests.cli.conftest import Run


@pytest.mark.parametrize(
    ("asked", "answer", "meant"),
    [
        ("alkali", "crystals", "decahydrate"),
        ("alkali", "Fine powder", "anhydrous"),
        ("crystals", "crystals", "pentahydrate"),
        ("crystals", "powder", "anhydrous"),
        ("keeps", "no idea", "unknown"),
        ("rolls", "Don't know", "unknown"),
    ],
)
def test_the_words_of_a_question_answer_it(asked: str, answer: str, meant: str) -> None:
    assert QUESTIONS[asked].meant(answer) == meant


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_usual_is_a_recipe_without_fault_or_warning(run: Run, tmp_path, kind) -> None:
    path = tmp_path / "mine.yaml"
    assert run("new", "--recipe", path, "--no-questions", "--kind", kind).status == 0
    assert "untested on film" in (read_recipe_file(path).about or "")
    (report,) = json.loads(run("check", path, "--json").out)
    assert (report["faults"], report["recipe"]) == ([], str(path))
    found = [each["found"] for each in report["warnings"]]
    # Nobody but its maker knows what a bottle can do; the warning asks for it.
    assert found == (["the recipe gives no capacity"] if kind == "bottle" else [])


def test_a_developer_of_kitchen_goods(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    answers = ("--title", "Mint tea", "--plant", "dried mint", "--makes", "half a litre")
    amounts = ("--plant-amount", "20 g", "--alkali", "decahydrate", "--alkali-amount", "55 g")
    ran = run("new", "--recipe", path, "--no-questions", *answers, *amounts)
    assert ran.status == 0
    recipe = read_recipe_file(path)
    assert (recipe.title, recipe.bath, recipe.makes) == ("Mint tea", "developer", 500)
    plant, alkali, acid = recipe.ingredients
    assert (plant.plant, plant.amount.g) == ("dried mint", 20)  # type: ignore[union-attr]
    assert alkali.substance.name == "sodium carbonate decahydrate"  # type: ignore[union-attr]
    assert alkali.amount.g == 55
    assert acid.substance.name == "ascorbic acid"  # type: ignore[union-attr]
    assert "estimated pH" in ran.out
    assert "bath: Mint tea" in ran.out


def test_usual_amounts_follow_what_is_made_and_the_form_of_the_soda(run: Run, tmp_path) -> None:
    """Molar masses: CRC handbook, Na2CO3 105.99, with ten waters 286.14 g/mol."""
    grams = {}
    for form in ("anhydrous", "decahydrate"):
        path = tmp_path / f"{form}.yaml"
        run("new", "--recipe", path, "--no-questions", "--alkali", form, "--makes", "2 l")
        grams[form] = read_recipe_file(path).ingredients[1].amount.g
    assert grams["decahydrate"] / grams["anhydrous"] == pytest.approx(286.14 / 105.99, rel=0.02)


def test_a_bought_concentrate_by_its_dilution(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    answers = ("--title", "Bottle", "--bath", "developer", "--dilution", "1+9", "--rolls", "12")
    assert run("new", "--recipe", path, "--no-questions", "--kind", "bottle", *answers).status == 0
    recipe = read_recipe_file(path)
    assert (recipe.bath, recipe.dilution, recipe.rolls_per_litre) == ("developer", (1, 9), 12)
    assert recipe.ingredients == ()


def test_it_lies_where_a_plan_beside_it_finds_it(run: Run, tmp_path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert run("new", "--recipe", "--no-questions", "--title", "Mint tea").status == 0
    assert os.listdir(tmp_path / "recipes") == ["my-recipe.yaml"]
    written = run("new", "--no-questions", "--developer", "Mint tea", "--volume", "500 ml")
    assert written.status == 0
    assert "recipes/my-recipe.yaml beside the plan" in run("mix", "my-plan.yaml").out


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        ("--kind=soup", "'soup' is none of these; allowed are kitchen, bottle, fixer"),
        ("--plant-amount=2 cups", "'2 cups' is not a mass: spoons differ; weigh a few, and write"),
        ("--plant-amount=45", "'45' has no unit; write 45 g if a scale in grams showed that"),
        ("--acid-amount=8,5", "'8.5' has no unit; write 8.5 g if a scale"),
        ("--alkali=borax", "'borax' is none of these; allowed are"),
        ("--makes=1 cup", "write a volume such as 500 ml"),
        ("--film=120", "--film is asked for a plan; leave out --recipe"),
        ("--dilution=1+9", "--dilution is not asked for a recipe of this kind, kitchen"),
    ],
)
def test_an_answer_that_does_not_fit_is_named_with_its_remedy(run: Run, tmp_path, answer, said):
    ran = run("new", "--recipe", tmp_path / "mine.yaml", "--no-questions", answer)
    assert (ran.status, os.listdir(tmp_path)) == (2, [])
    assert said in " ".join(ran.err.split())


def test_an_answer_for_a_recipe_is_refused_for_a_plan(run: Run, tmp_path: Path) -> None:
    ran = run("new", tmp_path / "mine.yaml", "--no-questions", "--kind", "bottle")
    assert ran.status == 2
    assert "--kind is asked for a recipe; add --recipe" in ran.err


def test_every_question_is_asked_for_some_kind() -> None:
    assert set(QUESTIONS) == {"kind", *(key for keys in KINDS.values() for key in keys)}


def test_a_name_without_a_recipe_is_told_of_with_what_to_do(run: Run, tmp_path: Path) -> None:
    told = json.loads(run("new", tmp_path / "a.yaml", "--developer", "grandma soup", "--json").out)[
        "notes"
    ]
    assert told == [
        "No recipe is called grandma soup. Mix it as its label says, or write one of that title: "
        "darktimer new --recipe"
    ]
    page = " ".join(
        run("new", tmp_path / "b.yaml", "--developer", "tea develper", "--no-questions").out.split()
    )
    assert "No recipe is called tea develper. Did you mean 'Tea developer'? Else mix it" in page
    known = run("new", tmp_path / "c.yaml", "--developer", "tea developer", "--json").out
    assert json.loads(known)["notes"] == []
    assert json.loads(run("new", tmp_path / "d.yaml", "--json").out)["notes"] == []
