"""A recipe: what a bath is made of, what it is for, how long it keeps, what it can do.

Knows what may be written and what is wrong with it. Where recipes lie is the shelf's business, how
much of one to mix tonight is the sheet's.
"""

import re
from collections.abc import Iterator
from fractions import Fraction
from typing import Annotated, Final, Literal

from darktimer import units
from darktimer.bench.acidity import Acidity, estimate
from darktimer.bench.alkali import dissolved
from darktimer.bench.film import ROLL_M2
from darktimer.bench.ingredients import (
    Ingredient,
    IngredientRead,
    Liquid,
    Plant,
    Poured,
    Substance,
    known_masses,
    unmeasured,
)
from darktimer.bench.measures import METRIC
from darktimer.bench.pouring import LEAST_ML_PER_GRAM_STEEPED, ML_PER_GRAM, Waters, waters
from darktimer.bench.rate import GUESS, Activation, fitted, given
from darktimer.bench.refusal import BenchError
from darktimer.bench.solubility import undissolved
from darktimer.document import Field, Section
from darktimer.document.fields import ReadBy
from darktimer.document.quantities import Duration, Temperature, Words, described
from darktimer.errors import Finding, UnreadableError
from darktimer.plan.warmth import Energy

_KEEPING_HOURS: Final = {"hour": 1, "day": 24, "week": 168, "month": 720, "year": 8760}

_MOST_DILUTED: Final = 1000  # parts of one to a part of the other; more cannot be measured


def _dilution(raw: str) -> tuple[float, float]:
    match = re.fullmatch(r"\s*(\d{1,4}(?:\.\d+)?)\s*\+\s*(\d{1,4}(?:\.\d+)?)\s*", raw)
    if match and float(match[1]) > 0:
        stock, water = float(match[1]), float(match[2])
        if not water or 1 / _MOST_DILUTED <= water / stock <= _MOST_DILUTED:
            return stock, water
    found = f"{raw[:40]!r} is not a dilution"
    if ":" in raw:
        found = f"{raw[:40]!r} may mean one part in the whole or one part added to the rest"
    raise UnreadableError(found, "write parts of stock + parts of water, such as 1+4")


def _keeping_hours(raw: str) -> int:
    match = re.fullmatch(r"\s*(\d{1,4})\s*(hour|day|week|month|year)s?\s*", raw.lower())
    if match and int(match[1]):
        return int(match[1]) * _KEEPING_HOURS[match[2]]
    found = f"{raw[:40]!r} is not a keeping time"
    raise UnreadableError(found, "write such as 1 hour, 3 days, 2 weeks or 6 months")


def _rolls(raw: str) -> float:
    match = re.fullmatch(r"\s*(\d{1,6}(?:\.\d+)?)\s*(?:rolls?)?\s*", raw)
    if match and 0.1 <= float(match[1]) <= 1000:
        return float(match[1])
    found = f"{raw[:40]!r} is not a number of rolls from 0.1 to 1000"
    raise UnreadableError(found, "write how many a litre can do, such as 20")


def _moving(raw: str) -> Fraction:
    named = {"continuous": Fraction(1), "intermittent": Fraction(1, 8)}
    try:
        return named.get(raw.strip().lower()) or units.share(raw)
    except UnreadableError as error:
        mend = "write continuous, intermittent, or a share such as 1/2"
        raise UnreadableError(error.found, mend) from None


class Point(Section):
    """A time and a temperature that develop alike; two or more give the activation energy."""

    at: Temperature
    develop: Duration


class Recipe(Section):
    """One bath. The amounts are for what it ``makes``, or are ``added to`` so much water."""

    title: Words
    about: Words | None = Field(None, description="where it comes from, whether it was tested")
    bath: Literal["developer", "activator", "rinse", "stop", "fixer", "clearing", "wetting"]
    makes: Poured | None = Field(None, description="final volume, filled up with water")
    added_to: Poured | None = Field(None, description="water that everything is added to")
    water_at: Temperature | None = Field(None, description="how warm the water is to begin with")
    ingredients: tuple[IngredientRead, ...] = Field((), description="in order of mixing")
    dilution: Annotated[tuple[float, float] | None, ReadBy(_dilution), described("", "1+4")] = None
    use: Literal["once", "again"] = "once"
    keeps: Annotated[int | None, ReadBy(_keeping_hours), described("keeping time", "3 days")] = None
    rolls_per_litre: Annotated[float | None, ReadBy(_rolls), described("", "20")] = Field(
        None, description="capacity of the working bath, in rolls of 80 square inches"
    )
    temperature: Temperature = 20.0
    activation_energy: Energy | None = None
    agitation: Annotated[
        Fraction | None, ReadBy(_moving), described("", "continuous", "intermittent", "1/2")
    ] = Field(None, description="share of the time that its times are for")
    times: tuple[Point, ...] = ()
    cautions: tuple[Words, ...] = ()
    discard: Words | None = Field(None, description="what to do with it afterwards")

    @property
    def batch_ml(self) -> float:
        """The volume the amounts are for, with liquids that are added to water; 1 l of mere water.

        What powders take up is not known, and left out.
        """
        if self.added_to:
            return self.added_to + sum(map(_poured_ml, self.ingredients))
        return self.makes or 1000.0

    @property
    def room_ml(self) -> float:
        """What liquids and decoctions leave of the batch."""
        taken_ml = sum(_poured_ml(each) + _steeped_ml(each) for each in self.ingredients)
        return max(0.0, self.batch_ml - taken_ml)

    def waters(self, stocks_ml: float = 0.0) -> Waters:
        """The water that the batch begins with; ``stocks_ml`` of stock solutions come on top."""
        plants = [each for each in self.ingredients if isinstance(each, Plant)]
        solids = [each.amount for each in self.ingredients if isinstance(each, Substance)]
        return waters(
            self.batch_ml,
            bool(self.added_to),
            [each.water for each in plants],
            sum(map(_poured_ml, self.ingredients)) + stocks_ml,
            ML_PER_GRAM * sum(solids),
        )

    @property
    def capacity_m2_per_l(self) -> float | None:
        """Area of film that a litre of working bath can take, m2; None where it is not said."""
        return self.rolls_per_litre * ROLL_M2 if self.rolls_per_litre else None

    @property
    def activation(self) -> Activation:
        """Of the developer: as given, fitted to its times, or a guess."""
        if self.activation_energy:
            return given(self.activation_energy)
        return fitted([(point.at, point.develop) for point in self.times]) if self.times else GUESS

    @property
    def working_share(self) -> float:
        """Share of the working bath that is this mixture: 0.2 of a stock used 1+4."""
        stock, water = self.dilution or (1.0, 0.0)
        return stock / (stock + water)

    @property
    def has_plants(self) -> bool:
        """Whether something of unknown composition is in it."""
        return any(isinstance(each, Plant) for each in self.ingredients)

    def parts(self) -> dict[str, float]:
        """What is known to be in the working bath, mol/l, in the words of `acidity`."""
        whole = dissolved(known_masses(self.ingredients), self.batch_ml)
        return {part: amount * self.working_share for part, amount in whole.items()}

    def acidity(self, celsius: float) -> Acidity | None:
        """Estimated pH of the working bath; None where nothing of it is known."""
        parts = self.parts()
        return estimate(parts, celsius, unmeasured(self.ingredients)) if parts else None


def _poured_ml(each: Ingredient) -> float:
    return each.amount if isinstance(each, Liquid) else 0.0


def _steeped_ml(each: Ingredient) -> float:
    return each.water or 0.0 if isinstance(each, Plant) else 0.0


def faults(recipe: Recipe) -> Iterator[Finding]:
    """Everything in ``recipe`` that cannot be mixed as written."""
    yield from _batch(recipe)
    yield from _overfull(recipe)
    yield from _energy(recipe)
    if not 0 <= recipe.temperature <= 100:
        found = f"{recipe.temperature:g} C is no bath of water"
        yield Finding(("temperature",), found, "write a temperature from 0 C to 100 C")
        return  # what dissolves cannot be told
    if recipe.water_at is not None:
        yield from _hot(recipe.water_at, ("water at",))
    for index, each in enumerate(recipe.ingredients):
        path = ("ingredients", index)
        if isinstance(each, Substance):
            yield from _dissolving(recipe, each, path)
        if isinstance(each, Plant):
            yield from _plant(recipe, each, path)
        if isinstance(each, Liquid):
            yield from _liquid(each, path)


def _batch(recipe: Recipe) -> Iterator[Finding]:
    if recipe.makes and recipe.added_to:
        found = "both 'makes' and 'added to' are written"
        yield Finding(("added to",), found, "keep one: they differ by what the powders take up")
    if recipe.ingredients and not (recipe.makes or recipe.added_to):
        mend = "add makes: 1 l for a final volume, or added to: 1 l for water measured first"
        yield Finding((), "what the amounts are for is not said", mend)


def _energy(recipe: Recipe) -> Iterator[Finding]:
    if recipe.activation_energy and recipe.times:
        found = "both 'activation energy' and 'times' are written"
        yield Finding(("times",), found, "keep one of them")
    try:
        _ = recipe.activation
    except BenchError as error:
        yield Finding(("times",), error.found, error.mend)


def _dissolving(recipe: Recipe, each: Substance, path: tuple[str | int, ...]) -> Iterator[Finding]:
    """Carbonate beyond its limit; what else is in a bath changes that of other substances."""
    if each.substance.acts != "carbonate":
        return
    g_per_l = 1000 * each.amount / recipe.batch_ml
    if found := undissolved(each.substance, g_per_l, recipe.temperature):
        yield Finding((*path, "amount"), found, "write less, or a warmer temperature")


def _overfull(recipe: Recipe) -> Iterator[Finding]:
    """The first ingredient with which more is in the batch than it holds."""
    batch, poured_ml, solid_ml = recipe.batch_ml, 0.0, 0.0
    for index, each in enumerate(recipe.ingredients):
        poured_ml += _poured_ml(each) + _steeped_ml(each)
        solid_ml += ML_PER_GRAM * each.amount if isinstance(each, Substance) else 0.0
        whole_ml = poured_ml + solid_ml if recipe.makes else max(poured_ml, solid_ml)
        if whole_ml > batch * (1 + 1e-9):
            found = (
                f"with this, {METRIC.volume(whole_ml)} go into a batch of {METRIC.volume(batch)}"
            )
            key = "water" if _steeped_ml(each) else "amount"
            yield Finding(("ingredients", index, key), found, "write less, or a larger batch")
            return


def _plant(recipe: Recipe, each: Plant, path: tuple[str | int, ...]) -> Iterator[Finding]:
    plants = [plant for plant in recipe.ingredients if isinstance(plant, Plant)]
    steeped_ml = recipe.waters().steeped_ml[plants.index(each)]
    if steeped_ml < LEAST_ML_PER_GRAM_STEEPED * each.amount:
        least = METRIC.volume(LEAST_ML_PER_GRAM_STEEPED * each.amount)
        found = f"there is {METRIC.volume(max(0.0, steeped_ml))} of water to steep it in"
        mend = f"it drinks most of that: give it {least} or more, or write less of it"
        yield Finding((*path, "water" if each.water else "amount"), found, mend)
    if each.at is not None:
        yield from _hot(each.at, (*path, "at"))


def _hot(celsius: float, path: tuple[str | int, ...]) -> Iterator[Finding]:
    if not 0 <= celsius <= 100:
        found = f"{celsius:g} C is no temperature of water"
        yield Finding(path, found, "write how hot the water is, such as 90 C")


def _liquid(each: Liquid, path: tuple[str | int, ...]) -> Iterator[Finding]:
    if each.acid and not each.strength:
        found = f"how strong the {each.acid.name} in it is, is not said"
        yield Finding(path, found, "add strength: 5 % for 5 g in 100 ml")
    if each.strength and not each.acid:
        yield Finding((*path, "strength"), "a strength of nothing", "add acid: and its name")
