"""``darktimer check`` of a recipe: as careful as with a plan."""

import json
from pathlib import Path

import pytest

from darktimer import shipped
from darktimer.bench.recipe_lookup import FOLDER
from tests.cli.conftest import Run

THIN = """\
title: Thin nettle developer
about: Invented for demonstration; untested on film.
bath: developer
makes: 500 ml
dilution: 1+1
use: once
keeps: 2 hours
rolls per litre: 2
ingredients:
  - {plant: dried nettle leaf, amount: 25 g, at: 90 C, steep: 30 min}
  - {substance: sodium carbonate monohydrate, amount: 25 g}
  - {substance: ascorbic acid, amount: 4.5 g}
"""
BAD = sorted((Path(__file__).parent.parent / "bad_recipes").glob("*.yaml"))


@pytest.fixture
def thin(tmp_path: Path) -> Path:
    path = tmp_path / "thin.yaml"
    path.write_text(THIN)
    return path


def test_a_recipe_is_told_from_a_plan_and_says_what_it_makes(run: Run, thin: Path) -> None:
    ran = run("check", thin)
    assert (ran.status, ran.err) == (0, "")
    assert "Thin nettle developer: no faults found" in ran.out
    assert "500 ml, used 1+1: 1 l of developer" in ran.out
    assert "use it once; keeps 2 h; 2 rolls a litre" in ran.out
    assert "estimated pH at most 10" in ran.out
    assert "Hot water scalds" in ran.out
    assert "Sodium carbonate monohydrate harms the eyes" in ran.out
    assert "take precedence over all this" in ran.out


def test_a_bottle_is_a_recipe(run: Run, tmp_path: Path) -> None:
    """1+4: a litre of the concentrate makes five; what is in a bottle is taken for the worst."""
    path = tmp_path / "bottle.yaml"
    path.write_text("title: Bottled fixer\nbath: fixer\ndilution: 1+4\nrolls per litre: 10\n")
    ran = run("check", path)
    assert (ran.status, ran.err) == (0, "")
    assert "A litre of the concentrate, used 1+4: 5 l of fixer." in ran.out
    assert "Acid frees choking sulphur dioxide from thiosulphate" in ran.out


def test_a_script_is_told_the_same(run: Run, thin: Path) -> None:
    (report,) = json.loads(run("check", thin, "--json").out)
    assert (report["recipe"], report["faults"]) == (str(thin), [])
    assert (report["bath"], report["working_ml"], report["keeps_hours"]) == ("developer", 1000, 2)
    assert "estimated pH at most 10" in report["acidity"]
    assert any("scalds" in caution for caution in report["cautions"])


def test_what_is_doubtful_is_named_with_its_place(run: Run, thin: Path) -> None:
    thin.write_text(
        THIN.replace("rolls per litre: 2\n", "").replace("amount: 25 g}", "amount: 1 g}")
    )
    (report,) = json.loads(run("check", thin, "--json").out)
    found = [each["found"] for each in report["warnings"]]
    assert "the recipe gives no capacity" in found
    assert any("too low for a carbonate developer" in each for each in found)
    assert f"{thin}:1:1: the recipe gives no capacity; " in " ".join(run("check", thin).out.split())


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_a_bad_recipe_is_refused_with_place_value_and_remedy(run: Run, path: Path) -> None:
    expected = path.read_text().splitlines()[0].removeprefix("# expects: ")
    ran = run("check", path)
    assert (ran.status, ran.out) == (1, "")
    assert ran.err.splitlines()[0] == f"{path}:{expected}"


@pytest.mark.parametrize("name", shipped.names(FOLDER))
def test_a_shipped_recipe_is_found_by_its_name(run: Run, name: str) -> None:
    (report,) = json.loads(run("check", name, "--json").out)
    assert (report["recipe"], report["faults"]) == (name, [])
    # Of a drink and of salt there is always something that nobody knows.
    told = [warning["found"].split(",")[0][:30] for warning in report["warnings"]]
    unknown = ["cold fennel tea stands in for ", "how far table salt holds fog b"]
    assert told == (unknown if name == "cupboard-developer" else [])
    assert report["cautions"]


def test_plans_and_recipes_are_checked_together(run: Run, thin: Path) -> None:
    ran = run("check", "open-tub-half-agitation", thin, "--json")
    assert [*map(list, json.loads(ran.out))][1][0] == "recipe"


@pytest.mark.parametrize(
    ("text", "kind"),
    [("title: A\nbath: soup\n", "recipe"), ("title: A\nsteps: []\n", "plan"), ("a: [", "plan")],
)
def test_a_faulty_file_is_called_what_it_is(run: Run, tmp_path: Path, text: str, kind: str) -> None:
    path = tmp_path / "it.yaml"
    path.write_text(text)
    (report,) = json.loads(run("check", path, "--json").out)
    assert report[kind] == str(path)
    assert report["faults"]
