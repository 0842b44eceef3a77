"""Warnings about a plan's film, vessel and baths before anything is weighed.

Both ``check`` and ``mix`` say it, and this is where it comes from. What scale and forms at hand
add is the bench sheet's business.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Final, NamedTuple

from darktimer.bench.alkali import dissolved, is_acid
from darktimer.bench.amount import need, shortfall
from darktimer.bench.develop_time import drifting_bath
from darktimer.bench.film import FilmLoad
from darktimer.bench.fit import misfits
from darktimer.bench.ingredients import Drink
from darktimer.bench.plan_inputs import BathUse, bath_celsius, bath_uses, film_of, known_vessel
from darktimer.bench.recipe import GOES_WITH, Recipe
from darktimer.bench.solubility import undissolved
from darktimer.bench.substances import Form
from darktimer.bench.unit_system import METRIC, UnitSystem
from darktimer.bench.vessel import VesselGeometry
from darktimer.errors import Finding, KeyPath
from darktimer.plan.baths import bath_key, bath_name, is_water, of_bath
from darktimer.plan.model import Plan
from darktimer.plan.piece_checks import holding_step
from darktimer.plan.steps import AnyStep, Develop, Fix, Stop
from darktimer.plan.temperature import USUAL_RANGE_CELSIUS, is_usual

_SPOILS: Final = "acid throws sulphur out of the thiosulphate, where no sulphite is with it"
#: Common practice, no source; an acid fixer ends the development.
_WORKS_ON: Final = "it goes on working there, may stain the film, and uses up the fixer"
_WEARING: Final = ("developer", "stop", "fixer")  # baths that film uses up


class _Change(NamedTuple):
    """Film that leaves the bath of one step for that of another, where that is written."""

    out_of: AnyStep
    into: AnyStep
    place: KeyPath
    remedy: str


def plan_warnings(plan: Plan, recipes: Mapping[str, Recipe]) -> Iterator[Finding]:
    """Everything that is doubtful; ``recipes`` are by the key of their bath."""
    yield from of_plan(plan, recipes)
    vessel = known_vessel(plan)
    for use in bath_uses(plan):
        recipe, place = recipes.get(bath_key(use.name)), use.places[0]
        found = [] if vessel is None else [*of_use(use, recipe, vessel, film_of(plan))]
        if recipe:
            celsius = bath_celsius(plan, plan.steps[place])
            masses = recipe.masses
            found += of_recipe(recipe, celsius)
            found += of_mixture(masses, recipe.batch_ml, celsius)
        for each in found:
            yield Finding(("steps", place), f"{use.name}: {each.found}", each.remedy)


def sentences(found: Iterable[Finding]) -> Iterator[str]:
    """Doubts as a sheet says them, where it is plain what each is about."""
    return (f"{each.found}; {each.remedy}" for each in found)


def of_plan(
    plan: Plan, recipes: Mapping[str, Recipe], say: UnitSystem = METRIC
) -> Iterator[Finding]:
    """What is doubtful about the film in the vessel, and about one bath after another."""
    yield from misfits(plan, say)
    yield from drift_warnings(plan, say)
    for change in _changes(plan):
        if carried := _carried(change.out_of, change.into, recipes):
            what, why = carried
            baths = f"from {bath_name(change.out_of)} into {bath_name(change.into)}"
            yield Finding(change.place, f"film carries {what} {baths}: {why}", change.remedy)


def _changes(plan: Plan) -> Iterator[_Change]:
    """Each change of bath: of the film, and of pieces that leave before the others."""
    for place, steps in enumerate(pairwise(plan.steps), start=1):
        yield _Change(*steps, ("steps", place), "write a line - rinse: 1 min between them")
    for place, step in enumerate(plan.steps):
        if isinstance(step, Develop) and step.pieces and step.pieces.out:
            held = holding_step(plan, place, step.pieces)
            if held is not None:
                key = ("steps", place, "pieces", "into")
                yield _Change(step, plan.steps[held], key, "write into: water, or a stop bath")


def _carried(
    out_of: AnyStep, into: AnyStep, recipes: Mapping[str, Recipe]
) -> tuple[str, str] | None:
    """What film carries from one step's bath into that of another, and what it does there."""
    fixer = of_bath(into, recipes)
    if _sour(out_of, of_bath(out_of, recipes)) and fixer and _unpreserved(fixer.parts()):
        return "acid", _SPOILS
    if isinstance(out_of, Develop) and isinstance(into, Fix) and not (fixer and _acid(fixer)):
        return "developer", _WORKS_ON
    return None


def of_use(
    use: BathUse,
    recipe: Recipe | None,
    vessel: VesselGeometry,
    film: FilmLoad,
    say: UnitSystem = METRIC,
) -> Iterator[Finding]:
    """What is doubtful about a bath for its step, and about the room that it has."""
    if recipe and recipe.bath not in GOES_WITH.get(use.kind, (recipe.bath,)):
        other = f"{recipe.title} makes another bath ({recipe.bath}) than {use.steps[0]} calls for"
        yield Finding((), other, "write the name of another recipe")
    wanted = need(vessel, film, recipe.capacity_m2_per_l if recipe else None)
    if short := shortfall(wanted, vessel, film, vessel.cover_ml + film.displaced_ml, say):
        yield short


def of_recipe(recipe: Recipe | None, celsius: float) -> Iterator[Finding]:
    """What is doubtful about a recipe whatever is mixed of it."""
    if recipe and recipe.bath in _WEARING and not recipe.rolls_per_litre:
        enough = "the volume that covers may not be enough: add rolls per litre: 10"
        yield Finding((), "the recipe gives no capacity", enough)
    if recipe and recipe.in_place_of_water:
        yield _not_known_of(recipe.in_place_of_water)
    acidity = recipe.acidity(celsius) if recipe and recipe.bath == "developer" else None
    if acidity and (strange := acidity.warning("carbonate" in (recipe.parts() if recipe else ()))):
        yield Finding((), strange, "look at its alkali and its acid again")


def _not_known_of(drink: Drink) -> Finding:
    """What a drink in place of the water leaves open, whatever was stated of it."""
    found = f"{drink.drink} stands in for the water, and what is in it is not known"
    if drink.pH is not None:
        found = (
            f"{drink.drink} stands in for the water: its pH of {drink.pH:g} does not tell how much "
            "alkali it uses up"
        )
    elif drink.acid:
        found = f"of {drink.drink}, in place of the water, only the {drink.acid.name} is counted"
    return Finding(("in place of water",), found, "measure the pH of the bath when it is mixed")


def of_mixture(
    masses: Sequence[tuple[Form, float]],
    volume_ml: float,
    celsius: float,
    say: UnitSystem = METRIC,
) -> Iterator[Finding]:
    """What is doubtful about ``volume_ml`` of a bath at ``celsius`` that holds so many grams."""
    for form, grams in masses:
        if found := undissolved(form, 1000 * grams / volume_ml, celsius, say):
            yield Finding((), found, "mix it weaker, or use it warmer")
    for caveat in dict.fromkeys(form.caveat for form, _ in masses if form.caveat):
        yield Finding((), caveat, "try the bath on a scrap of film first, with it and without")
    acid = any(is_acid(form) for form, _ in masses)
    if acid and _unpreserved(dissolved(masses, volume_ml)):
        yield Finding((), _SPOILS, "add sodium sulphite, or leave the acid out")


def _sour(step: AnyStep, recipe: Recipe | None) -> bool:
    """Whether film comes out of a step acid; a stop of unknown content is taken for it."""
    if not isinstance(step, Stop) or is_water(bath_name(step)):
        return False
    if recipe is None or recipe.bottled or recipe.unmeasured:
        return True
    return _acid(recipe)


def _acid(recipe: Recipe) -> bool:
    return any(is_acid(form) for form, _ in recipe.masses)


def _unpreserved(parts: Collection[str]) -> bool:
    return "thiosulphate" in parts and "sulphite" not in parts


def drift_warnings(plan: Plan, say: UnitSystem = METRIC) -> Iterator[Finding]:
    """Steps whose bath has another than a usual temperature by their end."""
    vessel = known_vessel(plan)
    for place, step in enumerate(plan.steps):
        bath, _ = drifting_bath(plan, place, vessel)
        if bath is None or is_water(bath_name(step)) or not is_usual(bath.start_celsius):
            continue
        start, end = bath.start_celsius, bath.celsius_at(step.time_ms or 0)
        if not is_usual(end):
            low, high = map(say.temperature, USUAL_RANGE_CELSIUS)
            found = (
                f"the bath drifts from {say.temperature(start)} to {say.temperature(end)}, outside "
                f"the usual {low} to {high}"
            )
            remedy = "stand its vessel in more water of the temperature that it is to keep"
            yield Finding(("steps", place, step.kind), found, remedy)
