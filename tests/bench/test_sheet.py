"""The bench sheet as a command: every shipped plan, every option, every refusal."""

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from darktimer import shipped
from darktimer.cli.mix import command
from darktimer.errors import DarktimerError
from darktimer.plan.reader import read_plan

PLAN = """\
title: Evening
film: {format: 120, count: 2}
vessel: {kind: spiral tank, light: closed}
temperature: 18 C
room: 24 C
steps:
  - load: by hand
  - develop: 12 min
    bath: tea developer
    agitation: continuous
  - stop: 1 min
    bath: acid stop
  - fix: 8 min
    bath: plain fixer
  - wash: 2 min
    repeat: 3
"""


def mix(*arguments: str) -> Result:
    return CliRunner().invoke(command, arguments)


@pytest.fixture
def plan(tmp_path: Path) -> str:
    path = tmp_path / "plan.yaml"
    path.write_text(PLAN)
    return str(path)


WITH_BATHS = [name for name in shipped.names("sequences") if read_plan(name).plan.in_baths]


@pytest.mark.parametrize("name", WITH_BATHS)
def test_every_shipped_plan_has_a_sheet(name: str) -> None:
    printed = mix(name)
    assert printed.exit_code == 0, printed.exception
    assert "local codes take precedence over all this" in printed.output
    assert "-0.0 %" not in printed.output
    assert json.loads(mix(name, "--json").output)["baths"]


def test_the_sheet_of_an_evening(plan: str) -> None:
    text = " ".join(mix(plan).output.split())
    for words in (
        "2 x 120: 0.1000 m2",
        "Begin with 750 ml of water.",
        "Cover the film with 1 l (spiral tank)",
        "measure it: fill with water over the empty reels",
        "34 g sodium carbonate anhydrous",
        "estimated pH",
        "lowered by unmeasured acids in",
        "use it once; keeps 1 h",
        "It foams: in an open vessel with room above, stir in",
        "let it out of a lidded tank after the first turn",
        "Acid frees choking sulphur dioxide from thiosulphate",
        "Spent fixer holds silver",
        "water: 3 l",
        "is a guess (an activation energy of 60 kJ/mol): make a test",
        "3 changes of water ideal mixing leaves",
    ):
        assert words in text


def test_film_by_length(plan: str) -> None:
    """C: 100 ft of 16 mm are 0.4862 m2; T: in a bucket about 4 l, which may not cover."""
    text = PLAN.replace("120, count: 2", "16 mm, length: 100 ft").replace("spiral tank", "bucket")
    Path(plan).write_text(text)
    printed = " ".join(mix(plan).output.split())
    assert "0.4862 m2" in printed
    assert "Cover the film with 4 l (tub with coiled film)" in printed
    assert "may still stand out of the bath" in printed


def test_measures(plan: str) -> None:
    us = " ".join(mix(plan, "--measures", "US").output.split())
    assert "1.06 US quart" in us
    assert "64.4 °F" in us
    imperial = " ".join(mix(plan, "--measures", "imperial").output.split())
    assert "1.76 imperial pint" in imperial
    assert "avoirdupois oz" in imperial


@pytest.mark.parametrize("reading", ["19 C after 20 min", "19 after 20 min"])
def test_json_is_in_plain_units(plan: str, reading: str) -> None:
    made = json.loads(mix(plan, "--json", "--reading", reading).output)
    assert made["cover_ml"] == 1000
    assert made["baths"][0]["items"][1]["mass_g"] == pytest.approx(34)
    assert made["times"][0]["planned_ms"] == 720_000
    assert made["times"][0]["drifting"]["time_ms"] < 720_000
    assert made["times"][0]["drifting"]["ignored"] > 0


def test_a_coarse_scale_is_cautioned_in_its_place(plan: str) -> None:
    text = " ".join(mix(plan, "--scale", "2.5 g").output.split())
    assert "until it has dissolved. A scale that steps by 2.5 g is" in text
    assert "off here: dissolve 62.5 g in water to make 1 l, and use" in text


DOSED = """\
title: Dosed
bath: developer
makes: 1 l
ingredients:
  - {plant: dried mint, amount: 0.3 g, steep: 10 min}
  - {substance: potassium bromide, amount: 0.3 g}
  - {substance: sodium carbonate anhydrous, amount: 40 g}
"""


def test_a_dose_that_no_scale_shows_is_doubtful_with_the_remedy(plan: str) -> None:
    (Path(plan).parent / "dosed.yaml").write_text(DOSED)
    Path(plan).write_text(PLAN.replace("tea developer", "dosed"))
    text = " ".join(mix(plan, "--scale", "1 g").output.split())
    assert "0 g " not in text.replace("40 g ", "")
    assert "potassium bromide: 0.3 g is below half a step of the scale, 1 g: dissolve 25 g" in text
    assert "Dissolve 25 g of potassium bromide in water to make 1 l, and stir in 12 ml" in text
    assert "dried mint: 0.3 g is below half a step of the scale, 1 g: take a finer scale" in text
    item = json.loads(mix(plan, "--scale", "1 g", "--json").output)["baths"][0]["items"][1]
    assert (item["mass_g"], item["shown_g"]) == (0.3, None)


def test_nobody_is_told_to_dissolve_a_leaf(plan: str) -> None:
    text = " ".join(mix(plan, "--scale", "7 g").output.split())
    steeped = text[text.index("Steep") : text.index("Stir in")]
    assert "A scale that steps by 7 g is" in steeped
    assert "issolve" not in steeped


def test_two_forms_at_hand_share_the_work(plan: str) -> None:
    """By hand: half of the recipe's soda as each, 105.989, 286.141 and 138.206 g/mol."""
    crystals, potash = "sodium carbonate decahydrate", "potassium carbonate"
    soda_g = json.loads(mix(plan, "--json").output)["baths"][0]["items"][1]["mass_g"]
    shared = mix(plan, "--have", crystals, "--have", potash, "--json")
    items = json.loads(shared.output)["baths"][0]["items"]
    assert [item["what"] for item in items[1:3]] == [crystals, potash]
    assert items[1]["mass_g"] == pytest.approx(soda_g / 2 / 105.9885 * 286.1414, rel=1e-5)
    assert items[2]["mass_g"] == pytest.approx(soda_g / 2 / 105.9885 * 138.2056, rel=1e-5)
    own = mix(plan, "--have", crystals, "--have", "sodium carbonate anhydrous", "--json")
    items = json.loads(own.output)["baths"][0]["items"]
    assert items[2]["mass_g"] == pytest.approx(soda_g / 2)


def test_a_drifting_bath(plan: str) -> None:
    text = " ".join(mix(plan, "--reading", "19 C after 20 min").output.split())
    assert "in the bath as it drifts: 11:" in text


@pytest.mark.parametrize("gone", ["room: 24 C\n", "temperature: 18 C\n"])
def test_a_reading_that_tells_nothing_is_refused(plan: str, gone: str) -> None:
    Path(plan).write_text(PLAN.replace(gone, ""))
    refused = mix(plan, "--reading", "19 C after 20 min")
    assert isinstance(refused.exception, DarktimerError)
    assert "and a reading needs it; add" in str(refused.exception)
    assert mix(plan).exit_code == 0


CARRIED = """\
title: Strong
bath: developer
makes: 1 l
temperature: 30 C
cautions: [Mind the cat.]
ingredients:
  - {substance: sodium carbonate anhydrous, amount: 250 g}
  - {substance: baking soda, amount: 5 g}
"""


def test_a_recipe_of_ones_own(plan: str) -> None:
    """Its cautions are printed; what dissolves at 30 C may not at 18; its baking soda is its."""
    recipes = Path(plan).parent / "recipes"
    recipes.mkdir()
    (recipes / "strong.yaml").write_text(CARRIED)
    Path(plan).write_text(PLAN.replace("tea developer", "strong"))
    text = " ".join(mix(plan, "--have", "baking soda").output.split())
    assert "Mind the cat." in text
    assert "250 g/l of sodium carbonate anhydrous do not dissolve at 18.0 °C" in text
    assert "the recipe gives no capacity" in text


def test_a_recipe_for_another_kind_of_bath_is_doubtful(plan: str) -> None:
    Path(plan).write_text(PLAN.replace("bath: plain fixer", "bath: alkali"))
    printed = " ".join(mix(plan).output.split())
    assert "Alkali makes another bath (activator) than Fix calls for" in printed
    assert "makes another bath" not in " ".join(mix("two-bath-develop").output.split())


def test_baths_without_a_recipe_leave_no_caution_out(plan: str) -> None:
    text = PLAN.replace("acid stop", "from a bottle").replace("plain fixer", "from another")
    Path(plan).write_text(text)
    printed = " ".join(mix(plan).output.split())
    assert printed.count("no recipe is known for it") == 2
    assert "Strong acetic acid burns" in printed
    assert "Acid frees choking sulphur dioxide" in printed
    assert "Spent fixer holds silver" in printed


def test_a_spared_acid_no_longer_foams(plan: str) -> None:
    text = " ".join(mix(plan, "--have", "sodium ascorbate").output.split())
    assert "It foams" not in text
    assert "alkali that the other form does not use up" in text


def test_what_the_acid_leaves_is_said_in_the_form_at_hand(plan: str) -> None:
    """By hand: 8 g of acid are 45.423 mmol; 34 g of soda are 320.79 mmol, so 275.37 are left.

    As crystals of 286.141 g/mol that is 13.00 g neutralised, and 78.79 g left.
    """
    made = json.loads(mix(plan, "--have", "sodium carbonate decahydrate", "--json").output)
    after = made["baths"][0]["after_acid"]
    assert after["form"] == "sodium carbonate decahydrate"
    assert after["neutralised_g"] == pytest.approx(13.00, abs=0.01)
    assert after["left_g"] == pytest.approx(78.79, abs=0.01)


def test_a_sheet_of_the_us_has_no_other_measures(plan: str) -> None:
    """By hand: 34 g of soda are 1.199 avoirdupois oz of 28.3495 g, 45 g of tea 1.587."""
    text = mix(plan, "--measures", "US").output
    assert "1.199 avoirdupois oz" in text
    assert "1.587 avoirdupois oz" in text
    assert not re.search(r"\d (g|kg|ml|l|mm|cm|m)\b|°C|\\bg/", text)


def test_a_sheet_says_nothing_twice(plan: str) -> None:
    text = " ".join(mix(plan).output.split())
    for once in (
        "Invented for demonstration; untested",
        "Discard as local rules say",
        "Instead of",
    ):
        assert text.count(once) <= 1, once
    for never in ("to cover the film, ", "Off by", "Instead of", "mmol"):
        assert never not in text


def test_what_is_off_or_replaced_has_its_column(plan: str) -> None:
    """By hand: half of 2 g is off, 45 g of tea on a scale of 2 g are 44 or 46, 2.2 %."""
    off = " ".join(mix(plan, "--scale", "2 g").output.split())
    assert "Weigh or pour Of Off by 44 g dry black tea -2.2 %" in off
    other = " ".join(mix(plan, "--have", "potassium carbonate").output.split())
    assert "Weigh or pour Of Off by Instead of" in other
    fixer = ("--have", "sodium thiosulphate anhydrous")
    text = " ".join(mix(plan, *fixer).output.split())
    assert "144 g sodium thiosulphate anhydrous sodium thiosulphate pentahydrate" in text


@pytest.mark.parametrize("name", shipped.names("sequences"))
def test_a_bath_fits_on_a_page_of_a_terminal(name: str) -> None:
    """Each part of a sheet, by its blank lines, in 24 lines of 80."""
    assert all(len(part.splitlines()) <= 24 for part in mix(name).output.split("\n\n"))


def test_what_to_bake_is_for_tonight_and_not_for_the_batch(plan: str) -> None:
    """By hand: two litres take 68 g of soda, from 2 x 84.007 / 105.989 as much baking soda."""
    Path(plan).write_text(PLAN.replace("count: 2", "count: 4"))
    refused = str(mix(plan, "--have", "baking soda").exception)
    assert "bake 107.8 g of baking soda" in refused
    assert "use all 68.0 g that remain" in refused


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--have", "baking soda"), "baking soda does not replace it"),
        (("--have", "potassium bromide"), "leave it out of what you have"),
        (("--reading", "17 C after 20 min"), "nearer to the room"),
    ],
)
def test_what_the_bench_refuses(plan: str, arguments: tuple[str, ...], words: str) -> None:
    refused = mix(plan, *arguments)
    assert isinstance(refused.exception, DarktimerError)
    assert words in str(refused.exception)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--have", "washing soda"), "may mean several forms"),
        (("--scale", "0 g"), "is not above zero"),
        (("--container", "32 oz"), "ambiguous"),
        (("--reading", "22 C"), "such as 22 C after 10 min"),
        (("--measures", "troy"), "troy"),
    ],
)
def test_wrong_usage(plan: str, arguments: tuple[str, ...], words: str) -> None:
    refused = mix(plan, *arguments)
    assert refused.exit_code == 2
    assert words in " ".join(refused.output.replace("│", " ").split())


@pytest.mark.parametrize(
    ("gone", "words"),
    [
        ("film: {format: 120, count: 2}\n", "the film is missing"),
        ("kind: spiral tank, light: closed", "how much bath covers the film is missing"),
    ],
)
def test_a_plan_that_does_not_say_enough(plan: str, gone: str, words: str) -> None:
    other = "kind: tray, light: closed" if "kind" in gone else ""
    Path(plan).write_text(PLAN.replace(gone, other))
    refused = mix(plan)
    assert isinstance(refused.exception, DarktimerError)
    assert words in str(refused.exception)
    assert str(refused.exception).startswith(f"{plan}:")


def test_a_developer_mixed_cold_is_told_its_temperature_too() -> None:
    """T: what a time is written for; soda warms the water that it dissolves in."""
    text = mix("two-bath-develop").output
    assert text.count("Let it come to 21.0 °C before you use it.") == 3, "two baths, and the fixer"


def test_running_water_is_no_fill_to_measure() -> None:
    """One owner of the name, so that sheet, card and journal tell the two waters apart."""
    baths = {bath["name"]: bath for bath in json.loads(mix("long-stand", "--json").output)["baths"]}
    assert (baths["water"]["steps"], baths["water"]["fills"]) == (["Soak", "Rinse"], 2)
    assert (baths["running water"]["steps"], baths["running water"]["fills"]) == (["Wash"], 1)
    assert (
        "no recipe is known for it" not in mix("long-stand").output.split("running water")[1][:90]
    )


def test_what_check_refuses_has_no_sheet(tmp_path: Path) -> None:
    """Turns that run into the drain: a plan that cannot be carried out is not worth mixing for."""
    path = tmp_path / "plan.yaml"
    turns = "{inversions: 3, within: 10 s, at: [11:45]}"
    path.write_text(PLAN.replace("agitation: continuous", f"agitation: {turns}"))
    refused = mix(str(path))
    assert isinstance(refused.exception, DarktimerError)
    assert "run into the drain" in str(refused.exception)


def test_motion_picture_film_is_told_by_its_length() -> None:
    """C: 80 ft are 24.384 m; the card says so too."""
    assert (
        "24.4 m of 16 mm: 0.3889 m2, as much as 7.54 rolls" in mix("bucket-motion-picture").output
    )


METRIC_UNITS = r"(?<![\w(])[\d.]+ (?:m?l|m2?|cm|g/\w+|mmol/l|°?C)\b"


@pytest.mark.parametrize("name", WITH_BATHS)
def test_a_sheet_in_us_measures_has_no_metric_ones(name: str) -> None:
    """Grams stay beside the ounces, since it is grams that scales show."""
    page = mix(name, "--measures", "US").output
    assert re.findall(METRIC_UNITS, mix(name).output)
    assert re.findall(METRIC_UNITS, page) == []
    assert "sq in" in page


BOTTLE = """\
title: From a bottle
film: {format: 135-36, count: 1}
vessel: {kind: tub, light: open, volume: 1 l}
steps:
  - load: by hand
  - develop: 15 min
    agitation: 1/2
  - stop: 1 min
    bath: bottled stop
  - fix: 8 min
    bath: bottled fixer
recipes:
  bottled stop: {title: Bottled stop, bath: stop, dilution: 1+19, rolls per litre: 10}
  bottled fixer: {title: Bottled fixer, bath: fixer, dilution: 1+4, rolls per litre: 10}
"""


def test_a_bottle_is_a_recipe_by_its_dilution_alone(tmp_path: Path) -> None:
    """1+4 is one part in five; what is in a bottle nobody knows, so the cautions take the worst."""
    path = tmp_path / "plan.yaml"
    path.write_text(BOTTLE)
    page = " ".join(mix(str(path)).output.split())
    assert "1. Pour 200 ml of the concentrate into 800 ml of water: 1 l to use." in page
    assert "200 ml of concentrate and 800 ml of water" in page
    assert "1. Pour 50 ml of the concentrate into 950 ml of water: 1 l to use." in page
    assert "Acid frees choking sulphur dioxide from thiosulphate" in page
    assert "Strong acetic acid burns" in page
    known = BOTTLE.replace("dilution: 1+4", "makes: 1 l, ingredients: [CRYSTALS]").replace(
        "CRYSTALS", "{substance: sodium thiosulphate anhydrous, amount: 100 g}"
    )
    path.write_text(known)
    assert "film carries acid from bottled stop" in mix(str(path)).output.replace("\n   ", "")
