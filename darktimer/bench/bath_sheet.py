"""The sheet of one bath: how much, of what, in which order, with what to mind and where it goes.

Puts together what the rest of the bench computes for a bath. Knows no other bath.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from darktimer.bench.alkali import AfterAcid, after_acid
from darktimer.bench.amount import full_containers, need
from darktimer.bench.bath_at_hand import BathAtHand
from darktimer.bench.cautions import discarding
from darktimer.bench.film import FilmLoad
from darktimer.bench.mixing_steps import in_order
from darktimer.bench.mixture import Item, mixture
from darktimer.bench.plan_inputs import BathUse
from darktimer.bench.plan_warnings import of_mixture, of_recipe, of_use, sentences
from darktimer.bench.recipe import Recipe
from darktimer.bench.recipe_lookup import FoundRecipe
from darktimer.bench.substances import Form
from darktimer.bench.unit_system import METRIC, UnitSystem
from darktimer.bench.vessel import VesselGeometry
from darktimer.plan.baths import bath_key
from darktimer.plan.temperature import ThermometerReading

_WITH_PH: Final = ("developer", "activator", "stop")  # of other baths a pH would only mislead


@dataclass(frozen=True, slots=True)
class BenchOptions:
    """What the person has: forms, step of the scale, containers, measures, baths kept."""

    have: tuple[Form, ...] = ()
    scale_g: float = 0.1
    container_ml: float | None = None
    reading: ThermometerReading | None = None
    say: UnitSystem = METRIC
    kept: tuple[BathAtHand, ...] = ()


@dataclass(frozen=True, slots=True)
class BathSheet:
    """One bath: ``volume_ml`` is all of it, ``fills`` times ``fill_ml``, in whole containers.

    ``recipe`` is empty where none is known; ``found`` then says what is near, and else where it
    lies. Stock and water are 0 where nothing is diluted, water alone where it is bought so.
    ``containers`` is 0 where none are asked for, ``spare_ml`` what they hold beyond need. ``kept``
    is empty where no such bath is kept; ``ready`` is True where that serves, and then the sheet
    holds nothing of mixing. ``after_acid`` is None where alkali and acid do not meet in it.
    ``pack_ml`` is the bottle it is bought in, ``forms`` are the substances known to be in it.
    """

    name: str
    recipe: str
    about: str
    steps: tuple[str, ...]
    fills: int
    fill_ml: float
    volume_ml: float
    why: str
    acidity: str
    warnings: tuple[str, ...]
    keeps_hours: int | None
    used_again: bool
    discard: tuple[str, ...]
    found: str
    kept: str
    ready: bool
    stock_ml: float = 0.0
    water_ml: float = 0.0
    items: tuple[Item, ...] = ()
    order: tuple[str, ...] = ()
    containers: int = 0
    container_ml: float = 0.0
    spare_ml: float = 0.0
    after_acid: AfterAcid | None = None
    pack_ml: float | None = None
    forms: tuple[str, ...] = ()


def bath_sheet(
    use: BathUse,
    found: FoundRecipe,
    vessel: VesselGeometry,
    film: FilmLoad,
    celsius: float,
    options: BenchOptions,
) -> BathSheet:
    """The sheet of one bath at ``celsius``.

    Raises `BenchError` where a form at hand is no replacement for the recipe's.
    """
    recipe, say = found.recipe, options.say
    wanted = need(vessel, film, recipe.capacity_m2_per_l if recipe else None)
    used_again = bool(recipe and recipe.use == "again")
    kept = next((each for each in options.kept if bath_key(each.name) == bath_key(use.name)), None)
    page = BathSheet(
        name=use.name,
        recipe=recipe.title if recipe else "",
        about=(recipe.about or "") if recipe else "",
        steps=use.steps,
        fills=1 if used_again else use.fills,
        fill_ml=wanted.volume_ml,
        volume_ml=wanted.volume_ml,
        why=wanted.text(say),
        acidity=acidity_words(recipe, celsius),
        warnings=tuple(sentences(of_use(use, recipe, vessel, film, say))),
        keeps_hours=recipe.keeps if recipe else None,
        used_again=used_again,
        discard=tuple(_discard(use, recipe)),
        found=found.where,
        kept=kept.text(wanted.volume_ml, film, say) if kept else "",
        ready=kept is not None and kept.serves(wanted.volume_ml, film),
    )
    page = _filled(page, 0.0 if use.is_water else options.container_ml or 0.0)
    return _mixed(page, recipe, celsius, options) if recipe else page


def _filled(page: BathSheet, container_ml: float) -> BathSheet:
    """All of it, in whole containers where there are any; of a bath that is ready, one fill."""
    if page.ready:
        return page
    least_ml = page.fills * page.fill_ml
    number = full_containers(least_ml, container_ml) if container_ml else 0
    volume_ml = number * container_ml or least_ml
    spare_ml = max(0.0, volume_ml - least_ml)
    return replace(
        page,
        volume_ml=volume_ml,
        containers=number,
        container_ml=container_ml,
        spare_ml=spare_ml,
    )


def _mixed(page: BathSheet, recipe: Recipe, celsius: float, options: BenchOptions) -> BathSheet:
    """With every form that is in it, and with what to weigh and do, unless it is ready."""
    stock_ml = page.volume_ml * recipe.working_share
    water_ml = page.volume_ml - stock_ml
    mixed = mixture(recipe, stock_ml, options.have, options.scale_g, options.say)
    page = replace(page, forms=tuple(dict.fromkeys(form.name for form, _ in mixed.masses)))
    if page.ready:
        return page
    hard = (
        *sentences(of_recipe(recipe, celsius)),
        *(item.warning for item in mixed.items if item.warning),
        *sentences(of_mixture(mixed.masses, stock_ml, celsius, options.say)),
    )
    return replace(
        page,
        stock_ml=stock_ml if water_ml or recipe.bought else 0.0,
        water_ml=water_ml,
        items=(*filter(None, (mixed.drink,)), *mixed.items),
        order=tuple(in_order(mixed, water_ml, celsius, options.say)),
        warnings=(*page.warnings, *hard),
        pack_ml=recipe.comes_in,
        after_acid=after_acid(mixed.masses, page.volume_ml),
    )


def acidity_words(recipe: Recipe | None, celsius: float) -> str:
    """The estimated pH of a bath that one matters for; else empty."""
    if not recipe or recipe.bath not in _WITH_PH:
        return ""
    if found := recipe.acidity(celsius):
        return found.text()
    unknown = " and ".join(recipe.unmeasured)
    return f"its pH cannot be estimated: what is in the {unknown} is not known" if unknown else ""


def _discard(use: BathUse, recipe: Recipe | None) -> Iterator[str]:
    if use.is_water:
        return
    kind = "fix" if recipe and recipe.bath == "fixer" else use.kind
    yield from discarding(kind, recipe.discard if recipe else None)
