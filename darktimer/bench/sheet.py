"""The bench sheet: everything to weigh, mix, mind and throw away for one plan, before the dark.

Puts together what the rest of the bench computes. Knows no page and no terminal.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any, Final

from darktimer.bench.bath_sheet import BathSheet, BenchOptions, bath_sheet
from darktimer.bench.bench_error import BenchError
from darktimer.bench.cautions import LOCAL_CODES, of_the_baths
from darktimer.bench.develop_time import DevelopTime, develop_times
from darktimer.bench.fixing_and_washing import fixing_and_washing
from darktimer.bench.plan_inputs import bath_celsius, bath_uses, film_of, vessel_of
from darktimer.bench.plan_warnings import of_plan
from darktimer.bench.recipe import Recipe
from darktimer.bench.recipe_lookup import FoundRecipe, recipes_in
from darktimer.bench.rules_of_thumb import agitation_rule, moving_share
from darktimer.bench.substances import FORMS, Form
from darktimer.bench.unit_system import UnitSystem
from darktimer.bench.vessel import VesselGeometry
from darktimer.errors import Finding, FindingsError
from darktimer.plan.baths import bath_key, of_bath
from darktimer.plan.film import Film
from darktimer.plan.model import Plan
from darktimer.plan.steps import Develop
from darktimer.plan.temperature import ThermometerReading

_NOTHING_FOUND: Final = FoundRecipe(None, "")


@dataclass(frozen=True, slots=True)
class Sheet:
    """The whole bench for one plan."""

    title: str
    film: str
    area_m2: float
    rolls: float
    displaced_ml: float
    vessel: str
    cover_ml: float
    warnings: tuple[str, ...]
    baths: tuple[BathSheet, ...]
    times: tuple[DevelopTime, ...]
    afterwards: tuple[str, ...]
    cautions: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        """The object that ``darktimer mix --json`` prints: ml, g, ms, m2, degrees Celsius."""
        whole = asdict(self)
        for time, shown in zip(self.times, whole["times"], strict=True):
            shown["drifting"] = time.drifting and time.drifting._asdict()
        return whole


def bench_sheet(plan: Plan, found: Mapping[str, FoundRecipe], options: BenchOptions) -> Sheet:
    """The bench sheet for ``plan``, its develop times as written; ``found`` by the key of the bath.

    Raises `FindingsError` where the plan does not say enough, `BenchError` where a form at hand is
    no replacement.
    """
    film = film_of(plan)
    vessel = vessel_of(plan, film)
    recipes = recipes_in(found)
    baths = list[BathSheet]()
    for use in bath_uses(plan):
        celsius = bath_celsius(plan, plan.steps[use.places[0]])
        here = found.get(bath_key(use.name), _NOTHING_FOUND)
        baths.append(bath_sheet(use, here, vessel, film, celsius, options))
    forms = [FORMS[name] for bath in baths for name in bath.forms]
    return Sheet(
        plan.title,
        " and ".join(_film(each, options.say) for each in plan.films),
        film.area_m2,
        film.rolls,
        film.displaced_ml,
        vessel.basis,
        vessel.cover_ml,
        tuple(_warnings(plan, recipes, vessel, options.say)),
        tuple(baths),
        tuple(_times(plan, recipes, vessel, options.reading)),
        tuple(fixing_and_washing(plan, recipes, vessel.cover_ml, film, options.say)),
        (*of_the_baths(plan, recipes, forms), LOCAL_CODES),
    )


def _film(film: Film, say: UnitSystem) -> str:
    if film.length is not None:
        return f"{say.length(film.length)} of {film.format}"
    return film.words


def _warnings(
    plan: Plan, recipes: Mapping[str, Recipe], vessel: VesselGeometry, say: UnitSystem
) -> Iterator[str]:
    for warning in of_plan(plan, recipes, say):
        yield f"{warning.found}; {warning.remedy}"
    if vessel.warning:
        yield vessel.warning


def _times(
    plan: Plan,
    recipes: Mapping[str, Recipe],
    vessel: VesselGeometry,
    reading: ThermometerReading | None,
) -> Iterator[DevelopTime]:
    if reading and plan.room is None:
        found = "the temperature of the room is missing, and a reading needs it"
        raise FindingsError([Finding((), found, "add a line room: 19 C")])
    for place, step in enumerate(plan.steps):
        if reading and isinstance(step, Develop) and plan.celsius(step) is None:
            found = "the temperature the bath begins at is missing, and a reading needs it"
            raise FindingsError([Finding(("steps", place), found, "add temperature: 20 C")])
    for time in develop_times(plan, recipes, vessel, reading):
        yield replace(time, agitation=_agitation(plan, recipes, time))


def _agitation(plan: Plan, recipes: Mapping[str, Recipe], time: DevelopTime) -> str:
    step = plan.steps[time.source].changed(develop=time.time_ms)
    assert isinstance(step, Develop)
    recipe = of_bath(step, recipes)
    meant = float(recipe.agitation) if recipe and recipe.agitation else None
    return agitation_rule(time.time_ms, moving_share(plan, step), meant)


def all_used(have: Sequence[Form], sheets: Sequence[Sheet]) -> None:
    """Raises `BenchError` for a form at hand that is in none of the baths."""
    forms = {name for sheet in sheets for bath in sheet.baths for name in bath.forms}
    for form in have:
        if form.name not in forms:
            found = "nothing in these baths does its work"
            raise BenchError(form.name, found, "leave it out of what you have")
