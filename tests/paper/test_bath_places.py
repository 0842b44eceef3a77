"""The bench from left to right: each bath once, water wherever it is used."""

from darktimer.paper.bath_places import BathPlace, places

from . import plans


def test_the_bench_of_a_shipped_plan() -> None:
    soak, develop, rinse, fix, wash = plans.shown("open-tub-half-agitation").places
    assert (soak.steps, soak.bath, soak.amount) == (("Soak",), "water", "1.5 l")
    assert develop.amount == "1.5 l"
    assert any("ascorbic acid" in made for made in develop.made_of)
    assert rinse.bath == wash.bath == "water"
    assert wash.amount == "10 × 1.5 l"
    assert fix.made_of == ("339 g sodium thiosulphate pentahydrate",)  # 226 g a litre


def test_a_bath_that_is_used_again_and_again_stands_once() -> None:
    names = [place.steps for place in plans.shown("over and over").places]
    assert names == [("Bath A",), ("Rinse",), ("Fix",), ("Wash",)]


def test_masses_are_for_all_the_fills_and_say_so() -> None:
    bath = plans.shown("over and over").places[0]
    assert bath.amount == "10 × 1.5 l"
    assert bath.made_of[0] == "15 l in all, of"


def test_without_a_bench_sheet_the_places_have_no_amounts() -> None:
    assert places(plans.plan_file("one").plan, None) == [BathPlace(("Develop",), "", "", ())]
