"""A recipe made ready to weigh: for tonight's volume, in the forms at hand, on this scale.

Knows how to scale, replace, round and order. Knows no plan and no film.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from darktimer.bench.alkali import foams
from darktimer.bench.forms import BAKING_SODA, SODA, Replacement, replace
from darktimer.bench.ingredients import Ingredient, Liquid, Plant, Substance, known_masses
from darktimer.bench.measures import Measures
from darktimer.bench.recipe import Recipe
from darktimer.bench.refusal import BenchError
from darktimer.bench.substances import Form
from darktimer.bench.weighing import weigh
from darktimer.units import clock

FIRST_WATER: Final = 0.75  # of the final volume, so that there is room to fill up


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to weigh, ``mass_g``, or to pour, ``volume_ml``; the other is None.

    ``shown_g`` is the mass as the scale shows it, ``error`` what that rounding brings, a fraction.
    ``instead_of`` is the form the recipe has, empty where it is the same.
    """

    what: str
    mass_g: float | None
    shown_g: float | None
    error: float
    volume_ml: float | None
    instead_of: str
    note: str


@dataclass(frozen=True, slots=True)
class Mixture:
    """What to weigh and pour, the order of mixing in words, and grams of every form in it."""

    items: tuple[Item, ...]
    order: tuple[str, ...]
    masses: tuple[tuple[Form, float], ...]

    @property
    def forms(self) -> tuple[Form, ...]:
        """Everything of known composition that is in it."""
        return tuple(form for form, _ in self.masses)


def mixture(
    recipe: Recipe, volume_ml: float, have: Sequence[Form], step_g: float, say: Measures
) -> Mixture:
    """``volume_ml`` of ``recipe``, before any dilution, with ``have`` in place of its own forms.

    Raises `BenchError` where a form at hand does not replace the recipe's.
    """
    factor = volume_ml / recipe.batch_ml
    swaps = _swaps(recipe, have, factor)
    items = tuple(
        _item(each, swaps.get(index), factor, step_g)
        for index, each in enumerate(recipe.ingredients)
    )
    masses = tuple(_masses(recipe, swaps, factor))
    foaming = foams(form for form, _ in masses)
    return Mixture(items, tuple(_order(recipe, items, volume_ml, foaming, say)), masses)


def _swaps(recipe: Recipe, have: Sequence[Form], factor: float) -> dict[int, Replacement]:
    """Replacements by place in the recipe, ``factor`` times its batch, with the soda set right.

    A form that the recipe has itself stands in for nothing else.
    """
    own = [each.substance for each in recipe.ingredients if isinstance(each, Substance)]
    spare = [form for form in have if form not in own]
    swaps: dict[int, Replacement] = {}
    for index, each in enumerate(recipe.ingredients):
        if isinstance(each, Substance) and each.substance not in have:
            for form in spare:
                if _is_meant_for(each.substance, form):
                    swaps[index] = replace(each.substance, each.amount * factor, form)
    soda_g = sum(swap.soda_g for swap in swaps.values())
    return _with_soda(recipe, swaps, soda_g, factor) if abs(soda_g) > 1e-9 else swaps


def _is_meant_for(wanted: Form, form: Form) -> bool:
    """Whether ``form`` is at hand for ``wanted``: baking soda is for soda, so as to be refused."""
    return form.acts == wanted.acts or (form == BAKING_SODA and wanted.acts == "carbonate")


def _with_soda(
    recipe: Recipe, swaps: dict[int, Replacement], soda_g: float, factor: float
) -> dict[int, Replacement]:
    """The carbonate of the recipe, more or less by ``soda_g`` grams of anhydrous soda."""
    for index, each in enumerate(recipe.ingredients):
        if isinstance(each, Substance) and each.substance.acts == "carbonate":
            own = swaps.get(index, Replacement(each.substance, each.amount * factor))
            by_g = replace(SODA, abs(soda_g), own.form).mass_g
            mass_g = own.mass_g + (by_g if soda_g > 0 else -by_g)
            if mass_g > 0:
                note = "set right for the alkali that the other form does not eat"
                if soda_g > 0:
                    note = "set right for the alkali that the other form eats"
                return {**swaps, index: Replacement(own.form, mass_g, 0.0, note)}
    found = f"the change of form leaves {soda_g:+.1f} g of soda that no carbonate takes up"
    raise BenchError(recipe.title, found, "use the form the recipe has")


def _item(each: Ingredient, swap: Replacement | None, factor: float, step_g: float) -> Item:
    if isinstance(each, Liquid):
        return Item(each.liquid, None, None, 0.0, each.amount * factor, "", _sentence(each.note))
    own = each.plant if isinstance(each, Plant) else each.substance.name
    name, grams = (swap.form.name, swap.mass_g) if swap else (own, each.amount * factor)
    scale = weigh(grams, step_g)
    notes = (each.note, swap.note if swap else None, scale.caution)
    note = " ".join(_sentence(part) for part in notes if part)
    instead_of = own if name != own else ""
    return Item(name, scale.wanted_g, scale.shown_g, scale.error, None, instead_of, note)


def _masses(
    recipe: Recipe, swaps: dict[int, Replacement], factor: float
) -> Iterator[tuple[Form, float]]:
    for index, each in enumerate(recipe.ingredients):
        if index in swaps:
            yield swaps[index].form, swaps[index].mass_g
        else:
            yield from ((form, mass_g * factor) for form, mass_g in known_masses((each,)))


def _order(
    recipe: Recipe,
    items: Sequence[Item],
    volume_ml: float,
    foaming: bool,
    say: Measures,
) -> Iterator[str]:
    if not items:
        yield f"Take {say.volume(volume_ml)} of water."
        return
    first_ml = volume_ml if recipe.added_to else FIRST_WATER * volume_ml
    if not recipe.has_plants:
        yield f"Begin with {say.volume(first_ml)} of water."
    for each, item in zip(recipe.ingredients, items, strict=True):
        yield " ".join(_words(each, item, volume_ml / recipe.batch_ml, first_ml, say))
    if foaming:
        yield "It foams: add a little at a time, in an open vessel with room above."
    if recipe.makes:
        yield f"Fill up with water to {say.volume(volume_ml)}."


def _words(
    each: Ingredient, item: Item, factor: float, first_ml: float, say: Measures
) -> Iterator[str]:
    if isinstance(each, Plant):
        water = say.volume(each.water * factor if each.water else first_ml)
        hot = f" at {say.temperature(each.at)}" if each.at is not None else ""
        grams = say.mass(item.shown_g or 0.0)
        yield f"Steep {grams} of {item.what} in {water} of water{hot} for {clock(each.steep)}."
    elif item.volume_ml is not None:
        yield f"Stir in {say.volume(item.volume_ml)} of {item.what}."
    else:
        yield f"Stir in {say.mass(item.shown_g or 0.0)} of {item.what} until none is left to see."
    if item.note:
        yield item.note


def _sentence(words: str | None) -> str:
    if not words:
        return ""
    whole = words[0].upper() + words[1:]
    return whole if whole.endswith((".", "!", "?")) else f"{whole}."
