"""Rate, drift, rules of thumb: laws, and what is refused."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from darktimer.bench.bench_error import BenchError
from darktimer.bench.drift import (
    DriftingBath,
    constant_from_readings,
    constant_from_vessel,
    delivered_ms,
    time_in,
)
from darktimer.bench.rate import GUESS, Activation, fitted, rate, time_at
from darktimer.bench.rules_of_thumb import agitated_time, cold_wash_factor
from darktimer.bench.vessel import circle, rectangle, standing
from darktimer.plan.fixing import fixing_factor

MINUTE = 60_000
WARMTH = st.floats(5, 45)
ENERGY = st.floats(35, 90)


@given(one=WARMTH, other=WARMTH, energy=ENERGY)
def test_there_and_back(one: float, other: float, energy: float) -> None:
    assert rate(one, other, energy) * rate(other, one, energy) == pytest.approx(1)


@given(energy=ENERGY)
def test_a_fit_finds_the_energy_its_points_were_made_with(energy: float) -> None:
    points = [(c, time_at(100 * MINUTE, 20, c, energy)) for c in (18.0, 21.0, 24.0, 30.0)]
    found = fitted(points)
    assert found.kj_per_mol == pytest.approx(energy, rel=1e-4)
    assert found.origin == "fitted"


def test_doubtful_energies_are_warned_of() -> None:
    assert "guess" in GUESS.warning
    assert Activation(60, "given").warning == ""
    assert "unlike any developer" in Activation(34, "given").warning
    assert "unlike any developer" in Activation(91, "given").warning


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: fitted([(20, MINUTE)]), "two or more"),
        (lambda: fitted([(20, MINUTE), (20, 2 * MINUTE)]), "two or more"),
        (lambda: fitted([(20, MINUTE), (24, 2 * MINUTE)]), "the warmer bath"),
        (lambda: fitted([]), "two or more"),
        (lambda: fitted([(20, MINUTE), (20.99, MINUTE - 3000)]), "two or more"),
        (lambda: fitted([(20, MINUTE), (24, MINUTE // 100)]), "developers have 10 to 200"),
        (lambda: fitted([(20, MINUTE), (24, MINUTE - 1000)]), "developers have 10 to 200"),
        (lambda: rate(120, 20, 60), "0 to 100 C"),
        (lambda: rate(-3, 20, 60), "0 to 100 C"),
        (lambda: constant_from_readings(24, 25, MINUTE, 18), "nearer to the room"),
        (lambda: constant_from_readings(24, 24, MINUTE, 18), "nearer to the room"),
        (lambda: constant_from_readings(24, 17, MINUTE, 18), "nearer to the room"),
        (
            lambda: constant_from_readings(24, 22, 1, 18),
            "no bath reaches the room's temperature in a minute",
        ),
        (lambda: constant_from_readings(24, 23.999, 10 * MINUTE, 18), "none takes weeks"),
        (lambda: agitated_time(MINUTE, 0.05), "12.5 % to 100 %"),
        (lambda: agitated_time(MINUTE, 1.2), "12.5 % to 100 %"),
        (lambda: cold_wash_factor(-5), "0 to 100 C"),
    ],
)
def test_what_cannot_be_is_refused_with_the_remedy(call, words: str) -> None:
    with pytest.raises(BenchError, match=r".+; .+") as refusal:
        call()
    assert words in str(refusal.value)


def test_two_temperatures_a_degree_apart_are_two() -> None:
    assert fitted([(20, time_at(MINUTE, 20, 20, 60)), (21, time_at(MINUTE, 20, 21, 60))])


@given(
    start=WARMTH,
    room=WARMTH,
    constant_min=st.floats(2, 600),
    wanted=st.integers(MINUTE, 60 * MINUTE),
    energy=ENERGY,
)
def test_the_time_found_delivers_what_was_asked(start, room, constant_min, wanted, energy):
    bath = DriftingBath(start, room, constant_min * MINUTE)
    found = time_in(bath, wanted, 20, energy)
    done = delivered_ms(bath, found.time_ms, 20, energy)
    assert done == pytest.approx(wanted, abs=0.5 * rate(max(start, room), 20, energy) + 0.2)


@given(start=WARMTH, constant_min=st.floats(2, 600), wanted=st.integers(MINUTE, 60 * MINUTE))
def test_a_bath_at_room_temperature_does_not_drift(start, constant_min, wanted) -> None:
    found = time_in(DriftingBath(start, start, constant_min * MINUTE), wanted, 20, 60)
    assert abs(found.time_ms - found.steady_ms) <= 1
    assert found.ignored == pytest.approx(0, abs=1e-4)
    assert found.end_celsius == pytest.approx(start)


def test_a_cooling_bath_takes_longer_and_ignoring_it_underdevelops() -> None:
    cooling = time_in(DriftingBath(30, 18, 40 * MINUTE), 20 * MINUTE, 20, 60)
    assert cooling.time_ms > cooling.steady_ms
    assert cooling.ignored < 0
    warming = time_in(DriftingBath(16, 28, 40 * MINUTE), 20 * MINUTE, 20, 60)
    assert warming.time_ms < warming.steady_ms
    assert warming.ignored > 0


def test_readings_and_law_agree() -> None:
    bath = DriftingBath(30, 20, 45 * MINUTE)
    found = constant_from_readings(30, bath.celsius_at(10 * MINUTE), 10 * MINUTE, 20)
    assert found == pytest.approx(45 * MINUTE)


def test_a_tall_vessel_holds_its_warmth_longer_than_a_tray() -> None:
    """The same litre, by hand for the tray: 4180 J/K over 0.05 m2 up and 0.068 m2 of wall."""
    flat = constant_from_vessel(standing(rectangle(200, 250), 20, "tray"))
    assert flat == pytest.approx(1000 * 4180 / (0.05 * 24.6 + 0.068 * 9.5), rel=1e-6)
    assert constant_from_vessel(standing(circle(108.4), 108.4, "cylinder")) > 2 * flat


def test_fixing_is_never_shortened_nor_washing() -> None:
    assert fixing_factor(30) == 1
    assert cold_wash_factor(30) == 1


@given(st.floats(0, 60), st.floats(0, 60))
def test_colder_never_washes_faster(one: float, other: float) -> None:
    cold, warm = sorted((one, other))
    assert cold_wash_factor(cold) >= cold_wash_factor(warm) - 1e-9
    assert fixing_factor(cold) >= fixing_factor(warm)
