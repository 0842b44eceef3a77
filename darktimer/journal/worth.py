"""What a develop was worth: the time at one temperature that would have done the same.

Knows what was written down of its bath when the run began, and what is known of it since. A bath
that was measured warmer, or a film that was lifted late, was developed more than planned.
"""

from typing import NamedTuple

from darktimer.bench.develop_time import DevelopTime
from darktimer.bench.drift import DriftingBath, delivered_ms, time_in
from darktimer.bench.rate import rate
from darktimer.journal.runs import Basis


class Worth(NamedTuple):
    """A develop as it was planned and as it was done, both as a time at ``celsius``.

    ``celsius`` is None where the plan gives no temperature, and times are then taken as they are.
    """

    planned_ms: float
    done_ms: float
    celsius: float | None


def basis_of(time: DevelopTime) -> Basis:
    """What is worth writing down of a develop's time before it is carried out."""
    return Basis(
        source=time.source,
        written_ms=time.planned_ms,
        carried_ms=time.time_ms,
        adjust=time.adjust,
        for_celsius=time.for_celsius,
        celsius=time.celsius,
        kj_per_mol=time.kj_per_mol,
        doubt=time.warning,
        room_celsius=time.room_celsius,
        constant_ms=time.constant_ms,
    )


def worth(basis: Basis, done_ms: int, measured_celsius: float | None) -> Worth:
    """What ``done_ms`` was worth in a bath that began at the measured temperature, if one was."""
    began = basis.celsius if measured_celsius is None else measured_celsius
    if basis.celsius is None or began is None:
        return Worth(basis.carried_ms, done_ms, None)
    return Worth(
        _delivered_ms(basis, basis.celsius, basis.carried_ms),
        _delivered_ms(basis, began, done_ms),
        basis.for_celsius,
    )


def written_for(basis: Basis, wanted_ms: float) -> float:
    """What to write into the plan so that, in the bath as planned, it is worth ``wanted_ms``."""
    if basis.celsius is None or basis.adjust == "for drift":
        return wanted_ms
    faster = rate(basis.celsius, basis.for_celsius, basis.kj_per_mol)
    bath = _bath(basis, basis.celsius)
    last_ms = (
        time_in(bath, round(wanted_ms), basis.for_celsius, basis.kj_per_mol).time_ms
        if bath
        else wanted_ms / faster
    )
    return last_ms * faster if basis.adjust else last_ms


def _delivered_ms(basis: Basis, began_celsius: float, time_ms: float) -> float:
    bath = _bath(basis, began_celsius)
    if bath is None:
        return time_ms * rate(began_celsius, basis.for_celsius, basis.kj_per_mol)
    return delivered_ms(bath, time_ms, basis.for_celsius, basis.kj_per_mol)


def _bath(basis: Basis, began_celsius: float) -> DriftingBath | None:
    """The bath as it drifts; None where it is taken to keep its temperature."""
    if basis.room_celsius is None or not basis.constant_ms:
        return None
    return DriftingBath(began_celsius, basis.room_celsius, basis.constant_ms)
