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


WITH_BATHS = [name for name in shipped.names("sequences") if read_plan(name).plan.in_baths]


@pytest.mark.parametrize("name", WITH_BATHS)
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


BLEACHED = """\
title: Reversed
film: {format: 8 mm type S, length: 50 ft}
vessel: {kind: tub, light: open, volume: 1 l, size: 15 x 20 cm}
temperature: 20 C
steps:
  - load: by hand
  - develop: 10 min
    agitation: continuous
  - rinse: 2 min
  - bleach: 6 min
    least: 5 min
  - rinse: 2 min
  - clearing bath: 2 min
  - rinse: 1 min
  - expose: 2 min
  - develop: 5 min
    agitation: continuous
  - fix: 5 min
"""
ACID = "Bleaches are strong acids and oxidisers: bought ready, used as their makers say"


def test_a_bleach_is_minded_before_all_else(tmp_path: Path) -> None:
    """T: never mixed with another bath; spent, it is kept apart."""
    path = tmp_path / "reversed.yaml"
    path.write_text(BLEACHED)
    told = cautions(read_plan(str(path)).plan, {})
    assert told[0].startswith(ACID)
    assert "never mixed with another bath, fresh or spent" in told[0]
    assert "sulphur dioxide from sulphite and thiosulphate" in " ".join(told)
    sheets = {bath["name"]: bath for bath in printed(mix, str(path))["baths"]}
    assert "Expose" not in sheets
    assert sheets["Bleach"]["recipe"] == ""
    (spent,) = sheets["Bleach"]["discard"]
    assert "keep it apart from all else" in spent
    assert ACID not in " ".join(cautions(plan(), {}))


def test_a_recipe_for_a_bleach_is_doubted(tmp_path: Path) -> None:
    path = tmp_path / "reversed.yaml"
    path.write_text(BLEACHED.replace("least: 5 min", "least: 5 min\n    bath: acid stop"))
    (checked,) = printed(check, str(path))
    found = [each["found"] for each in checked["warnings"]]
    assert any("makes another bath (stop) than Bleach calls for" in each for each in found)


def test_film_in_the_light_has_no_bath_that_drifts(tmp_path: Path) -> None:
    path = tmp_path / "reversed.yaml"
    path.write_text(BLEACHED.replace("20 C", "20 C\nroom: 5 C").replace("expose: 2", "expose: 90"))
    (checked,) = printed(check, str(path))
    place = BLEACHED.splitlines().index("  - expose: 2 min") + 2
    assert place not in [each["line"] for each in checked["warnings"]]
