"""What is done with a recipe's ingredients, in the order in which hands do it.

Knows the words for it, and how the batch fills up.
"""

from collections.abc import Iterator
from typing import Final

from darktimer.bench.alkali import foams
from darktimer.bench.ingredients import Ingredient, Liquid, Plant, bottled
from darktimer.bench.mixture import Mixture, Part
from darktimer.bench.substances import Form
from darktimer.bench.unit_system import UnitSystem
from darktimer.units import clock

_TIMED: Final = ("developer", "activator")
_STRAIN: Final = "Strain it through cloth and let it cool."
_FULL: Final = 1 - 1e-9  # of the batch, whatever the last bit says
_FOAMS: Final = "It {}: add a little at a time, in an open vessel with room above."


def in_order(mixed: Mixture, dilute_ml: float, celsius: float, say: UnitSystem) -> Iterator[str]:
    """What to do, one sentence or two a line; it goes into ``dilute_ml`` of water last.

    What was mixed warm, and what is timed by its temperature, has to come to ``celsius`` first.
    """
    if not mixed.parts:
        what = "the stock" if dilute_ml else "water"
        yield f"Take {say.volume(mixed.volume_ml)} of {what}."
    else:
        yield from _mixing(mixed, say)
    if dilute_ml:
        water, whole = say.volume(dilute_ml), say.volume(mixed.volume_ml + dilute_ml)
        yield f"Pour it into {water} of water: {whole} to use."  # never water onto an acid
    if mixed.recipe.bath in _TIMED or _warmest(mixed) > celsius:
        yield f"Let it come to {say.temperature(celsius)} before you use it."


def _warmest(mixed: Mixture) -> float:
    """How warm water goes in, degrees Celsius; 0 where that is not said."""
    plants = [each for each in mixed.recipe.ingredients if isinstance(each, Plant)]
    return max([mixed.recipe.water_at or 0.0, *(each.at or 0.0 for each in plants)])


def _mixing(mixed: Mixture, say: UnitSystem) -> Iterator[str]:
    water = mixed.waters
    plants = [part for part in mixed.parts if isinstance(part.ingredient, Plant)]
    for part, steeped_ml in zip(plants, water.steeped_ml, strict=True):
        yield _steeping(part, steeped_ml, say)
    if len(plants) > 1:
        yield "Pour together what was strained."
    if water.first_ml:
        begin = "Add {} of water{} to it." if plants else "Begin with {} of water{}."
        yield begin.format(say.volume(water.first_ml), _warm(mixed.recipe.water_at, say))
    if plants and mixed.recipe.added_to:
        all_of_it = say.volume(water.all_ml)
        yield f"Make it up with water to {all_of_it}: what was steeped has kept some."
    yield from _stirring(mixed, bool(plants or water.first_ml), say)
    if mixed.recipe.makes and (plants or mixed.filled_ml < _FULL * mixed.volume_ml):
        yield f"Fill up with water to {say.volume(mixed.volume_ml)}."


def _steeping(part: Part, water_ml: float, say: UnitSystem) -> str:
    plant, item = part.ingredient, part.item
    assert isinstance(plant, Plant)
    water = f"{say.volume(water_ml)} of water{_warm(plant.at, say)}"
    return (
        f"Steep {item.amount(say)} of {item.what} in {water} for "
        f"{clock(plant.steep)}. {item.note or _STRAIN}"
    )


def _warm(celsius: float | None, say: UnitSystem) -> str:
    return "" if celsius is None else f" at {say.temperature(celsius)}"


def _stirring(mixed: Mixture, begun: bool, say: UnitSystem) -> Iterator[str]:
    """Everything but plants; liquids go first where there is no water to begin with."""
    parts = [part for part in mixed.parts if not isinstance(part.ingredient, Plant)]
    if not begun:
        parts.sort(key=lambda part: not isinstance(part.ingredient, Liquid))
    forms, poured = list[Form](), list[Ingredient]()
    for number, part in enumerate(parts):
        before = foams(forms, sour=bottled(poured))
        forms += [form for form, _ in part.masses]
        poured.append(part.ingredient)
        if foams(forms, sour=bottled(poured)) and not before:
            yield _FOAMS.format("foams" if foams(forms) else "may foam")
        yield _adding(part, "Stir in" if begun or number else "Begin with", say)


def _adding(part: Part, verb: str, say: UnitSystem) -> str:
    item = part.item
    if item.stock:
        weighed, makes = say.mass(item.stock.weighed_g), say.volume(item.stock.makes_ml)
        done = f"Dissolve {weighed} of {item.what} in water to make {makes}, and stir in "
        done += f"{say.volume(item.stock.use_ml)} of that."
    elif isinstance(part.ingredient, Liquid):
        done = f"{verb} {item.amount(say)} of {item.what}."
    else:
        done = f"{verb} {item.amount(say)} of {item.what} until it has dissolved."
    return f"{done} {item.note}".rstrip()
