"""Times of the bench against published tables, an exercise and an integrator of scipy.

Marks: P read in a published source or a public copy of it, C computed from published constants,
T common practice with no source, M from memory.
"""

from math import exp

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from darktimer.bench.drift import (
    SURFACE_W_PER_M2_K,
    WALL_W_PER_M2_K,
    DriftingBath,
    constant_from_readings,
    delivered_ms,
    time_in,
)
from darktimer.bench.rate import fitted, time_at
from darktimer.bench.rules_of_thumb import agitated_time, cold_wash_factor
from darktimer.bench.washing import (
    carry_over,
    clinging_g_per_m2,
    in_changes,
    in_running_water,
)
from darktimer.plan.fixing import fixing_factor

MINUTE = 60_000

# P: TM 1-1500-335-23, Table 6-16, its column read from a flattened table.
TABLE = {63: 6, 65: 5.5, 68: 5, 70: 4.5, 72: 4, 76: 3.75, 80: 3.25}


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8


@pytest.mark.parametrize("fahrenheit", [63, 80])
def test_a_published_table_by_its_activation_energy(fahrenheit: int) -> None:
    """P: 5 min at 68 F and 47.1 kJ/mol; within 5 %."""
    minutes = time_at(5 * MINUTE, celsius(68), celsius(fahrenheit), 47.1) / MINUTE
    assert minutes == pytest.approx(TABLE[fahrenheit], rel=0.05)


def test_the_activation_energy_fitted_to_that_table() -> None:
    """P: the rows; C: the 47.1 kJ/mol they are said to give."""
    points = [(celsius(f), round(minutes * MINUTE)) for f, minutes in TABLE.items()]
    assert fitted(points).kj_per_mol == pytest.approx(47.1, rel=0.05)


@pytest.mark.parametrize(("to", "minutes"), [(16, 14.06), (22, 8.46), (24, 7.18), (30, 4.44)])
def test_ten_minutes_at_20_elsewhere(to: float, minutes: float) -> None:
    """C: 60 kJ/mol."""
    assert time_at(10 * MINUTE, 20, to, 60) / MINUTE == pytest.approx(minutes, abs=0.01)


def test_a_factor_of_two_for_ten_degrees() -> None:
    """C: 51.22 kJ/mol between 20 and 30 C."""
    assert fitted([(20, 2 * MINUTE), (30, MINUTE)]).kj_per_mol == pytest.approx(51.22, abs=0.05)


def test_a_fixer_takes_twice_as_long_each_18_f_colder() -> None:
    """P: TM 11-2323, from 68 F."""
    assert fixing_factor(celsius(50)) == pytest.approx(2)
    assert fixing_factor(celsius(68)) == pytest.approx(1)


def test_a_cold_wash() -> None:
    """P: TM 11-2323, stated for prints: twice at 50 F, four times at 35 F."""
    assert cold_wash_factor(celsius(50)) == pytest.approx(2)
    assert cold_wash_factor(celsius(35)) == pytest.approx(4)


def test_continuous_agitation_shortens() -> None:
    """M: by 10 to 20 % against intermittent, which is 12.5 % of the time (P: Navy 14209)."""
    assert 0.8 <= agitated_time(10 * MINUTE, 1.0) / (10 * MINUTE) <= 0.9
    assert agitated_time(10 * MINUTE, 0.125) == 10 * MINUTE


def test_newtons_law_in_an_exercise() -> None:
    """M, an exercise: 150 to 140 in 6 min, surroundings 60; C: 118 is reached at 22.38 min."""
    bath = DriftingBath(150, 60, constant_from_readings(150, 140, 6 * MINUTE, 60))
    assert bath.celsius_at(22.38 * MINUTE) == pytest.approx(118, abs=0.01)


def test_a_warm_bath_that_cools() -> None:
    """C: 30 C, room 20, time constant 45 min, 60 kJ/mol, 15 min."""
    bath = DriftingBath(30, 20, 45 * MINUTE)
    assert bath.celsius_at(15 * MINUTE) == pytest.approx(27.17, abs=0.01)
    assert delivered_ms(bath, 15 * MINUTE, 20, 60) / MINUTE == pytest.approx(30.08, abs=0.02)
    assert time_at(15 * MINUTE, 30, 20, 60) / MINUTE == pytest.approx(33.79, abs=0.02)


def test_ten_minutes_asked_of_a_bath_that_cools() -> None:
    """C: 24 C, room 18, time constant 60 min, 60 kJ/mol: 10 min at 20 C are reached at 7.39."""
    found = time_in(DriftingBath(24, 18, 60 * MINUTE), 10 * MINUTE, 20, 60)
    assert found.time_ms / MINUTE == pytest.approx(7.39, abs=0.02)


def test_heat_lost_by_an_open_tank() -> None:
    """M: water 90 F, air 60 F: surface 130, bare wall 50 Btu/(ft2 h); C: in W/(m2 K), 1 %."""
    btu_per_ft2_h_f = 5.678263  # W/(m2 K)
    assert pytest.approx(130 / 30 * btu_per_ft2_h_f, rel=0.01) == SURFACE_W_PER_M2_K
    assert pytest.approx(50 / 30 * btu_per_ft2_h_f, rel=0.01) == WALL_W_PER_M2_K


@settings(max_examples=25, deadline=None)
@given(
    start=st.floats(10, 40),
    room=st.floats(5, 35),
    constant_min=st.floats(0.5, 300),
    minutes=st.floats(1, 60),
    energy=st.floats(35, 90),
)
def test_development_delivered_against_an_integrator(start, room, constant_min, minutes, energy):
    """scipy.integrate.solve_ivp integrates temperature and development together."""

    def slopes(_: float, state):
        temperature, _done = state
        pace = exp(energy / 8.314463e-3 * (1 / 293.15 - 1 / (temperature + 273.15)))
        return [-(temperature - room) / constant_min, pace]

    whole = solve_ivp(slopes, (0, minutes), [start, 0.0], "LSODA", rtol=1e-10, atol=1e-10)
    bath = DriftingBath(start, room, constant_min * MINUTE)
    assert delivered_ms(bath, minutes * MINUTE, 20, energy) / MINUTE == pytest.approx(
        whole.y[1, -1], rel=1e-5
    )


def test_carry_over_by_ideal_mixing() -> None:
    """C: 10 ml into 500 ml is 0.0196; three changes leave 7.5e-6."""
    assert carry_over(10, 500) == pytest.approx(0.0196, abs=5e-5)
    assert in_changes(1.0, 3, 500, 10).left_g_per_m2 == pytest.approx(7.5e-6, rel=0.01)


#: C: 10 ml of 150 g/l cling to a roll.
BEFORE = clinging_g_per_m2(150, 10, 0.0516)


def test_the_limit_after_washing() -> None:
    """P: 0.014 g/m2 of thiosulphate, the figure quoted for ISO 18901."""
    for left, enough in ((0.0139, True), (0.0141, False)):
        assert in_changes(left * 51**2, 2, 500, 10).enough == enough
    found = in_changes(BEFORE, 2, 500, 10)
    by_hand = 150 * 0.010 / 0.0516 * (10 / 510) ** 2  # g/m2
    assert found.left_g_per_m2 == pytest.approx(by_hand)
    assert found.enough == (by_hand <= 0.014)
    assert in_changes(BEFORE, found.least, 500, 10).enough
    assert not in_changes(BEFORE, found.least - 1, 500, 10).enough


def test_running_water_halves_it_each_minute() -> None:
    """P: Navy training manual 14209; twice as long at 50 F, TM 11-2323, stated for prints."""
    assert in_running_water(BEFORE, 12).left_g_per_m2 == pytest.approx(BEFORE / 4096)
    cold = cold_wash_factor(celsius(50))
    assert in_running_water(BEFORE, 12, cold).left_g_per_m2 == pytest.approx(BEFORE / 64)
    for slower in (1, cold):
        least = in_running_water(BEFORE, 0, slower).least
        assert in_running_water(BEFORE, least, slower).enough
        assert not in_running_water(BEFORE, least - 1, slower).enough
