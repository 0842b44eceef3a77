"""Film, vessel, amount, batch, weighing and the words for them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from darktimer import units
from darktimer.bench.amount import full_containers, need, shortfall
from darktimer.bench.bench_error import BenchError
from darktimer.bench.film import load
from darktimer.bench.unit_system import IMPERIAL, METRIC, US, figures, unit_system_named
from darktimer.bench.vessel import measured, rectangle, spiral_tank, standing, tub
from darktimer.bench.weighing import stock, weigh
from darktimer.plan.formats import FORMATS

POSITIVE = st.floats(0.1, 1e5)


@pytest.mark.parametrize("name", [name for name, film in FORMATS.items() if film.length_mm])
def test_twice_the_film_is_twice_the_area_and_displaced_volume(name: str) -> None:
    one, two = load(name), load(name, 2)
    assert two.area_m2 == pytest.approx(2 * one.area_m2)
    assert two.displaced_ml == pytest.approx(2 * one.displaced_ml)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: full_containers(500, 5), "take one of which 99 or fewer will do"),
        (lambda: unit_system_named("troy"), "metric, US, imperial"),
    ],
)
def test_what_cannot_be_is_refused_with_the_remedy(call, words: str) -> None:
    with pytest.raises(BenchError, match=r".+; .+") as refusal:
        call()
    assert words in str(refusal.value)


def test_the_larger_limit_rules_and_says_by_how_much() -> None:
    roll = load("135-36")
    covered = need(measured(300), roll, 1.0)
    assert covered.volume_ml == 300
    assert covered.text() == "300 ml to cover the film, 248 ml more than its area asks for"
    worked = need(measured(300), load("135-36", 10), 1.0)
    assert worked.volume_ml == pytest.approx(516, abs=0.5)
    assert worked.text() == "516 ml for the area of the film, 216 ml more than covers it"


def test_a_full_vessel_needs_no_help() -> None:
    vessel, roll = measured(300), load("135-36")
    assert shortfall(need(vessel, roll), vessel, roll, 400) is None


def test_the_film_takes_room_in_the_vessel() -> None:
    """A roll of 0.0516 m2, 0.13 mm thick, pushes 6.7 ml aside."""
    vessel, roll = measured(300), load("135-36")
    short = shortfall(need(vessel, roll), vessel, roll, 300)
    assert short is not None
    assert short.found == "the vessel is 6.71 ml too small"


def test_a_load_too_large_is_split() -> None:
    vessel, films = spiral_tank(["135"] * 4), load("135-36", 4)
    short = shortfall(need(vessel, films), vessel, films, 700)
    assert short is not None
    assert "split the film into 2 loads with fresh bath each" in short.remedy


def test_one_length_too_large_is_cut() -> None:
    film = load("16 mm", length_mm=30480)
    vessel = tub(film, 400)
    short = shortfall(need(vessel, film), vessel, film, 2100)
    assert short is not None
    assert "cut the film into 2 loads" in short.remedy


def test_a_tub_of_unknown_floor_takes_the_heap_alone() -> None:
    film = load("16 mm", length_mm=30480)
    assert tub(film).cover_ml == tub(film, 400).cover_ml
    assert tub(film).open_cm2 == 0
    assert tub(film, 2000).cover_ml > tub(film).cover_ml


def test_the_wall_of_a_tub_by_hand() -> None:
    """4 l over 400 cm2 stand 10 cm deep; a round floor of 400 cm2 is 70.9 cm around."""
    found = tub(load("16 mm", length_mm=30480), 400)
    assert (found.open_cm2, found.wall_cm2) == (400, pytest.approx(400 + 709, abs=1))


def test_splitting_does_not_fill_a_tray() -> None:
    vessel, sheets = standing(rectangle(203, 254), 20, "tray"), load("4x5 in", 6)
    short = shortfall(need(vessel, sheets), vessel, sheets, 800)
    assert short is not None
    assert short.remedy == "take a vessel that holds 1.05 l"


@given(volume=POSITIVE, share=st.floats(0.02, 10))
def test_containers_hold_what_was_asked_and_not_one_more(volume: float, share: float) -> None:
    size = share * volume
    number = full_containers(volume, size)
    assert number * size >= volume * (1 - 1e-8)
    assert (number - 1) * size < volume * (1 + 1e-8)


def test_three_tenths_are_three_containers() -> None:
    assert full_containers(300, 100) == 3
    assert full_containers(0.3, 0.1) == 3
    assert full_containers(99, 1) == 99


@given(grams=POSITIVE, step=st.sampled_from([0.01, 0.1, 1.0, 5.0]))
def test_a_scale_is_off_by_half_a_step_at_most(grams: float, step: float) -> None:
    found = weigh(grams, step)
    assert abs(found.shown_g - grams) <= step / 2 * (1 + 1e-6)
    assert found.error * grams == pytest.approx(found.shown_g - grams, abs=1e-6)


def test_a_scale_too_coarse_is_cautioned() -> None:
    assert weigh(54, 0.1).caution() == ""
    assert weigh(3.3, 1).caution() == "a scale that steps by 1 g is 9% off here"
    assert weigh(0.3, 1).caution() == "0.3 g is below half a step of the scale, 1 g"
    assert weigh(0.5, 1).lost  # halves are rounded to even, and it is gone
    assert not weigh(0.51, 1).lost


def test_a_stock_solution_brings_what_no_scale_shows() -> None:
    """By hand: 0.3 g of 25 g in a litre is 12 ml; half of 47 g/l of borax is 25 g in no less."""
    assert stock(0.3, 1, None, 1000) == (25, 1000, pytest.approx(12))
    assert stock(0.04, 0.1, None, 1000) == (2.5, 1000, pytest.approx(16))
    assert stock(2.5, 0.1, None, 1000) == (2.5, 100, pytest.approx(100))
    assert stock(2.5, 0.1, 20, 1000) == (2.5, 250, pytest.approx(250))
    assert stock(0.02, 1, None, 1000) is None  # 0.8 ml is more than a kitchen measures
    assert stock(2.5, 0.1, None, 50) is None


@given(grams=st.floats(1e-4, 100), step=st.sampled_from([0.01, 0.1, 1.0, 5.0]))
def test_a_stock_solution_is_within_two_per_cent(grams: float, step: float) -> None:
    """Half a step in what is weighed is 2 % of it, and the share that is used holds the rest."""
    found = stock(grams, step, None, 1000)
    if found:
        assert step / 2 / found.weighed_g <= 0.02
        assert found.weighed_g * found.use_ml / found.makes_ml == pytest.approx(grams)


@pytest.mark.parametrize("measures", [METRIC, US, IMPERIAL])
@given(ml=st.floats(1, 50_000))
def test_volumes_read_back(measures, ml: float) -> None:
    assert units.volume_ml(measures.volume(ml)) == pytest.approx(ml, rel=0.0051)


@given(grams=st.floats(0.1, 2000))
def test_masses_read_back(grams: float) -> None:
    for measures in (METRIC, US, IMPERIAL):
        assert units.mass_g(measures.mass(grams)) == pytest.approx(grams, rel=0.00051)


def test_temperatures_and_figures() -> None:
    assert METRIC.temperature(20) == "20.0 °C"
    assert US.temperature(20) == "68.0 °F"
    assert [figures(v) for v in (0, 1234.5, 0.0123456, 54.0, 999.9)] == [
        "0",
        "1230",
        "0.0123",
        "54",
        "1000",
    ]
