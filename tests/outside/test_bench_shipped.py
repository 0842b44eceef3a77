"""Every number on the sheet of every shipped plan, against one that the program did not compute.

Plans and recipes are read here by the YAML library, quantities by pint, molar masses come from
periodictable, pH from a charge balance solved by scipy, the rest from the arithmetic below. Marks:
P read in a published source or a public copy of it, C computed from published constants, T common
practice with no source, M from memory.
"""

import json
import re
from collections.abc import Iterator
from functools import cache
from math import ceil, exp, log, log2, sqrt
from pathlib import Path
from typing import Any

import periodictable
import pint
import pytest
import yaml
from click.testing import CliRunner
from numpy import interp
from scipy.optimize import brentq

from darktimer import shipped
from darktimer.cli.mix import command

SEQUENCES = Path(shipped.folder("sequences"))
PLANS = [
    name
    for name in shipped.names("sequences")
    if "kind: room" not in (SEQUENCES / f"{name}.yaml").read_text()
]
UNIT = pint.UnitRegistry()
ROLL = 80 * 0.0254**2  # T: the trade's roll, 80 square inches
KJ = 60.0  # what is stated as a guess, where no recipe says another

# Width and length, mm, thickness, mm. P: ISO 1007, SMPTE 101/109, 120 about 61 x 820 mm. T: 38 mm
# a frame of 135, and ends by which 36 exposures are the trade's roll; thicknesses.
ENDS = ROLL * 1e6 / 34.98 - 36 * 38
FILM = {
    "135-36": (34.98, 36 * 38 + ENDS, 0.13),
    "135-24": (34.98, 24 * 38 + ENDS, 0.13),
    "120": (61, 820, 0.11),
    "4x5 in": (4 * 25.4, 5 * 25.4, 0.18),
    "16 mm": (15.95, None, 0.13),
}
# By hand from each plan: half; all; an opening alone; opening and bouts over the time.
MOVING = {
    "bucket-motion-picture": [1.0],
    "closed-spiral-half-agitation": [0.5],
    "ladder-for-an-unknown-time": [(900 - 2 * 5) / 1800],  # two bouts of half are cut for pieces
    "load-and-soak": [],
    "long-stand": [60 / 3600],
    "loop-in-a-lidded-tub": [0.25],
    "open-tub-half-agitation": [0.5],
    "pieces-in-one-by-one": [0.5],
    "pieces-moved-and-standing": [0.5],
    "pieces-out-one-by-one": [(30 + 12 * 5) / 780],
    "reversal-motion-picture": [1.0, 1.0],
    "semi-stand": [(45 + 2 * 12) / 2700],
    "sheets-that-differ": [(30 + 10 * 5) / 640],
    "small-tank-inversions": [75 / 600],  # P, C: Navy 14209, 75 s of 10 min
    # Rounds of 6 x 5 s that fit between six transfers of 10 s and a drain of 10 s.
    "tray-six-sheets": [(480 - 60 - 10) // 30 * 30 / 480],
    "two-bath-develop": [(30 + 4 * 8) / 300, 10 / 300],
}
# Moles of sodium, and of each acid, in a mole; the formula as periodictable writes it.
SUBSTANCES = {
    "sodium carbonate anhydrous": ("Na2CO3", {"Na": 2, "carbonic": 1}),
    "ascorbic acid": ("C6H8O6", {"ascorbic": 1}),
    "sodium ascorbate": ("C6H7NaO6", {"Na": 1, "ascorbic": 1}),
    "citric acid": ("C6H8O7", {"citric": 1}),
    "sodium thiosulphate pentahydrate": ("Na2S2O3+5H2O", {}),
    "sodium sulphite anhydrous": ("Na2SO3", {}),
}
UNCERTAIN = [0.5, 0.2, 0.1]  # what a pH may be off by
RULE = [12.5, 30, 5, 15]  # the Navy's share, its opening and bouts, what moving on shortens by
PRACTICE = [10, 12]  # changes of water
SKIPPED = {"title", "film", "name", "recipe", "about", "found", "steps", "step", "discard"}


@cache
def sheet(name: str) -> dict[str, Any]:
    done = CliRunner().invoke(command, [name, "--json"])
    assert done.exit_code == 0, done.output
    return json.loads(done.output)


def loaded(path: Path) -> Any:
    return yaml.load(path.read_text("utf-8"), Loader=yaml.BaseLoader)


@cache
def plan(name: str) -> dict[str, Any]:
    return loaded(SEQUENCES / f"{name}.yaml")


@cache
def recipe(bath: str) -> dict[str, Any]:
    if bath.startswith("bought "):
        return {"use": "once", "makes": "1 l", "ingredients": []}
    return loaded(SEQUENCES / "recipes" / ("-".join(re.findall(r"\w+", bath)) + ".yaml"))


WATERS = ("water", "running water")


def size(text: str, unit: str) -> float:
    """``50 ft``, ``1.5 l``, ``68 F``, ``60 g`` in ``unit``, by pint."""
    number, written = text.split(maxsplit=1)
    named = {"C": "degC", "F": "degF"}.get(written, written)
    return float(UNIT.Quantity(float(number), named).to(unit).magnitude)


def seconds(text: str) -> float:
    if ":" in text:
        minutes, rest = text.split(":")
        return 60 * int(minutes) + int(rest)
    return size(text.replace("h", "hour") if text.endswith(" h") else text, "s")


def area_m2(name: str) -> float:
    film = plan(name)["film"]
    width, length, _ = FILM[film["format"]]
    pieces = int(film.get("count", film.get("sheets", 1)))
    return pieces * width * (length or size(film["length"], "mm")) / 1e6


def cover_ml(name: str) -> float:
    _, two, volume = plan(name)["vessel"]["volume"].rpartition("two of ")
    return size(volume, "ml") * (2 if two else 1)


def celsius(name: str) -> float:
    return size(plan(name).get("temperature", "20 C"), "degC")


def steps(name: str, kind: str) -> list[dict[str, Any]]:
    return [step for step in plan(name)["steps"] if kind in step]


def baths(name: str) -> dict[str, list[dict[str, Any]]]:
    """Steps by their bath; soaks, rinses and washes are in water, which may run."""
    found: dict[str, list[dict[str, Any]]] = {}
    for step in plan(name)["steps"]:
        if not {"load", "expose"} & step.keys():
            water = "running water" if step.get("running") == "yes" else "water"
            found.setdefault(step.get("bath", water), []).append(step)
    return found


def limits_ml(name: str, bath: str) -> tuple[float, float]:
    """What covers, and what the capacity asks for: 0 where there is none."""
    rolls = float(recipe(bath).get("rolls per litre", 0)) if bath not in WATERS else 0
    return cover_ml(name), 1000 * area_m2(name) / (rolls * ROLL) if rolls else 0.0


def fills(name: str, bath: str) -> int:
    again = bath not in WATERS and recipe(bath)["use"] == "again"
    return 1 if again else sum(int(step.get("repeat", 1)) for step in baths(name)[bath])


def bath_ml(name: str, bath: str) -> float:
    return fills(name, bath) * max(limits_ml(name, bath))


def factor(name: str, bath: str) -> float:
    return bath_ml(name, bath) / size(recipe(bath)["makes"], "ml")


def dissolved(bath: str) -> dict[str, float]:
    litres = size(recipe(bath)["makes"], "l")
    found: dict[str, float] = {}
    for each in recipe(bath)["ingredients"]:
        if "substance" in each:
            formula, parts = SUBSTANCES[each["substance"]]
            mole = size(each["amount"], "g") / periodictable.formula(formula).mass
            for part, count in parts.items():
                found[part] = found.get(part, 0.0) + mole * count / litres
    return found


def ph(bath: str, at: float) -> float:
    """Charge balance by scipy; M: pK, those of carbonic acid and water by temperature.

    Activities after Davies, whose last term is held from 0.5 mol/l on, as the program says it is.
    """
    warm = [0, 10, 20, 30]
    pk = {
        "carbonic": [interp(at, warm, [6.58, 6.46, 6.38, 6.33]),
                     interp(at, warm, [10.63, 10.49, 10.38, 10.29])],
        "ascorbic": [4.10, 11.7],
        "citric": [3.13, 4.76, 6.40],
    }  # fmt: skip
    pkw = interp(at, warm, [14.94, 14.53, 14.17, 13.83])
    parts, strength, found = dissolved(bath), 0.1, 7.0

    def gamma(charge: int) -> float:
        root = sqrt(strength)
        return -0.507 * charge**2 * (root / (1 + root) - 0.3 * min(strength, 0.5))

    def ions(value: float) -> list[tuple[int, float]]:
        made = [(1, 10 ** (-value - gamma(1))), (-1, 10 ** (value - pkw - gamma(1)))]
        made.append((1, parts.get("Na", 0.0)))
        for acid, total in ((k, v) for k, v in parts.items() if k != "Na"):
            weights = [1.0]
            for lost, each in enumerate(pk[acid]):
                step = value - each + gamma(-lost) - gamma(-lost - 1)
                weights.append(weights[-1] * 10**step)
            made += [(-lost, total * w / sum(weights)) for lost, w in enumerate(weights)]
        return made

    for _ in range(100):
        found = brentq(lambda value: sum(z * c for z, c in ions(value)), 0, 14)
        strength = (strength + sum(z * z * c for z, c in ions(found)) / 2) / 2
    return found


def elsewhere(name: str, time_s: float, to: float) -> float:
    """C: Arrhenius, R = 8.314463 J/(mol K)."""
    one, other = celsius(name) + 273.15, to + 273.15
    return time_s * exp(KJ / 8.314463e-3 * (1 / other - 1 / one))


def ruled(time_s: float, moving: float) -> float:
    """M: continuous agitation shortens by 10 to 20 %, so 15, against P: 12.5 % of the time."""
    return time_s * (1 - 0.15 * (moving - 0.125) / 0.875)


def slower(name: str) -> float:
    """P: TM 11-2323: twice as long for each 18 F colder; washing twice as long at 50 F."""
    return 2 ** (max(0.0, 20 - celsius(name)) / 10)


def fixer_g_per_m2(name: str) -> float:
    """T: 10 ml cling to a roll; C: thiosulphate in the fixer by molar masses."""
    crystals = size(recipe("plain fixer")["ingredients"][0]["amount"], "g")
    share = periodictable.formula("S2O3").mass / periodictable.formula("Na2S2O3+5H2O").mass
    return crystals * share * 0.010 / ROLL


def washed(name: str, step: dict[str, Any]) -> tuple[float, int]:
    """g/m2 left, and the least changes or minutes: ideal mixing, or P: halved each minute."""
    first, changes = fixer_g_per_m2(name), int(step.get("repeat", 1))
    if step.get("running") == "yes":
        minutes = seconds(step["wash"]) / 60 / slower(name)
        return first * 0.5**minutes, ceil(slower(name) * log2(first / 0.014))
    clinging = 10 * area_m2(name) / ROLL
    kept = clinging / (clinging + cover_ml(name))
    return first * kept**changes, ceil(log(0.014 / first) / log(kept))


@pytest.mark.parametrize("name", PLANS)
def test_film_and_vessel(name: str) -> None:
    made = sheet(name)
    assert made["area_m2"] == pytest.approx(area_m2(name), rel=1e-6)
    assert made["rolls"] == pytest.approx(area_m2(name) / ROLL, rel=1e-6)
    thickness = FILM[plan(name)["film"]["format"]][2]
    assert made["displaced_ml"] == pytest.approx(1000 * area_m2(name) * thickness, rel=1e-6)
    assert made["cover_ml"] == pytest.approx(cover_ml(name))


@pytest.mark.parametrize("name", PLANS)
def test_volumes_and_masses(name: str) -> None:
    pages = sheet(name)["baths"]
    assert [page["name"] for page in pages] == list(baths(name))
    for page in pages:
        bath = page["name"]
        assert page["fills"] == fills(name, bath)
        assert page["volume_ml"] == pytest.approx(bath_ml(name, bath))
        assert page["fill_ml"] == pytest.approx(max(limits_ml(name, bath)))
        wanted = [] if bath in WATERS else recipe(bath)["ingredients"]
        for item, each in zip(page["items"], wanted, strict=True):
            if "liquid" in each:
                poured_ml = size(each["amount"], "ml") * factor(name, bath)
                assert item["volume_ml"] == pytest.approx(poured_ml)
                continue
            grams = size(each["amount"], "g") * factor(name, bath)
            assert item["mass_g"] == pytest.approx(grams)
            assert item["shown_g"] == pytest.approx(grams, abs=0.05)  # a scale of 0.1 g
            assert item["shown_g"] * 10 == pytest.approx(round(item["shown_g"] * 10))
            assert item["error"] == pytest.approx(item["shown_g"] / grams - 1, abs=1e-9)


@pytest.mark.parametrize("name", PLANS)
def test_ph(name: str) -> None:
    for page in sheet(name)["baths"]:
        if page["acidity"]:
            (shown,) = re.findall(r"pH (?:at most )?(\d+\.\d)", page["acidity"])
            assert float(shown) == pytest.approx(ph(page["name"], celsius(name)), abs=0.1)


@pytest.mark.parametrize("name", PLANS)
def test_times(name: str) -> None:
    develops = steps(name, "develop")
    for time, step, moving in zip(sheet(name)["times"], develops, MOVING[name], strict=True):
        assert time["planned_ms"] == time["time_ms"] == 1000 * seconds(step["develop"])
        assert [warm for warm, _ in time["elsewhere"]] == [
            pytest.approx(celsius(name) + offset) for offset in (-4, -2, 2, 4)
        ]
        for warm, ms in time["elsewhere"]:
            by_hand = elsewhere(name, seconds(step["develop"]), warm)
            assert ms / 1000 == pytest.approx(by_hand, rel=1e-5)
        if moving > 0.125:
            became = re.findall(r"would become (\d+:\d\d)", time["agitation"])[0]
            assert in_seconds(became) == pytest.approx(
                ruled(seconds(step["develop"]), moving), abs=1
            )


@pytest.mark.parametrize("name", PLANS)
def test_fixing_and_washing(name: str) -> None:
    lines = " ".join(sheet(name)["afterwards"])
    for step in steps(name, "wash"):
        left, least = washed(name, step)
        shown = re.findall(r"leaves? (?:([\d.]+)|less than 0.0001) g/m2", lines)
        assert [float(each or 0) for each in shown] == [pytest.approx(left, rel=0.05, abs=1e-4)]
        if step.get("running") == "yes":
            assert ("within" if left <= 0.014 else "above") in lines
            assert f"rule {least} min are enough" in lines
        else:  # T: practice asks for 10 to 12 changes, whatever ideal mixing says
            assert int(step["repeat"]) >= max(10, least)
            assert "within the 0.014" in lines
    assert ("worth" in lines) == (slower(name) > 1)


def in_seconds(shown: str) -> float:
    whole = 0
    for part in shown.split(":"):
        whole = 60 * whole + int(part)
    return whole


def soda_after_acid(name: str, bath: str) -> tuple[float, float, float] | None:
    """C: a mole of ascorbic acid takes one of soda: grams neutralised, grams left, mmol/l left."""
    weighed = {each.get("substance"): each["amount"] for each in recipe(bath)["ingredients"]}
    if not {"ascorbic acid", "sodium carbonate anhydrous"} <= set(weighed):
        return None
    grams = [
        size(weighed[form], "g") * factor(name, bath)
        for form in ("ascorbic acid", "sodium carbonate anhydrous")
    ]
    acid, soda = (periodictable.formula(each).mass for each in ("C6H8O6", "Na2CO3"))
    neutralised_g = grams[0] / acid * soda
    left_g = grams[1] - neutralised_g
    return neutralised_g, left_g, left_g / soda * 1e6 / bath_ml(name, bath)


@pytest.mark.parametrize("name", PLANS)
def test_alkali_after_acid(name: str) -> None:
    for page in sheet(name)["baths"]:
        wanted = page["name"] not in WATERS and soda_after_acid(name, page["name"])
        met = page["after_acid"]
        assert bool(met) == bool(wanted)
        if wanted:
            found = (met["neutralised_g"], met["left_g"], met["left_mmol_per_l"])
            assert found == pytest.approx(wanted, rel=1e-4)


def of_film(name: str) -> Iterator[float]:
    """What may stand at the head of a sheet."""
    yield from (area_m2(name), area_m2(name) / ROLL, cover_ml(name))
    yield 1000 * area_m2(name) * FILM[plan(name)["film"]["format"]][2]


def of_bath(name: str, bath: str) -> Iterator[float]:
    """What may stand on the page of a bath."""
    volume, (cover, capacity) = bath_ml(name, bath), limits_ml(name, bath)
    yield from (volume, max(cover, capacity), abs(cover - capacity), 0.75 * volume)
    yield from (fills(name, bath), celsius(name), *UNCERTAIN)
    if bath not in WATERS:
        yield from written(recipe(bath))
        yield ph(bath, celsius(name))
        yield from soda_after_acid(name, bath) or ()
        hours = {"hour": 1, "day": 24, "week": 168, "month": 720}
        count, unit = recipe(bath).get("keeps", "0 hours").split()
        yield int(count) * hours[unit.rstrip("s")]
        for each in recipe(bath)["ingredients"]:
            for key in ("amount", "water"):
                unit = "ml" if "liquid" in each or key == "water" else "g"
                yield size(each[key], unit) * factor(name, bath) if key in each else 0


def of_times(name: str) -> Iterator[float]:
    """What may stand beside the develop steps."""
    yield from (KJ, celsius(name), *RULE, float(plan(name).get("room", "0 C").split()[0]))
    for step, moving in zip(steps(name, "develop"), MOVING[name], strict=True):
        time_s = seconds(step["develop"])
        place = plan(name)["steps"].index(step)
        yield from (place, time_s, 100 * moving, ruled(time_s, moving))
        for offset in (-4, -2, 2, 4):
            yield from (celsius(name) + offset, elsewhere(name, time_s, celsius(name) + offset))


def of_afterwards(name: str) -> Iterator[float]:
    """What may be said of fixing and washing."""
    yield from (0.014, 0.0001, *PRACTICE, 20, celsius(name), slower(name))
    for kind in ("fix", "wash"):
        for step in steps(name, kind):
            time_s = seconds(step[kind])
            yield from (time_s, time_s / slower(name), int(step.get("repeat", 1)))
            yield from washed(name, step) if kind == "wash" else ()


def parts(name: str) -> Iterator[tuple[str, Any, list[float]]]:
    """Each part of a sheet, and every number that it may hold, times in seconds."""
    made = sheet(name)
    lists = ("baths", "times", "afterwards")
    yield "film", {key: part for key, part in made.items() if key not in lists}, [*of_film(name)]
    for page in made["baths"]:
        yield page["name"], page, [*of_bath(name, page["name"])]
    yield "times", made["times"], [*of_times(name)]
    yield "afterwards", made["afterwards"], [*of_afterwards(name)]


def written(content: Any) -> Iterator[float]:
    """The numbers in the words of a recipe: notes, temperatures, times of steeping in seconds."""
    if isinstance(content, str):
        yield from (float(number) for number in re.findall(r"\d+(?:\.\d+)?", content))
        if re.fullmatch(r"\d+ min", content):
            yield seconds(content)
    for part in content.values() if isinstance(content, dict) else content:
        if not isinstance(content, str):
            yield from written(part)


def shown(content: Any, key: str = "") -> Iterator[tuple[str, float]]:
    """Every number in a sheet and its key; litres as ml, clock times in seconds."""
    if key in SKIPPED or isinstance(content, bool):
        return
    if isinstance(content, dict):
        for name, part in content.items():
            yield from shown(part, name)
    elif isinstance(content, list):
        for part in content:
            yield from shown(part, key)
    elif isinstance(content, int | float):
        yield key, content / 1000 if key.endswith("_ms") or content > 90_000 else content
    elif isinstance(content, str):
        words = re.sub(r"g/m2|pH", "", content)
        for clock in re.findall(r"\d+(?::\d\d)+", words):
            yield key, in_seconds(clock)
        for number, unit in re.findall(
            r"(?<![\w.:])(\d+(?:\.\d+)?(?:e-\d+)?)(?![\d:.]*:)(?:(?= (l)\b)|)", words
        ):
            yield key, float(number) * (1000 if unit else 1)


def known(key: str, number: float, among: list[float]) -> bool:
    """Whether a number as shown is one of those worked out, as finely as its place is rounded."""
    return any(
        number == pytest.approx(each, rel=0.006, abs=0.51 if each > 100 else 5e-3)
        or (key in ("acidity", "agitation") and abs(number - each) < 0.1)
        or (key == "afterwards" and number == pytest.approx(each, rel=0.06))
        for each in (0.0, *among)
    )


@pytest.mark.parametrize("name", PLANS)
def test_no_number_is_left_that_was_not_worked_out(name: str) -> None:
    for part, content, among in parts(name):
        strange = [
            (key, number) for key, number in shown(content, part) if not known(key, number, among)
        ]
        assert strange == [], f"on the page of {part} in the sheet of {name}"


@pytest.mark.parametrize("name", PLANS)
def test_a_wrong_number_would_be_found_strange(name: str) -> None:
    for part, _, among in parts(name):
        by_chance = [number for number in range(1, 101) if known(part, number, among)]
        assert len(by_chance) <= 15, f"{part} of {name} passes {by_chance}"
