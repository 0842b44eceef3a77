"""A recipe made ready to weigh: for the volume of a plan, in the forms at hand, on this scale.

Knows how to scale and round. What is then done with it is the business of `doing`.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final, NamedTuple

from darktimer.bench.batch_water import Waters
from darktimer.bench.ingredients import Ingredient, Liquid, Plant, Substance, known_masses
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
    ``instead_of`` is the form the recipe has, empty where it is the same.
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

    def amount(self, say: UnitSystem) -> str:
        """How much to weigh or pour; what no scale shows is said as the recipe has it."""
        if self.volume_ml is not None:
            return say.volume(self.volume_ml)
        return say.mass((self.mass_g or 0.0) if self.shown_g is None else self.shown_g)


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
        elif isinstance(each, Plant):
            yield Part(each, _weighed(each.plant, each.amount * factor, step_g, (each.note,), say))
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
    return Item(each.liquid, volume_ml=volume_ml, note=_sentences((each.note,)), warning=warning)


def _dissolved(
    each: Substance, swap: Replacement, step_g: float, helping: Stock | None, say: UnitSystem
) -> Item:
    """A substance in the form at hand, by way of a stock where the scale is too coarse for it."""
    name, own = swap.form.name, each.substance.name
    item = _weighed(name, swap.mass_g, step_g, (each.note, swap.note), say, helping)
    return replace(item, instead_of=own if name != own else "")


def _weighed(
    name: str,
    grams: float,
    step_g: float,
    notes: Sequence[str | None],
    say: UnitSystem,
    helping: Stock | None = None,
) -> Item:
    scale = weigh(grams, step_g)
    caution = scale.caution(say)
    if caution:
        caution = f"{caution}: {helping.text(say) if helping else _FINER}"
    if scale.lost:
        return Item(
            name, grams, note=_sentences(notes), warning=f"{name}: {caution}", stock=helping
        )
    return Item(name, grams, scale.shown_g, scale.error, note=_sentences((*notes, caution)))


def _sentences(parts: Sequence[str | None]) -> str:
    """Notes as one text; each begins with a capital and ends with a full stop."""
    whole = [part[0].upper() + part[1:] for part in parts if part]
    return " ".join(part if part.endswith((".", "!", "?")) else f"{part}." for part in whole)
