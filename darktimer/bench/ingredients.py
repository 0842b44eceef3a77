"""What goes into a bath, as a recipe writes it: dry substances, plants, liquids.

An ingredient is a block told apart by the key that only it has. What an ingredient does in the
bath is the business of the chemistry beside this file.
"""

import re
from collections.abc import Iterable, Iterator
from typing import Annotated, Any, Final

from darktimer import units
from darktimer.bench.substances import Form, form_named
from darktimer.document import Document, Field, Section
from darktimer.document.fields import MadeBy, ReadBy
from darktimer.document.quantities import Duration, Temperature, Words, described
from darktimer.document.section import one_of, read_by_kind
from darktimer.errors import UnreadableError


def _mass(raw: str) -> float:
    """Grams; a volume is told apart, since a spoonful or 40 ml of powder is nobody's mass."""
    if re.fullmatch(r"\s*[\d./]+\s*(tsp|tbsp|teaspoons?|tablespoons?|cups?)\s*", raw.lower()):
        raise UnreadableError(f"{raw!r} is no mass: spoons differ", "weigh it, such as 40 g")
    try:
        units.volume_ml(raw)
    except UnreadableError:
        return units.mass_g(raw)
    raise UnreadableError(f"{raw!r} is a volume", "write the mass of what is weighed, such as 40 g")


def _volume(raw: str) -> float:
    try:
        units.mass_g(raw)
    except UnreadableError:
        return units.volume_ml(raw)
    raise UnreadableError(f"{raw!r} is a mass", "write the volume of a liquid, such as 40 ml")


def _strength(raw: str) -> float:
    try:
        return float(units.share(raw))
    except UnreadableError:
        found = f"{raw[:40]!r} is not a strength above 0 and up to 100 %"
        raise UnreadableError(found, "write grams of acid in 100 ml, such as 5 %") from None


_NOT_DRY: Final = (
    "a plant, or whatever else is steeped, is written {plant: dried mint, amount: 25 g, steep: "
    "30 min}, and what is poured {liquid: white wine, amount: 40 ml}; of substances "
)

Mass = Annotated[float, ReadBy(_mass), described("a mass", "40 g", "1.2 kg")]
Poured = Annotated[float, ReadBy(_volume), described("a volume", "40 ml", "1.5 l")]
FormName = Annotated[
    Form,
    MadeBy(
        lambda raw, _: form_named(raw, _NOT_DRY) if isinstance(raw, str) else _no_name(),
        str,
    ),
]
Strength = Annotated[
    float, ReadBy(_strength), described("grams of acid in 100 ml", "5 %", pattern=r"^\s*\d.*%\s*$")
]


def _no_name() -> Form:
    raise UnreadableError("found a block or a list", "write the name of a substance")


class Substance(Section):
    """Something dry of known composition, in the form the recipe means."""

    substance: FormName = Field(description="such as sodium carbonate anhydrous")
    amount: Mass
    note: Words | None = None


class Plant(Section):
    """Dried leaves, flowers, or the like, steeped; the dry mass counts."""

    plant: Words = Field(description="what it is")
    amount: Mass = Field(description="dry mass")
    steep: Duration
    water: Poured | None = Field(None, description="how much of the water it is steeped in")
    at: Temperature | None = Field(None, description="how hot the water is poured on")
    cool_to: Temperature | None = Field(None, description="before anything is added")
    note: Words | None = None


class Liquid(Section):
    """Something poured, with the acid in it where it has one."""

    liquid: Words = Field(description="what it is")
    amount: Poured
    acid: FormName | None = None
    strength: Strength | None = None
    note: Words | None = None


Ingredient = Substance | Plant | Liquid

KINDS: Final[dict[str, type[Ingredient]]] = {
    "substance": Substance,
    "plant": Plant,
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


IngredientRead = Annotated[Ingredient, MadeBy(_read, Substance | Plant | Liquid)]


def known_masses(ingredients: tuple[Ingredient, ...]) -> Iterator[tuple[Form, float]]:
    """Form and grams of everything whose composition is known, acids in liquids among them."""
    for each in ingredients:
        if isinstance(each, Substance):
            yield each.substance, each.amount
        elif isinstance(each, Liquid) and each.acid and each.strength:
            yield each.acid, each.amount * each.strength  # 5 % is 5 g in 100 ml


def bottled(ingredients: Iterable[Ingredient]) -> bool:
    """Whether a liquid is among them whose acids, and whatever else is in it, nobody named."""
    return any(isinstance(each, Liquid) and not each.acid for each in ingredients)


def unmeasured(ingredients: tuple[Ingredient, ...]) -> Iterator[str]:
    """What is of unknown composition: every plant, and a liquid that names no acid of its own."""
    for each in ingredients:
        if isinstance(each, Plant):
            yield each.plant
        elif isinstance(each, Liquid) and not each.acid:
            yield each.liquid


def poured_ml(each: Ingredient) -> float:
    """What a liquid takes up of the batch."""
    return each.amount if isinstance(each, Liquid) else 0.0


def steeped_ml(each: Ingredient) -> float:
    """The water that is written for a plant, 0 where none is."""
    return each.water or 0.0 if isinstance(each, Plant) else 0.0
