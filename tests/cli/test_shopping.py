"""``darktimer mix`` for several plans: their sheets, and what to buy for all of them together."""

import json
from pathlib import Path

import pytest

from tests.cli.conftest import Run


@pytest.fixture(autouse=True)
def _home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path))


TWO = ("small-tank-inversions", "tray-six-sheets")


def test_two_plans_have_two_sheets(run: Run) -> None:
    page = run("mix", *TWO).out
    assert page.index("Small tank, inversions") < page.index("Six sheets in trays")
    one, other = json.loads(run("mix", *TWO, "--json").out)
    assert (one["title"], other["title"]) == ("Small tank, inversions", "Six sheets in trays")
    assert one == json.loads(run("mix", TWO[0], "--json").out)


def test_what_to_buy_for_two_plans(run: Run) -> None:
    """By hand: 500 ml of the one take 17 g of soda and 4 of acid, a litre of the other 57 and 11.

    Fixer is 113 g of thiosulphate and 226 g.
    """
    page = run("mix", *TWO, "--shopping", "--in-stock", "sodium carbonate anhydrous=64 g").out
    rows = [" ".join(line.split()) for line in page.splitlines()]
    assert rows[0] == "To buy for Small tank, inversions and Six sheets in trays"
    assert "10 g sodium carbonate anhydrous 74 g 64 g" in rows
    assert "339 g sodium thiosulphate pentahydrate 339 g" in rows
    assert "15 g ascorbic acid 15 g" in rows
    told = json.loads(run("mix", *TWO, "--shopping", "--json").out)
    needed = {line["what"]: line["needed"] for line in told["shopping"]}
    assert needed["sodium carbonate anhydrous"] == pytest.approx(74)
    assert needed["wetting agent"] == pytest.approx(1.5)


def test_three_plans_are_named_as_a_list(run: Run) -> None:
    page = run("mix", *TWO, "long-stand", "--shopping").out
    named = "Small tank, inversions, Six sheets in trays and Long stand"
    assert f"To buy for {named}" in " ".join(page.split())


def test_packs_in_measures_of_the_us(run: Run) -> None:
    page = run("mix", TWO[0], "--shopping", "--measures", "US").out
    assert "oz" in page
    assert " ml" not in page


def test_a_form_at_hand_need_be_in_one_of_the_plans_alone(run: Run) -> None:
    """Sulphite is in the washing aid of the one plan only."""
    have = ("--have", "sodium sulphite heptahydrate")
    assert run("mix", "bucket-motion-picture", TWO[0], *have).status == 0
    assert run("mix", TWO[0], *have).status == 1


@pytest.mark.parametrize(
    ("asked", "said", "status"),
    [
        (("--shopping", "--in-stock", "soda ash"), "is not a name and an amount", 2),
        (("--shopping", "--in-stock", "ash=3 g"), "in stock: nothing here is called 'ash'", 1),
        (("--shopping", "--in-stock", "soda ash=0 g"), "'0 g' is not above zero", 2),
        (("--in-stock", "soda ash=3 g"), "--in-stock goes with --shopping", 2),
    ],
)
def test_a_cupboard_that_cannot_be(run: Run, asked, said: str, status: int) -> None:
    ran = run("mix", TWO[0], *asked)
    assert (ran.status, ran.out) == (status, "")
    assert said in ran.err


def test_a_kept_bath_serves_until_it_is_used_up(run: Run) -> None:
    """By hand: a 120 is 0.97 rolls, a 135-24 0.69 of one: 1.5 are enough for each, not for both."""
    sheets = ("long-stand", "small-tank-inversions")
    run("baths", "begin", "plain fixer", "--volume", "1 l", "--capacity-rolls", "1.5")
    for plans, ready in ((sheets[:1], [True]), (sheets[1:], [True]), (sheets, [True, False])):
        told = json.loads(run("mix", *plans, "--json").out)
        whole = told if isinstance(told, list) else [told]
        fixers = [bath for each in whole for bath in each["baths"] if bath["name"] == "plain fixer"]
        assert [bath["ready"] for bath in fixers] == ready
