"""What a develop was worth, against the rate of reaction integrated by a numerical library."""

from math import exp

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from darktimer.journal.runs import Basis
from darktimer.journal.worth import worth, written_for

GAS_KJ = 8.314462618e-3  # kJ/(mol K): CODATA 2018


def integral_ms(basis: Basis, began: float, time_ms: float) -> float:
    """The rate after Arrhenius, in a bath that goes to the room after Newton, over the time."""
    room, constant_ms = basis.room_celsius, basis.constant_ms

    def rate(at_ms: float) -> float:
        drift = exp(-at_ms / constant_ms) if constant_ms else 1.0
        celsius = began if room is None else room + (began - room) * drift
        inverse = 1 / (basis.for_celsius + 273.15) - 1 / (celsius + 273.15)
        return exp(basis.kj_per_mol / GAS_KJ * inverse)

    value: float = quad(rate, 0, time_ms, epsabs=1e-3, epsrel=1e-9, limit=500)[0]
    return value


BASES = st.builds(
    Basis,
    source=st.just(1),
    written_ms=st.just(600_000),
    carried_ms=st.integers(60_000, 3_600_000),
    adjust=st.sampled_from(["", "for temperature", "for drift"]),
    for_celsius=st.floats(16, 26),
    celsius=st.floats(14, 30),
    kj_per_mol=st.floats(40, 90),
    room_celsius=st.none() | st.floats(10, 32),
    constant_ms=st.just(0.0) | st.floats(600_000, 9_000_000),
)


@given(BASES, st.integers(60_000, 3_600_000), st.none() | st.floats(14, 30))
def test_what_was_done_is_worth_the_integral(
    basis: Basis, done_ms: int, measured: float | None
) -> None:
    found = worth(basis, done_ms, measured)
    began = basis.celsius if measured is None else measured
    assert began is not None
    assert basis.celsius is not None
    assert found.celsius == basis.for_celsius
    assert found.done_ms == pytest.approx(integral_ms(basis, began, done_ms), rel=1e-6)
    planned = integral_ms(basis, basis.celsius, basis.carried_ms)
    assert found.planned_ms == pytest.approx(planned, rel=1e-6)


@given(BASES, st.integers(120_000, 3_600_000))
def test_what_is_to_be_written_is_worth_what_was_wanted(basis: Basis, wanted_ms: int) -> None:
    """Carried out as the plan asks, in the bath as planned; a time is kept to the millisecond."""
    written = written_for(basis, wanted_ms)
    began = basis.celsius
    assert began is not None
    if basis.adjust == "for drift":
        assert written == wanted_ms  # the plan finds the time itself
        return
    faster = exp(
        basis.kj_per_mol / GAS_KJ * (1 / (basis.for_celsius + 273.15) - 1 / (began + 273.15))
    )
    carried_ms = written / faster if basis.adjust else written
    assert integral_ms(basis, began, carried_ms) == pytest.approx(wanted_ms, rel=1e-4)


def test_without_a_temperature_times_are_taken_as_they_are() -> None:
    plain = Basis(1, 600_000, 600_000)
    assert worth(plain, 700_000, 25.0) == (600_000, 700_000, None)
    assert written_for(plain, 500_000.0) == 500_000.0
