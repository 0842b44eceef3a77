"""The amounts of every recipe that ships, or stands in the README, are our own.

M: what home developers and plain fixers in print weigh out, from memory and without their names.
"""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml

from darktimer import shipped
from darktimer.bench.dry_amount import dry_amount
from darktimer.bench.substances import FORMS, molar_mass
from darktimer.units import mass_g

ROOT = Path(__file__).parents[2]
#: Grams of anhydrous soda to a gram of ascorbic acid.
SODA_TO_ACID_IN_PRINT = [54 / 16, 16 / 10]
#: Grams of one substance in a litre.
GRAMS_IN_PRINT = {
    "sodium carbonate": {16, 54},
    "ascorbic acid": {10, 16},
    "sodium thiosulphate": {160, 200, 240, 250, 300},
    "sodium sulphite": {20, 100},
    "citric acid": {10, 15, 20},
}


def recipes() -> Iterator[Any]:
    folder = Path(shipped.folder("sequences")) / "recipes"
    yield from (path.read_text("utf-8") for path in folder.glob("*.yaml"))
    for block in re.findall(
        r"^```yaml\n(.*?)^```$", (ROOT / "sequences/README.md").read_text(), re.M | re.S
    ):
        if "ingredients:" in block:
            yield block


def weighed(text: str) -> dict[str, float]:
    """Grams in a litre by substance, whatever its water; as anhydrous soda for the carbonates."""
    written = yaml.load(text, Loader=yaml.BaseLoader)
    litres = float(written.get("makes", "1 l").split()[0]) / (
        1000 if "ml" in written.get("makes", "") else 1
    )
    found = {}
    for each in written.get("ingredients", []):
        if "substance" in each:
            form, taken = FORMS[each["substance"]], dry_amount(each["amount"])
            grams = taken.g
            if "of which" in each:
                grams *= mass_g(each["of which"]) / taken.each_g
            if form.acts == "carbonate":
                grams *= 105.9885 / molar_mass(form)
            found[" ".join(form.name.split()[:2])] = grams / litres
    return found


@pytest.mark.parametrize("text", list(recipes()))
def test_no_amount_of_ours_is_in_print(text: str) -> None:
    own = weighed(text)
    for name, printed in GRAMS_IN_PRINT.items():
        assert not any(own.get(name) == pytest.approx(grams, rel=0.02) for grams in printed)
    if {"sodium carbonate", "ascorbic acid"} <= set(own):
        ratio = own["sodium carbonate"] / own["ascorbic acid"]
        assert all(ratio != pytest.approx(each, rel=0.05) for each in SODA_TO_ACID_IN_PRINT)


def test_there_are_recipes_to_look_at() -> None:
    assert sum(bool(weighed(text)) for text in recipes()) >= 10
