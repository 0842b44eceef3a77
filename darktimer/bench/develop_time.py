"""How long to develop: at the temperatures a bath may really have, and in one that drifts.

Knows what a develop asks for, and computes what would do the same work. Only a develop that asks
for it gets another time than the one written.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from darktimer.bench.bench_error import blamed_on
from darktimer.bench.drift import (
    DriftingBath,
    DriftTime,
    constant_from_readings,
    constant_from_vessel,
    time_in,
)
from darktimer.bench.rate import GUESS, Activation, time_at
from darktimer.bench.recipe import Recipe
from darktimer.bench.vessel import VesselGeometry
from darktimer.errors import Finding, FindingsError, KeyPath
from darktimer.plan.baths import of_bath
from darktimer.plan.model import Plan
from darktimer.plan.steps import Develop
from darktimer.plan.temperature import ThermometerReading
from darktimer.units import LONGEST_MS, whole_second

#: No film is put in and taken out again sooner; common practice, with no source.
LEAST_MS: Final = 10_000
OFFSETS_CELSIUS: Final = (-4.0, -2.0, 2.0, 4.0)
_BY_READINGS: Final = "from two readings of the thermometer"
_BY_VESSEL: Final = "roughly, from vessel and room; evaporation, which cools, is left out"


@dataclass(frozen=True, slots=True)
class DevelopTime:
    """What is written, what would do the same now, and what the plan makes of it.

    ``source`` is the step's index in the plan.
    ``planned_ms`` is written for ``for_celsius``; the bath begins at ``celsius``, where
    ``steady_ms`` does the same. ``elsewhere`` holds pairs of degrees Celsius and ms. ``drifting``
    is None where nothing tells how the bath drifts; ``constant_ms`` is then 0. ``adjust`` is what
    the plan asks for, empty where it asks for nothing, and ``time_ms`` what follows from it.
    ``agitation`` is what the usual rule says of that time, where somebody asked it.
    """

    step: str
    source: int
    planned_ms: int
    celsius: float
    elsewhere: tuple[tuple[float, int], ...]
    kj_per_mol: float
    warning: str
    drifting: DriftTime | None
    for_celsius: float
    steady_ms: int
    room_celsius: float | None
    constant_ms: float
    constant_from: str
    adjust: str
    time_ms: int
    agitation: str = ""

    @property
    def alike_ms(self) -> int:
        """What would do the same as the time written, in the bath as it is and drifts."""
        return self.drifting.time_ms if self.drifting else self.steady_ms


def develop_times(
    plan: Plan,
    recipes: Mapping[str, Recipe],
    vessel: VesselGeometry | None,
    reading: ThermometerReading | None = None,
) -> Iterator[DevelopTime]:
    """The times of each develop of ``plan`` as written, where it gives a temperature.

    ``recipes`` are by the key of their bath. ``reading`` is a thermometer read again, in place of
    the plan's own: it shows another drift, but ``time_ms`` is the plan's business alone. Raises
    `FindingsError` where readings do not go towards the room, or where what the plan asks for
    cannot be told.
    """
    for place, step in enumerate(plan.steps):
        celsius = plan.celsius(step)
        if isinstance(step, Develop) and celsius is not None:
            energy = _activation(step, of_bath(step, recipes))
            yield _develop_time(plan, place, step, celsius, energy, vessel, reading)


def _develop_time(
    plan: Plan,
    place: int,
    step: Develop,
    celsius: float,
    activation: Activation,
    vessel: VesselGeometry | None,
    reading: ThermometerReading | None,
) -> DevelopTime:
    at = celsius if step.time_is_for is None else step.time_is_for
    energy = activation.kj_per_mol
    steady_ms = time_at(step.develop, at, celsius, energy)
    _refuse_absurd(step, place, steady_ms)

    def in_bath(bath: DriftingBath | None) -> DriftTime | None:
        return bath and time_in(bath, step.develop, at, energy)

    bath, known_from = drifting_bath(plan, place, vessel)
    own = in_bath(bath)
    if own:
        _refuse_absurd(step, place, own.time_ms)
    if reading:
        bath, known_from = drifting_bath(plan, place, vessel, reading)
    offset = [celsius + each for each in OFFSETS_CELSIUS]
    temperatures = [each for each in offset if 0 <= each <= 100 and each != at]
    alike = [(each, time_at(step.develop, at, each, energy)) for each in temperatures]
    return DevelopTime(
        step=step.called,
        source=place,
        planned_ms=step.develop,
        celsius=celsius,
        elsewhere=tuple((each, ms) for each, ms in alike if LEAST_MS <= ms <= LONGEST_MS),
        kj_per_mol=energy,
        warning=activation.warning,
        drifting=in_bath(bath),
        for_celsius=at,
        steady_ms=steady_ms,
        room_celsius=plan.room,
        constant_ms=bath.constant_ms if bath else 0.0,
        constant_from=known_from,
        adjust=step.adjust or "",
        time_ms=_time_ms(step, place, steady_ms, own),
    )


def _activation(step: Develop, recipe: Recipe | None) -> Activation:
    if step.activation_energy:
        return Activation(step.activation_energy, "given")
    return recipe.activation if recipe else GUESS


def drifting_bath(
    plan: Plan, place: int, vessel: VesselGeometry | None, reading: ThermometerReading | None = None
) -> tuple[DriftingBath | None, str]:
    """How the bath of the step at ``place`` drifts, and what tells it.

    None where the plan does not give both temperatures, or neither readings nor the vessel tell it.
    Raises `FindingsError` where readings do not go towards the room.
    """
    step = plan.steps[place]
    celsius, again = plan.celsius(step), reading or getattr(step, "drifts_to", None)
    if celsius is None or plan.room is None:
        return None, ""
    with blamed_on("steps", place, *([] if reading else ["drifts to"])):
        if again:
            constant_ms = constant_from_readings(celsius, again.celsius, again.after_ms, plan.room)
            return DriftingBath(celsius, plan.room, constant_ms), _BY_READINGS
        if vessel and vessel.open_cm2:
            return DriftingBath(celsius, plan.room, constant_from_vessel(vessel)), _BY_VESSEL
    return None, ""


def _time_ms(step: Develop, place: int, steady_ms: int, drift: DriftTime | None) -> int:
    """What the develop is to last, to the full second where it is not as written."""
    if step.adjust is None:
        return step.develop
    time_ms = steady_ms
    if step.adjust == "for drift":
        if drift is None:
            found = "how fast the bath drifts is not known"
            remedy = "add drifts to: 22 C after 10 min; of an open vessel its size or diameter does"
            raise FindingsError([Finding(("steps", place, "adjust"), found, remedy)])
        time_ms = drift.time_ms
    return whole_second(time_ms)


def _refuse_absurd(step: Develop, place: int, time_ms: int) -> None:
    """A time that no hand can keep to says that the bath, or what is written of it, is absurd."""
    path: KeyPath = ("steps", place, "adjust") if step.adjust else ("steps", place)
    if time_ms < LEAST_MS:
        found = "in a bath as warm as this the develop would be over in under 10 s"
        raise FindingsError([Finding(path, found, "cool the bath")])
    if time_ms > LONGEST_MS:
        found = "in a bath as cold as this the develop would last longer than 48 hours"
        raise FindingsError([Finding(path, found, "warm the bath")])
