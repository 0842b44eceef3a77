"""What is wrong with a recipe: everything in it that cannot be mixed as written.

Knows how the parts of a recipe must agree. What each of them may be is the recipe's business.
"""

from collections.abc import Iterator
from math import isclose

from darktimer.bench.batch_water import LEAST_ML_PER_GRAM_STEEPED, ML_PER_GRAM
from darktimer.bench.bench_error import BenchError
from darktimer.bench.ingredients import (
    Drink,
    Goods,
    Liquid,
    Plant,
    Substance,
    poured_ml,
    solids_g,
    steeped_ml,
)
from darktimer.bench.recipe import Recipe
from darktimer.bench.solubility import undissolved
from darktimer.bench.unit_system import METRIC
from darktimer.errors import Finding, KeyPath


def faults(recipe: Recipe) -> Iterator[Finding]:
    """Everything in ``recipe`` that cannot be mixed as written."""
    yield from _batch(recipe)
    yield from _overfull(recipe)
    yield from _energy(recipe)
    if not 0 <= recipe.temperature <= 100:
        found = f"{recipe.temperature:g} C is not a temperature of water"
        yield Finding(("temperature",), found, "write a temperature from 0 C to 100 C")
        return  # what dissolves cannot be told
    if recipe.water_at is not None:
        yield from _hot(recipe.water_at, ("water at",))
    if recipe.in_place_of_water:
        yield from _drink(recipe, recipe.in_place_of_water, ("in place of water",))
    for index, each in enumerate(recipe.ingredients):
        path = ("ingredients", index)
        if isinstance(each, Substance):
            yield from _dissolving(recipe, each, path)
            yield from _share(each, path)
        if not isinstance(each, Liquid):
            yield from _tablets(each, path)
        if isinstance(each, Plant):
            yield from _plant(recipe, each, path)
        if isinstance(each, Liquid):
            yield from _acid(each, path)


def _batch(recipe: Recipe) -> Iterator[Finding]:
    if recipe.makes and recipe.added_to:
        found = "both 'makes' and 'added to' are written"
        yield Finding(("added to",), found, "keep one: they differ by what the powders take up")
    if recipe.ingredients and not (recipe.makes or recipe.added_to):
        remedy = "add makes: 1 l for a final volume, or added to: 1 l for water measured first"
        yield Finding((), "neither 'makes' nor 'added to' is written", remedy)
    if recipe.comes_in and not recipe.bought:
        found = "nothing says how much of the bottle goes into the bath"
        remedy = "add dilution: 1+9, or 1+0 for what is used as it is"
        if recipe.ingredients:
            found, remedy = "what is mixed is not bought", "write it with an ingredient"
        yield Finding(("comes in",), found, remedy)


def _energy(recipe: Recipe) -> Iterator[Finding]:
    if recipe.activation_energy and recipe.times:
        found = "both 'activation energy' and 'times' are written"
        yield Finding(("times",), found, "keep one of them")
    try:
        _ = recipe.activation
    except BenchError as error:
        yield Finding(("times",), error.found, error.remedy)


def _dissolving(recipe: Recipe, each: Substance, path: KeyPath) -> Iterator[Finding]:
    """Carbonate beyond its limit; what else is in a bath changes that of other substances."""
    if each.substance.acts != "carbonate":
        return
    g_per_l = 1000 * each.grams / recipe.batch_ml
    if found := undissolved(each.substance, g_per_l, recipe.temperature):
        yield Finding((*path, "amount"), found, "write less, or a warmer temperature")


def _share(each: Substance, path: KeyPath) -> Iterator[Finding]:
    if each.share > 1:
        whole = METRIC.mass(each.amount.each_g)
        found = f"{METRIC.mass(each.share * each.amount.each_g)} of {whole}"
        yield Finding((*path, "of which"), found, "write no more than the whole")


def _tablets(each: Substance | Plant | Goods, path: KeyPath) -> Iterator[Finding]:
    """A pack of tablets is one of those that are asked for."""
    sold, wanted = each.comes_in, each.amount
    if not (sold and sold.unit):
        return
    if sold.unit == wanted.unit and isclose(sold.each_g, wanted.each_g):
        return
    found = f"{sold.text()} in a pack, and the recipe takes {wanted.text()}"
    yield Finding((*path, "comes in"), found, "write the pack of what it takes")


def _drink(recipe: Recipe, drink: Drink, path: KeyPath) -> Iterator[Finding]:
    yield from _acid(drink, path)
    if not recipe.ingredients:
        found = f"nothing is added to {drink.drink}"
        yield Finding(path, found, "add makes: 1 l, and ingredients: with what goes into it")


def _overfull(recipe: Recipe) -> Iterator[Finding]:
    """The first ingredient with which more is in the batch than it holds."""
    batch, liquid_ml, solid_ml = recipe.batch_ml, 0.0, 0.0
    for index, each in enumerate(recipe.ingredients):
        liquid_ml += poured_ml(each) + steeped_ml(each)
        solid_ml += ML_PER_GRAM * solids_g((each,))
        whole_ml = liquid_ml + solid_ml if recipe.makes else max(liquid_ml, solid_ml)
        if whole_ml > batch * (1 + 1e-9):
            found = (
                f"with this, {METRIC.volume(whole_ml)} go into a batch of {METRIC.volume(batch)}"
            )
            key = "water" if steeped_ml(each) else "amount"
            yield Finding(("ingredients", index, key), found, "write less, or a larger batch")
            return


def _plant(recipe: Recipe, each: Plant, path: KeyPath) -> Iterator[Finding]:
    plants = [plant for plant in recipe.ingredients if isinstance(plant, Plant)]
    water_ml = recipe.waters().steeped_ml[plants.index(each)]
    if water_ml < LEAST_ML_PER_GRAM_STEEPED * each.amount.g:
        least = METRIC.volume(LEAST_ML_PER_GRAM_STEEPED * each.amount.g)
        found = f"there is {METRIC.volume(max(0.0, water_ml))} of water to steep it in"
        remedy = f"it soaks up most of that: give it {least} or more, or write less of it"
        yield Finding((*path, "water" if each.water else "amount"), found, remedy)
    for key, celsius in (("at", each.at), ("cool to", each.cool_to)):
        if celsius is not None:
            yield from _hot(celsius, (*path, key))


def _hot(celsius: float, path: KeyPath) -> Iterator[Finding]:
    if not 0 <= celsius <= 100:
        found = f"{celsius:g} C is not a temperature of water"
        yield Finding(path, found, "write how hot the water is, such as 90 C")


def _acid(each: Liquid | Drink, path: KeyPath) -> Iterator[Finding]:
    if each.acid and not each.strength:
        found = f"the strength of its {each.acid.name} is missing"
        yield Finding(path, found, "add strength: 5 % for 5 g in 100 ml")
    if each.strength and not each.acid:
        yield Finding((*path, "strength"), "a strength of nothing", "add acid: and its name")
