"""Cautions: each where it applies, said once, the same on every page that prints them."""

import json
from pathlib import Path
from typing import Any

import pytest
from click import Command
from click.testing import CliRunner

from darktimer import shipped
from darktimer.bench.cautions import LOCAL_CODES, cautions, of_the_baths, of_the_work
from darktimer.bench.recipe import Recipe
from darktimer.bench.recipe_lookup import recipes_of
from darktimer.bench.substances import FORMS
from darktimer.cli.check import command as check
from darktimer.cli.mix import command as mix
from darktimer.plan.reader import read_plan, read_plan_text

CLOSED = "{kind: spiral tank, light: closed, volume: 500 ml}"
OPEN = "{kind: tub, light: open, volume: 1 l}"


def plan(vessel: str = CLOSED, between: str = "stop"):
    text = (
        f"title: A\nvessel: {vessel}\nsteps:\n  - load: by hand\n"
        f"  - develop: 10 min\n    agitation: 1/2\n  - {between}: 1 min\n  - fix: 5 min\n"
    )
    return read_plan_text(text, Path("a.yaml")).plan


def of_forms(*names: str) -> str:
    """The cautions where only these forms are weighed, in an open tub, with a rinse."""
    return " ".join(of_the_baths(plan(OPEN, "rinse"), {}, [FORMS[name] for name in names]))


@pytest.mark.parametrize(
    ("form", "words"),
    [  # common practice, no source
        ("borax decahydrate", "may harm an unborn child"),
        ("sodium sulphite heptahydrate", "can set off asthma"),
        ("potassium bromide", "harms if swallowed"),
        ("ammonium thiosulphate", "sulphur dioxide from thiosulphate"),
        ("sodium hydroxide", "never water onto it"),
        ("potassium carbonate", "harms the eyes"),
        ("citric acid", "stings in eyes"),
    ],
)
def test_each_substance_has_its_usual_caution(form: str, words: str) -> None:
    assert words in of_forms(form)
    assert words not in of_forms("ascorbic acid") or "thiosulphate" in form  # the fix may hold it


def test_a_bottle_of_unknown_content_is_minded_as_a_bath_without_a_recipe_is() -> None:
    """T: a bought fixer whose recipe is so much concentrate holds thiosulphate all the same."""
    bought = Recipe.read(
        {
            "title": "Bottle",
            "bath": "fixer",
            "makes": "1 l",
            "ingredients": [{"liquid": "concentrate", "amount": "200 ml"}],
        },
        None,
    )
    told = " ".join(of_the_baths(plan(), {"fix": bought}))
    assert "sulphur dioxide from thiosulphate" in told


def test_a_drink_with_soda_is_minded_for_its_gas() -> None:
    made = Recipe.read(
        {
            "title": "Wine",
            "bath": "developer",
            "makes": "1 l",
            "ingredients": [
                {"liquid": "red wine", "amount": "500 ml"},
                {"substance": "sodium carbonate anhydrous", "amount": "40 g"},
            ],
        },
        None,
    )
    told = " ".join(of_the_baths(plan(OPEN, "rinse"), {"develop": made}))
    assert "Acid meeting carbonate foams: never seal that vessel." in told


def test_gas_in_a_lidded_tank_is_let_out_and_the_dark_is_kept() -> None:
    told = " ".join(of_the_baths(plan(), {}))
    assert "let it out of a lidded tank after the first turn, by the cap" in told
    assert "never open the light lid while the film needs the dark" in told
    for other in (plan(OPEN), plan(between="rinse")):
        assert "lidded" not in " ".join(of_the_baths(other, {}))


def test_soda_is_named_only_where_there_is_some() -> None:
    assert "harms the eyes" not in " ".join(cautions(plan(), {}))
    assert "Sodium carbonate anhydrous harms" in of_forms("sodium carbonate anhydrous")


def test_water_alone_needs_no_gloves() -> None:
    file = read_plan("load-and-soak")
    assert cautions(file.plan, {}) == [*of_the_work(file.plan), LOCAL_CODES]


def printed(command: Command, name: str) -> Any:
    return json.loads(CliRunner().invoke(command, [name, "--json"]).output)


@pytest.mark.parametrize("name", shipped.names("sequences"))
def test_every_page_says_the_same_once(name: str) -> None:
    """Sheet and plan; the sheet leaves out what concerns the dark alone."""
    (checked,) = printed(check, name)
    mixed = printed(mix, name)["cautions"]
    work = list(of_the_work(read_plan(name).plan))
    assert checked["cautions"] == [*mixed[:-1], *work, LOCAL_CODES]
    assert mixed[-1] == LOCAL_CODES
    assert len(set(checked["cautions"])) == len(checked["cautions"]) <= 13


def test_spent_baths_vessels_and_first_aid_are_never_left_out() -> None:
    file = read_plan("two-bath-develop")
    known = {n: each.recipe for n, each in recipes_of(file).items() if each.recipe}
    told = " ".join(cautions(file.plan, known))
    for words in (
        "Never mix spent baths",
        "Label every vessel; no drinks bottles; away from children and animals",
        "running water at once, then medical help",
        "Hot water scalds",
        "Spent fixer holds silver",
    ):
        assert told.count(words) == 1
