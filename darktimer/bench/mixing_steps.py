"""What is done with a recipe's ingredients, in the order in which hands do it.

Knows the words for it, and how the batch fills up.
"""

from collections.abc import Iterator
from typing import Final

from darktimer.bench.alkali import foams, is_acid, is_carbonate
from darktimer.bench.ingredients import Ingredient, Liquid, Plant, bottled
from darktimer.bench.mixture import Mixture, Part
from darktimer.bench.substances import Form
from darktimer.bench.unit_system import UnitSystem
from darktimer.units import clock

_TIMED: Final = ("developer", "activator")
_FULL: Final = 1 - 1e-9  # of the batch, whatever the last bit says


def in_order(mixed: Mixture, dilute_ml: float, celsius: float, say: UnitSystem) -> Iterator[str]:
    """What to do, one sentence or two a line; it goes into ``dilute_ml`` of water last.

    What was mixed warm, and what is timed by its temperature, has to come to ``celsius`` first.
    """
    liquid = "the concentrate" if mixed.recipe.bought else "water"
    what = f"{say.volume(mixed.volume_ml)} of {liquid}"
    if mixed.parts:
        yield from _mixing(mixed, say)
    elif not dilute_ml:
        yield f"Take {what}."
    if dilute_ml:
        poured = "it" if mixed.parts else what
        water, whole = say.volume(dilute_ml), say.volume(mixed.volume_ml + dilute_ml)
        yield f"Pour {poured} into {water} of water: {whole} to use."  # never water onto an acid
    if mixed.recipe.bath in _TIMED or _warmest(mixed) > celsius:
        yield f"Let it come to {say.temperature(celsius)} before you use it."


def _warmest(mixed: Mixture) -> float:
    """How warm water goes in, degrees Celsius; 0 where no ingredient says."""
    plants = [each for each in mixed.recipe.ingredients if isinstance(each, Plant)]
    return max([mixed.recipe.water_at or 0.0, *(each.at or 0.0 for each in plants)])


def _mixing(mixed: Mixture, say: UnitSystem) -> Iterator[str]:
    water = mixed.waters
    drink, plants = mixed.recipe.in_place_of_water, mixed.of_plants
    wet = drink.drink if drink else "water"
    if drink and drink.note:
        yield f"{drink.drink[0].upper()}{drink.drink[1:]}: {drink.note}"
    for part, steeped_ml in zip(plants, water.steeped_ml, strict=True):
        yield _steeping(part, f"{say.volume(steeped_ml)} of {wet}", say)
    if len(plants) > 1:
        yield "Pour together what was strained."
    if water.first_ml:
        begin = "Add {} of {}{} to it." if plants else "Begin with {} of {}{}."
        yield begin.format(say.volume(water.first_ml), wet, _warm(mixed.recipe.water_at, say))
    if plants and mixed.recipe.added_to:
        yield (
            f"Make it up with {wet} to {say.volume(water.all_ml)}: what was steeped has kept some."
        )
    yield from _stirring(mixed, bool(plants or water.first_ml), say)
    if mixed.recipe.makes and (plants or mixed.filled_ml < _FULL * mixed.volume_ml):
        yield f"Fill up with {wet} to {say.volume(mixed.volume_ml)}."


def _steeping(part: Part, water: str, say: UnitSystem) -> str:
    plant, item = part.ingredient, part.item
    assert isinstance(plant, Plant)
    water += _warm(plant.at, say)
    steep = f"Steep {item.amount(say)} of {item.what} in {water} for {clock(plant.steep)}."
    cool = "let it cool"
    if plant.cool_to is not None:
        cool += f" to {say.temperature(plant.cool_to)} before anything is added"
    if not item.note:
        return f"{steep} Strain it through cloth and {cool}."
    return f"{steep} {item.note}" + (f" L{cool[1:]}." if plant.cool_to is not None else "")


def _warm(celsius: float | None, say: UnitSystem) -> str:
    return "" if celsius is None else f" at {say.temperature(celsius)}"


def _stirring(mixed: Mixture, begun: bool, say: UnitSystem) -> Iterator[str]:
    """Everything but plants; liquids go first where there is no water to begin with."""
    parts = [part for part in mixed.parts if not isinstance(part.ingredient, Plant)]
    if not begun:
        parts.sort(key=lambda part: not isinstance(part.ingredient, Liquid))
    forms, poured = list[Form](), list[Ingredient]()
    for number, part in enumerate(parts):
        new = [form for form, _ in part.masses]
        forms += new
        poured.append(part.ingredient)
        sour = bottled(poured) or mixed.recipe.sour_drink
        reacts = any(map(is_carbonate, new)) or any(map(is_acid, new)) or bottled([part.ingredient])
        foaming = reacts and foams(forms, sour=sour)
        done = _adding(part, "Stir in" if begun or number else "Begin with", foaming, say)
        if foaming:  # said before the hands do it
            done = f"It {'foams' if foams(forms) else 'may foam'}: in an open vessel with {done}"
        yield f"{done} {part.item.note}".rstrip()


def _adding(part: Part, verb: str, foaming: bool, say: UnitSystem) -> str:
    item, stock = part.item, part.item.stock
    crushed = ", crushed," if item.counted and item.counted.unit == "tablet" else ""
    what = f"{verb} {item.amount(say)} of {item.what}{crushed}"
    until = " until it has dissolved"
    if stock:
        weighed, makes = say.mass(stock.weighed_g), say.volume(stock.makes_ml)
        what = f"Dissolve {weighed} of {item.what} in water to make {makes}, and stir in "
        what += f"{say.volume(stock.use_ml)} of that"
    if stock or isinstance(part.ingredient, Liquid):
        until = ""
    if not foaming:
        return f"{what}{until}."
    return f"room above, {what[0].lower()}{what[1:]} a little at a time{until}."
