"""The sheet of one bath: how much, of what, in which order, with what to mind and where it goes.

Puts together what the rest of the bench computes for a bath. Knows no other bath.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from darktimer.bench.alkali import AfterAcid, after_acid
from darktimer.bench.amount import Containers, containers, dilute, need
from darktimer.bench.bath_at_hand import BathAtHand
from darktimer.bench.cautions import discarding
from darktimer.bench.film import FilmLoad
from darktimer.bench.mixing_steps import in_order
from darktimer.bench.mixture import Item, Mixture, mixture
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
    lies. Stock and water are 0 where nothing is diluted. ``containers`` is 0 where none are asked
    for, ``spare_ml`` what they hold beyond need. ``kept`` is empty where no such bath is kept;
    ``ready`` is True where that serves, and then the sheet holds nothing of mixing. ``after_acid``
    is None where alkali and acid do not meet in it.
    """

    name: str
    recipe: str
    about: str
    steps: tuple[str, ...]
    fills: int
    fill_ml: float
    volume_ml: float
    why: str
    stock_ml: float
    water_ml: float
    items: tuple[Item, ...]
    order: tuple[str, ...]
    acidity: str
    warnings: tuple[str, ...]
    keeps_hours: int | None
    used_again: bool
    discard: tuple[str, ...]
    found: str = ""
    containers: int = 0
    container_ml: float = 0.0
    spare_ml: float = 0.0
    kept: str = ""
    ready: bool = False
    after_acid: AfterAcid | None = None


def bath_sheet(
    use: BathUse,
    found: FoundRecipe,
    vessel: VesselGeometry,
    film: FilmLoad,
    celsius: float,
    options: BenchOptions,
) -> tuple[BathSheet, tuple[Form, ...]]:
    """The sheet of one bath at ``celsius``, and every form that is in it.

    Raises `BenchError` where a form at hand is no replacement for the recipe's.
    """
    recipe = found.recipe
    capacity = recipe.capacity_m2_per_l if recipe else None
    wanted = need(vessel, film, capacity)
    fills = 1 if recipe and recipe.use == "again" else use.fills
    filled = _filled(use, fills * wanted.volume_ml, options)
    volume_ml = filled.total_ml
    stock_ml, water_ml = dilute(*((recipe and recipe.dilution) or (1.0, 0.0)), volume_ml)
    mixed = _mixed(recipe, stock_ml, options)
    masses = mixed.masses if mixed else ()
    kept = next((each for each in options.kept if bath_key(each.name) == bath_key(use.name)), None)
    page = BathSheet(
        name=use.name,
        recipe=recipe.title if recipe else "",
        about=(recipe.about or "") if recipe else "",
        steps=use.steps,
        fills=fills,
        fill_ml=wanted.volume_ml,
        volume_ml=volume_ml,
        why=wanted.text(options.say),
        stock_ml=stock_ml if water_ml else 0.0,
        water_ml=water_ml,
        items=mixed.items if mixed else (),
        order=tuple(in_order(mixed, water_ml, celsius, options.say)) if mixed else (),
        acidity=acidity_words(recipe, celsius),
        warnings=(
            *sentences(of_use(use, recipe, vessel, film, options.say)),
            *sentences(of_recipe(recipe, celsius)),
            *_hard_to_mix(mixed, celsius),
        ),
        keeps_hours=recipe.keeps if recipe else None,
        used_again=bool(recipe and recipe.use == "again"),
        discard=tuple(_discard(use, recipe)),
        found=found.where,
        containers=filled.number,
        container_ml=filled.size_ml,
        spare_ml=filled.spare_ml,
        kept=kept.text(wanted.volume_ml, film, options.say) if kept else "",
        after_acid=after_acid(masses, volume_ml),
    )
    ready = kept is not None and kept.serves(wanted.volume_ml, film)
    if ready:
        page = _ready(page, tuple(sentences(of_use(use, recipe, vessel, film, options.say))))
    return page, tuple(form for form, _ in masses)


def _ready(page: BathSheet, warnings: tuple[str, ...]) -> BathSheet:
    """The sheet of a bath that stands there mixed: how much of it, but nothing of mixing."""
    return replace(
        page,
        ready=True,
        volume_ml=page.fill_ml,
        stock_ml=0.0,
        water_ml=0.0,
        items=(),
        order=(),
        warnings=warnings,
        containers=0,
        spare_ml=0.0,
        after_acid=None,
    )


def _filled(use: BathUse, volume_ml: float, options: BenchOptions) -> Containers:
    if options.container_ml and not use.is_water:
        return containers(volume_ml, options.container_ml)
    return Containers(0, 0.0, volume_ml, 0.0)


def _mixed(recipe: Recipe | None, volume_ml: float, options: BenchOptions) -> Mixture | None:
    if recipe is None:
        return None
    return mixture(recipe, volume_ml, options.have, options.scale_g, options.say)


def acidity_words(recipe: Recipe | None, celsius: float) -> str:
    """The estimated pH of a bath that one matters for; else empty."""
    found = recipe.acidity(celsius) if recipe and recipe.bath in _WITH_PH else None
    return found.text() if found else ""


def _hard_to_mix(mixed: Mixture | None, celsius: float) -> Iterator[str]:
    """What cannot be weighed, or does not go together at its temperature."""
    if mixed:
        yield from (item.warning for item in mixed.items if item.warning)
        yield from sentences(of_mixture(mixed.masses, mixed.volume_ml, celsius))


def _discard(use: BathUse, recipe: Recipe | None) -> Iterator[str]:
    if use.is_water:
        return
    holds_silver = use.kind == "fix" or (recipe is not None and recipe.bath == "fixer")
    yield from discarding(holds_silver, recipe.discard if recipe else None)
