"""The bench sheet: everything to weigh, mix, mind and throw away for one plan, before the dark.

Puts together what the rest of the bench computes. Knows no page and no terminal.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any, Final

from darktimer.bench.afterwards import fixing_and_washing
from darktimer.bench.amount import Need, need, shortfall
from darktimer.bench.batch import containers, dilute
from darktimer.bench.cautions import GENERAL, cautions_of, discarding
from darktimer.bench.film import Load
from darktimer.bench.ingredients import Plant
from darktimer.bench.measures import METRIC, Measures
from darktimer.bench.mixing import Item, Mixture, mixture
from darktimer.bench.rate import GUESS
from darktimer.bench.recipe import Recipe
from darktimer.bench.refusal import BenchError
from darktimer.bench.substances import Form
from darktimer.bench.times import DevelopTime, Reading, develop_time
from darktimer.bench.tonight import WATER, Use, bath_celsius, film_of, uses_of, vessel_of
from darktimer.bench.vessel import Vessel
from darktimer.plan.model import Plan
from darktimer.plan.steps import Develop

_WITH_PH: Final = ("developer", "stop")  # of other baths a pH would only mislead
_WEARING: Final = ("developer", "stop", "fixer")  # baths that film uses up


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the person says of the bench: forms at hand, step of the scale, containers, measures."""

    have: tuple[Form, ...] = ()
    scale_g: float = 0.1
    container_ml: float | None = None
    reading: Reading | None = None
    say: Measures = METRIC


@dataclass(frozen=True, slots=True)
class BathSheet:
    """One bath: ``volume_ml`` is all of it, ``fills`` times ``fill_ml``, in whole containers.

    ``recipe`` is empty where none is known. Stock and water are 0 where nothing is diluted.
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
    doubt: str
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


@dataclass(frozen=True, slots=True)
class _Made:
    """A bath with what it was made from, for what is seen only over the whole bench."""

    page: BathSheet
    forms: tuple[Form, ...]


def bench_sheet(plan: Plan, recipes: Mapping[str, Recipe], wishes: Wishes = Wishes()) -> Sheet:
    """The bench sheet for ``plan``; ``recipes`` holds a recipe by the name of its bath.

    Raises `FindingsError` where the plan does not say enough, `BenchError` where a form at hand
    is no replacement or finds no use.
    """
    film = film_of(plan)
    vessel = vessel_of(plan, film)
    made = [_bath(use, recipes.get(use.name), vessel, film, plan, wishes) for use in uses_of(plan)]
    forms = [form for each in made for form in each.forms]
    _all_used(wishes.have, forms)
    return Sheet(
        plan.title,
        f"{film.pieces} x {film.format}",
        film.area_m2,
        film.rolls,
        film.displaced_ml,
        vessel.basis,
        vessel.cover_ml,
        vessel.doubt,
        tuple(each.page for each in made),
        tuple(_times(plan, recipes, wishes.reading)),
        tuple(fixing_and_washing(plan, recipes, vessel.cover_ml, film, wishes.say)),
        (*cautions_of(forms, _hottest(recipes.values())), *GENERAL),
    )


def _bath(
    use: Use, recipe: Recipe | None, vessel: Vessel, film: Load, plan: Plan, wishes: Wishes
) -> _Made:
    capacity = recipe.capacity_m2_per_l if recipe else None
    wanted = need(vessel, film, capacity)
    fills = 1 if recipe and recipe.use == "again" else use.fills
    volume_ml = fills * wanted.volume_ml
    if wishes.container_ml and use.name != WATER:
        volume_ml = containers(volume_ml, wishes.container_ml).total_ml
    stock_ml, water_ml = dilute(*((recipe and recipe.dilution) or (1.0, 0.0)), volume_ml)
    mixed = _mixed(recipe, stock_ml, wishes)
    celsius = bath_celsius(plan, plan.steps[use.places[0]])
    page = BathSheet(
        name=use.name,
        recipe=recipe.title if recipe else "",
        about=(recipe.about or "") if recipe else "",
        steps=use.steps,
        fills=fills,
        fill_ml=wanted.volume_ml,
        volume_ml=volume_ml,
        why=wanted.text(wishes.say),
        stock_ml=stock_ml if water_ml else 0.0,
        water_ml=water_ml,
        items=mixed.items,
        order=mixed.order,
        acidity=_acidity(recipe, celsius),
        warnings=tuple(_warnings(recipe, wanted, vessel, film, celsius, wishes.say)),
        keeps_hours=recipe.keeps if recipe else None,
        used_again=bool(recipe and recipe.use == "again"),
        discard=tuple(_discard(use, recipe)),
    )
    return _Made(page, mixed.forms)


def _mixed(recipe: Recipe | None, volume_ml: float, wishes: Wishes) -> Mixture:
    if recipe is None:
        return Mixture((), (), ())
    return mixture(recipe, volume_ml, wishes.have, wishes.scale_g, wishes.say)


def _acidity(recipe: Recipe | None, celsius: float) -> str:
    found = recipe.acidity(celsius) if recipe and recipe.bath in _WITH_PH else None
    return found.text() if found else ""


def _warnings(
    recipe: Recipe | None, wanted: Need, vessel: Vessel, film: Load, celsius: float, say: Measures
) -> Iterator[str]:
    short = shortfall(wanted, vessel, film, vessel.cover_ml + film.displaced_ml)
    if short:
        yield short.text(say)
    if recipe and recipe.bath in _WEARING and not recipe.rolls_per_litre:
        yield "the recipe gives no capacity: the volume that covers may not be enough"
    found = recipe.acidity(celsius) if recipe and recipe.bath == "developer" else None
    if found and found.warning:
        yield found.warning


def _discard(use: Use, recipe: Recipe | None) -> Iterator[str]:
    if use.name == WATER:
        return
    kind = recipe.bath if recipe else "fixer" if use.name == "Fix" else ""
    yield from discarding(kind, recipe.discard if recipe else None)


def _times(
    plan: Plan, recipes: Mapping[str, Recipe], reading: Reading | None
) -> Iterator[DevelopTime]:
    for step in plan.steps:
        celsius = step.temperature if step.temperature is not None else plan.temperature
        if isinstance(step, Develop) and celsius is not None:
            recipe = recipes.get(step.bath or step.title)
            activation = recipe.activation if recipe else GUESS
            name = step.name or step.title
            yield develop_time(name, step.develop, celsius, activation, plan.room, reading)


def _hottest(recipes: Any) -> float | None:
    plants = [each for recipe in recipes for each in recipe.ingredients if isinstance(each, Plant)]
    return max((plant.at for plant in plants if plant.at is not None), default=None)


def _all_used(have: Sequence[Form], forms: Sequence[Form]) -> None:
    for form in have:
        if form not in forms:
            found = "nothing in these baths does its work"
            raise BenchError(form.name, found, "leave it out of what you have")
