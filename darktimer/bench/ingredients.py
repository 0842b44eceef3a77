"""What goes into a bath, as a recipe writes it: dry substances, plants, goods, liquids.

An ingredient is a block told apart by the key that only it has. What an ingredient does in the
bath is the business of the chemistry beside this file.
"""

import re
from collections.abc import Iterable, Iterator
from typing import Annotated, Any, ClassVar, Final, NamedTuple

from darktimer import units
from darktimer.bench.dry_amount import Dry, Packed
from darktimer.bench.substances import Form, form_named
from darktimer.bench.unit_system import figures
from darktimer.document import Document, Field, Section
from darktimer.document.fields import MadeBy, ReadBy
from darktimer.document.quantities import Duration, Temperature, Volume, Words, described
from darktimer.document.section import one_of, read_by_kind
from darktimer.errors import UnreadableError
from darktimer.units import shown


def _strength(raw: str) -> float:
    try:
        return float(units.share(raw))
    except UnreadableError:
        found = f"{raw[:40]!r} is not a strength above 0 and up to 100 %"
        raise UnreadableError(found, "write grams of acid in 100 ml, such as 5 %") from None


_MOST_PH: Final = 14
_NOT_DRY: Final = (
    "a plant, or whatever else is steeped, is written {plant: dried mint, amount: 25 g, steep: "
    "30 min}, and what is poured {liquid: white wine, amount: 40 ml}; what is dry "
    "and stirred in whole {goods: instant coffee, amount: 40 g}; of substances "
)


class Purity(NamedTuple):
    """How much of something is the substance: a ``part`` of it, or so many ``g`` of each piece."""

    part: float
    g: float


def _share(raw: str) -> Purity:
    try:
        return Purity(0.0, units.mass_g(raw))
    except UnreadableError:
        pass
    try:
        return Purity(float(units.share(raw)), 0.0)
    except UnreadableError:
        found = f"{shown(raw)} is neither a share above 0 and up to 100 % nor a mass"
        remedy = "write how much of it is the substance, such as 80 % or 400 mg"
        raise UnreadableError(found, remedy) from None


def _ph(raw: str) -> float:
    match = re.fullmatch(r"\s*([0-9]{1,2}(?:\.[0-9]{1,2})?)\s*", raw)
    if match and float(match[1]) <= _MOST_PH:
        return float(match[1])
    found = f"{shown(raw)} is not a pH from 0 to {_MOST_PH}"
    raise UnreadableError(found, "write what paper or a meter showed, such as 4.8")


OfWhich = Annotated[Purity, ReadBy(_share), described("a share or a mass", "80 %", "400 mg")]
Ph = Annotated[float, ReadBy(_ph), described("a pH", "4.8", type=["string", "number"])]
FormName = Annotated[
    Form,
    MadeBy(
        lambda raw, _: form_named(raw, _NOT_DRY) if isinstance(raw, str) else _no_name(),
        str,
    ),
]
Strength = Annotated[
    float,
    ReadBy(_strength),
    described("grams of acid in 100 ml", "5 %", pattern=rf"^\s*{units.NUMBER}\s*%\s*$"),
]


def _no_name() -> Form:
    raise UnreadableError("found a block or a list", "write the name of a substance")


class Substance(Section):
    """Something dry of known composition, in the form the recipe means."""

    substance: FormName = Field(description="such as sodium carbonate anhydrous")
    amount: Dry
    of_which: OfWhich | None = Field(None, description="how much of that is the substance")
    comes_in: Packed | None = Field(None, description="a pack of it")
    note: Words | None = None

    @property
    def what(self) -> str:
        """What to take of it; what is not all substance is another thing to buy."""
        name = self.substance.name
        return name if self.of_which is None else f"{name} ({figures(100 * self.share)} % pure)"

    @property
    def share(self) -> float:
        """How much of what is taken is the substance: all of it, unless the recipe says."""
        if self.of_which is None:
            return 1.0
        return self.of_which.part or self.of_which.g / self.amount.each_g

    @property
    def grams(self) -> float:
        """Of the substance alone, in the batch."""
        return self.amount.g * self.share


class Plant(Section):
    """Dried leaves, flowers, or the like, steeped; the dry mass counts."""

    plant: Words = Field(description="what it is")
    amount: Dry = Field(description="dry mass")
    steep: Duration
    water: Volume | None = Field(None, description="how much of the water it is steeped in")
    at: Temperature | None = Field(None, description="how hot the water is poured on")
    cool_to: Temperature | None = Field(None, description="before anything is added")
    comes_in: Packed | None = Field(None, description="a pack of it")
    note: Words | None = None

    @property
    def what(self) -> str:
        """What to take of it."""
        return self.plant


class Goods(Section):
    """Something dry out of the kitchen, of unknown composition, that is stirred in whole."""

    goods: Words = Field(description="what it is, such as instant coffee")
    amount: Dry
    comes_in: Packed | None = Field(None, description="a pack of it")
    note: Words | None = None

    @property
    def what(self) -> str:
        """What to take of it."""
        return self.goods


class Liquid(Section):
    """Something poured, with the acid in it where it has one."""

    liquid: Words = Field(description="what it is")
    amount: Volume
    acid: FormName | None = None
    strength: Strength | None = None
    comes_in: Volume | None = Field(None, description="a can or bottle of it")
    note: Words | None = None

    @property
    def what(self) -> str:
        """What to take of it."""
        return self.liquid


class Drink(Section):
    """What stands in for the water: a drink, or a decoction made before."""

    example: ClassVar = "{drink: cold black tea, pH: 4.9}"

    drink: Words = Field(description="what it is")
    pH: Ph | None = Field(None, description="its own, measured")  # noqa: N815 (as all write it)
    acid: FormName | None = None
    strength: Strength | None = None
    comes_in: Volume | None = Field(None, description="a can or bottle of it")
    note: Words | None = None


Ingredient = Substance | Plant | Goods | Liquid

KINDS: Final[dict[str, type[Ingredient]]] = {
    "substance": Substance,
    "plant": Plant,
    "goods": Goods,
    "liquid": Liquid,
}


def _read(raw: Any, document: Document | None) -> Any:
    if not isinstance(raw, dict):
        found = "found a list" if isinstance(raw, list) else f"found {str(raw)[:40]!r}"
        raise UnreadableError(found, "write a block such as {substance: baking soda, amount: 5 g}")
    if ingredient := read_by_kind(raw, KINDS, document, "an ingredient"):
        return ingredient
    near = one_of(next(iter(raw), ""), KINDS)
    raise UnreadableError("an ingredient does not say what it is", f"begin with its kind; {near}")


IngredientRead = Annotated[Ingredient, MadeBy(_read, Substance | Plant | Goods | Liquid)]


def known_masses(ingredients: tuple[Ingredient, ...]) -> Iterator[tuple[Form, float]]:
    """Form and grams of everything whose composition is known, acids in liquids among them."""
    for each in ingredients:
        if isinstance(each, Substance):
            yield each.substance, each.grams
        elif isinstance(each, Liquid) and each.acid and each.strength:
            yield each.acid, each.amount * each.strength  # 5 % is 5 g in 100 ml


def bottled(ingredients: Iterable[Ingredient]) -> bool:
    """Whether a liquid is among them whose acids, and whatever else is in it, nobody named."""
    return any(isinstance(each, Liquid) and not each.acid for each in ingredients)


def unmeasured(ingredients: tuple[Ingredient, ...]) -> Iterator[str]:
    """What is of unknown composition: plants, goods, and liquids that name no acid of their own."""
    for each in ingredients:
        if isinstance(each, Plant | Goods) or (isinstance(each, Liquid) and not each.acid):
            yield each.what


def filled(ingredients: tuple[Ingredient, ...]) -> Iterator[str]:
    """Tablets, and powders that are not all substance: what else is in them nobody knows."""
    for each in ingredients:
        if isinstance(each, Substance) and (each.amount.unit == "tablet" or each.share < 1):
            yield each.what


def loose_masses(ingredients: tuple[Ingredient, ...]) -> Iterator[tuple[Form, float]]:
    """Each form whose amount is uncertain, with the grams that it may be off by either way."""
    for each in ingredients:
        if isinstance(each, Substance) and each.amount.within_g:
            yield each.substance, each.amount.within_g * each.share


def solids_g(ingredients: tuple[Ingredient, ...]) -> float:
    """Grams of everything that is stirred in, which takes up room."""
    return sum(each.amount.g for each in ingredients if isinstance(each, Substance | Goods))


def poured_ml(each: Ingredient) -> float:
    """What a liquid takes up of the batch."""
    return each.amount if isinstance(each, Liquid) else 0.0


def steeped_ml(each: Ingredient) -> float:
    """The water that is written for a plant, 0 where none is."""
    return each.water or 0.0 if isinstance(each, Plant) else 0.0
