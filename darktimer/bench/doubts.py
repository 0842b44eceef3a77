"""What is doubtful about a plan's film, vessel and baths before anything is weighed.

Both ``check`` and ``mix`` say it, and this is where it comes from. What tonight's scale and forms
add is the bench sheet's business.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Final

from darktimer.bench.alkali import alkali_of, dissolved
from darktimer.bench.fit import misfits
from darktimer.bench.ingredients import known_masses
from darktimer.bench.measures import METRIC, Measures
from darktimer.bench.recipe import Recipe
from darktimer.bench.solubility import undissolved
from darktimer.bench.straying import straying
from darktimer.bench.substances import Form
from darktimer.bench.tonight import bath_celsius, uses_of
from darktimer.errors import Finding
from darktimer.plan.baths import bath_key, bath_name, is_water, of_bath
from darktimer.plan.model import Plan
from darktimer.plan.steps import AnyStep, Stop

_SPOILS: Final = "acid throws sulphur out of the thiosulphate, where no sulphite is with it"


def doubts(plan: Plan, recipes: Mapping[str, Recipe]) -> Iterator[Finding]:
    """Everything that is doubtful; ``recipes`` are by the key of their bath."""
    yield from of_plan(plan, recipes)
    for use in uses_of(plan):
        if recipe := recipes.get(bath_key(use.name)):
            place, masses = use.places[0], known_masses(recipe.ingredients)
            celsius = bath_celsius(plan, plan.steps[place])
            for each in of_mixture(list(masses), recipe.batch_ml, celsius):
                yield Finding(("steps", place), f"{use.name}: {each.found}", each.mend)


def of_plan(plan: Plan, recipes: Mapping[str, Recipe], say: Measures = METRIC) -> Iterator[Finding]:
    """What is doubtful about the film in the vessel, and about one bath after another."""
    yield from misfits(plan, say)
    yield from straying(plan, say)
    for place, (stop, fix) in enumerate(pairwise(plan.steps)):
        fixer = of_bath(fix, recipes)
        if _sour(stop, of_bath(stop, recipes)) and fixer and _unpreserved(fixer.parts()):
            found = f"film carries acid from {bath_name(stop)} into {bath_name(fix)}: {_SPOILS}"
            yield Finding(("steps", place + 1), found, "write a line - rinse: 1 min between them")


def of_mixture(
    masses: Sequence[tuple[Form, float]], volume_ml: float, celsius: float
) -> Iterator[Finding]:
    """What is doubtful about ``volume_ml`` of a bath at ``celsius`` that holds so many grams."""
    for form, grams in masses:
        if found := undissolved(form, 1000 * grams / volume_ml, celsius):
            yield Finding((), found, "mix it weaker, or use it warmer")
    acid = any(alkali_of(form) < 0 for form, _ in masses)
    if acid and _unpreserved(dissolved(masses, volume_ml)):
        yield Finding((), _SPOILS, "add sodium sulphite, or leave the acid out")


def _sour(step: AnyStep, recipe: Recipe | None) -> bool:
    """Whether film comes out of a step acid; a stop whose recipe is not known is taken for it."""
    if not isinstance(step, Stop) or is_water(bath_name(step)):
        return False
    masses = known_masses(recipe.ingredients) if recipe else ()
    return recipe is None or any(alkali_of(form) < 0 for form, _ in masses)


def _unpreserved(parts: Collection[str]) -> bool:
    return "thiosulphate" in parts and "sulphite" not in parts
