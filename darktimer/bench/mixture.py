"""A recipe made ready to weigh: for the volume of a plan, in the forms at hand, on this scale.

Knows how to scale and round. What is then done with it is the business of `mixing_steps`.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final, NamedTuple

from darktimer.bench.batch_water import KEPT_ML_PER_GRAM, Waters
from darktimer.bench.dry_amount import DryAmount
from darktimer.bench.ingredients import (
    Goods,
    Ingredient,
    Liquid,
    Plant,
    Substance,
    known_masses,
)
from darktimer.bench.recipe import Recipe
from darktimer.bench.replacement import Replacement, forms_taken
from darktimer.bench.solubility import limit_g_per_l
from darktimer.bench.substances import Form
from darktimer.bench.unit_system import UnitSystem
from darktimer.bench.weighing import Stock, stock, weigh

LEAST_POURED_ML: Final = 0.2  # common practice; a small syringe has marks of 0.1
_FINER: Final = "take a finer scale, or mix more at once"


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to weigh, ``mass_g``, or to pour, ``volume_ml``; the other is None.

    ``shown_g`` is the mass as the scale shows it, ``error`` what that rounding brings, a fraction.
    What a scale cannot show has None and 0 there, a ``warning``, and a ``stock`` if one helps.
    ``counted`` is what to take of tablets or spoons, ``within_g`` how far a mass may be off,
    ``pack`` the grams or ml it comes in. ``instead_of`` is the form the recipe has, empty where it
    is the same.
    """

    what: str
    mass_g: float | None = None
    shown_g: float | None = None
    error: float = 0.0
    volume_ml: float | None = None
    instead_of: str = ""
    note: str = ""
    warning: str = ""
    stock: Stock | None = None
    counted: DryAmount | None = None
    within_g: float = 0.0
    pack: float | None = None

    def amount(self, say: UnitSystem) -> str:
        """How much to weigh or pour; what no scale shows is said as the recipe has it."""
        if self.volume_ml is not None:
            return say.volume(self.volume_ml)
        if self.counted:
            return self.counted.text(say)
        shown_g = (self.mass_g or 0.0) if self.shown_g is None else self.shown_g
        return DryAmount(shown_g, self.within_g).text(say)


class Part(NamedTuple):
    """An ingredient of a recipe and what it comes to here, with all that is known in it."""

    ingredient: Ingredient
    item: Item
    masses: tuple[tuple[Form, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Mixture:
    """What makes ``volume_ml`` of ``recipe``, before any dilution."""

    recipe: Recipe
    volume_ml: float
    parts: tuple[Part, ...]

    @property
    def items(self) -> tuple[Item, ...]:
        """What to weigh and pour, in the order of the recipe."""
        return tuple(part.item for part in self.parts)

    @property
    def of_plants(self) -> list[Part]:
        """What is steeped."""
        return [part for part in self.parts if isinstance(part.ingredient, Plant)]

    @property
    def drink(self) -> Item | None:
        """What stands in for the water, and what leaves keep of it: no more is poured."""
        drink = self.recipe.in_place_of_water
        volume_ml = self.recipe.drink_ml * self.volume_ml / self.recipe.batch_ml
        volume_ml += KEPT_ML_PER_GRAM * sum(part.item.mass_g or 0.0 for part in self.of_plants)
        return Item(drink.drink, volume_ml=volume_ml, pack=drink.comes_in) if drink else None

    @property
    def stocks_ml(self) -> float:
        """What is used of stock solutions."""
        return sum(item.stock.use_ml for item in self.items if item.stock)

    @property
    def waters(self) -> Waters:
        """The water to begin with, ml."""
        factor = self.volume_ml / self.recipe.batch_ml
        return self.recipe.waters(self.stocks_ml / factor).times(factor)

    @property
    def filled_ml(self) -> float:
        """What is in it before it is filled up, all water counted and nothing dry."""
        poured_ml = sum(item.volume_ml or 0.0 for item in self.items)
        return self.waters.all_ml + self.stocks_ml + poured_ml

    @property
    def masses(self) -> tuple[tuple[Form, float], ...]:
        """Everything of known composition that is in it, with grams."""
        return tuple(mass for part in self.parts for mass in part.masses)


def mixture(
    recipe: Recipe, volume_ml: float, have: Sequence[Form], step_g: float, say: UnitSystem
) -> Mixture:
    """``volume_ml`` of ``recipe``, before any dilution, with ``have`` in place of its own forms.

    Raises `BenchError` where a form at hand does not replace the recipe's.
    """
    return Mixture(recipe, volume_ml, tuple(_parts(recipe, volume_ml, have, step_g, say)))


def _parts(
    recipe: Recipe, volume_ml: float, have: Sequence[Form], step_g: float, say: UnitSystem
) -> Iterator[Part]:
    factor = volume_ml / recipe.batch_ml
    room_ml = factor * recipe.room_ml / max(1, len(recipe.ingredients))
    forms = forms_taken(recipe, have, factor)
    for index, each in enumerate(recipe.ingredients):
        if isinstance(each, Liquid):
            item = _poured(each, each.amount * factor, say)
            acids = tuple((form, grams * factor) for form, grams in known_masses((each,)))
            yield Part(each, item, acids)
        elif isinstance(each, Plant | Goods):
            yield Part(each, _taken(each, each.amount.times(factor), step_g, say))
        else:
            for swap in forms[index]:
                limit = limit_g_per_l(swap.form, recipe.temperature)
                helping = stock(swap.mass_g, step_g, limit, room_ml)
                item = _dissolved(each, swap, step_g, helping, say)
                yield Part(each, item, ((swap.form, swap.mass_g),))


def _poured(each: Liquid, volume_ml: float, say: UnitSystem) -> Item:
    warning = ""
    if volume_ml < LEAST_POURED_ML:
        little = f"{say.volume(volume_ml)} is less than a syringe measures"
        warning = f"{each.liquid}: {little}: thin it with water first, or mix more at once"
    note = _sentences((each.note,))
    return Item(each.liquid, volume_ml=volume_ml, note=note, warning=warning, pack=each.comes_in)


def _dissolved(
    each: Substance, swap: Replacement, step_g: float, helping: Stock | None, say: UnitSystem
) -> Item:
    """A substance in the form at hand, by way of a stock where the scale is too coarse for it."""
    if swap.form == each.substance:
        amount = each.amount.times(swap.mass_g / each.grams)
        return _taken(each, amount, step_g, say, swap.note, helping)
    other = _taken(each, DryAmount(swap.mass_g), step_g, say, swap.note, helping)
    return replace(other, what=swap.form.name, instead_of=each.substance.name, pack=None)


def _taken(
    each: Substance | Plant | Goods,
    amount: DryAmount,
    step_g: float,
    say: UnitSystem,
    note: str = "",
    helping: Stock | None = None,
) -> Item:
    """So much of something dry, rounded to what the scale, a spoon or half a tablet can show."""
    scale = weigh(amount.g, amount.step_g or step_g)
    off, remedy = scale.caution(say), helping.text(say) if helping else _FINER
    if off and amount.number:
        helping, remedy = None, "weigh it, or mix more at once"
        off = f"taken in {amount.in_parts} it is {abs(scale.error):.0%} off here"
    caution = off and f"{off}: {remedy}"
    notes = (each.note, note)
    sold = each.comes_in and each.comes_in.g
    item = Item(each.what, amount.g, within_g=amount.within_g, pack=sold)
    if scale.lost:
        warning = f"{each.what}: {caution}"
        return replace(item, note=_sentences(notes), warning=warning, stock=helping)
    return replace(
        item,
        shown_g=scale.shown_g,
        error=scale.error,
        note=_sentences((*notes, caution)),
        counted=amount.times(scale.shown_g / amount.g) if amount.number else None,
    )


def _sentences(parts: Sequence[str | None]) -> str:
    """Notes as one text; each begins with a capital and ends with a full stop."""
    whole = [part[0].upper() + part[1:] for part in parts if part]
    return " ".join(part if part.endswith((".", "!", "?")) else f"{part}." for part in whole)
