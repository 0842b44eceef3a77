"""A recipe: what a bath is made of, what it is for, how long it keeps, what it can do.

Knows what may be written. What is wrong with it is said in `recipe_faults`, where recipes lie is
the business of `recipe_lookup`, how much of one to mix is the sheet's.
"""

import re
from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import Annotated, Final, Literal

from darktimer import units
from darktimer.bench.acidity import Acidity, estimate, tenths_up, worst_off
from darktimer.bench.alkali import dissolved
from darktimer.bench.batch_water import ML_PER_GRAM, Waters, waters
from darktimer.bench.ingredients import (
    Drink,
    IngredientRead,
    Plant,
    bottled,
    filled,
    known_masses,
    loose_masses,
    poured_ml,
    solids_g,
    steeped_ml,
    unmeasured,
)
from darktimer.bench.rate import GUESS, Activation, fitted
from darktimer.bench.substances import Form
from darktimer.document import Field, Section
from darktimer.document.fields import ReadBy
from darktimer.document.quantities import Duration, Temperature, Volume, Words, described
from darktimer.errors import UnreadableError
from darktimer.plan.formats import ROLL_M2
from darktimer.plan.temperature import Energy

_KEEPING_HOURS: Final = {"h": 1, "hour": 1, "day": 24, "week": 168, "month": 720, "year": 8760}

#: Which recipes a step of each kind goes with, the one made for it first; of other kinds any does.
GOES_WITH: Final[Mapping[str, tuple[str, ...]]] = {
    "soak": ("rinse",),
    "develop": ("developer", "activator"),
    "rinse": ("rinse", "stop"),
    "stop": ("stop",),
    "bleach": (),  # which is bought
    "clearing bath": ("clearing",),
    "fix": ("fixer",),
    "wash aid": ("clearing",),
    "wet": ("wetting",),
}

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
    match = re.fullmatch(r"\s*(\d{1,4})\s*(h|hour|day|week|month|year)s?\s*", raw.lower())
    if match and int(match[1]):
        return int(match[1]) * _KEEPING_HOURS[match[2]]
    found = f"{raw[:40]!r} is not a keeping time"
    raise UnreadableError(found, "write such as 1 hour, 3 days, 2 weeks or 6 months")


def _rolls(raw: str) -> float:
    match = re.fullmatch(rf"\s*({units.NUMBER})\s*(?:rolls?)?\s*", raw)
    if match and 0.1 <= (rolls := float(units.number(match[1]))) <= 1000:
        return rolls
    found = f"{raw[:40]!r} is not a number of rolls from 0.1 to 1000"
    raise UnreadableError(found, "write how many a litre can do, such as 20")


def _moving(raw: str) -> Fraction:
    named = {"continuous": Fraction(1), "intermittent": Fraction(1, 8)}
    try:
        return named.get(raw.strip().lower()) or units.share(raw)
    except UnreadableError as error:
        remedy = "write continuous, intermittent, or a share such as 1/2"
        raise UnreadableError(error.found, remedy) from None


class Point(Section):
    """A time and a temperature that develop alike; two or more give the activation energy."""

    at: Temperature
    develop: Duration


class Recipe(Section):
    """One bath. The amounts are for what it ``makes``, or are ``added to`` so much water."""

    title: Words
    about: Words | None = Field(None, description="where it comes from, whether it was tested")
    bath: Literal["developer", "activator", "rinse", "stop", "fixer", "clearing", "wetting"]
    makes: Volume | None = Field(None, description="final volume, filled up with water")
    added_to: Volume | None = Field(None, description="water that everything is added to")
    water_at: Temperature | None = Field(None, description="how warm the water is to begin with")
    in_place_of_water: Drink | None = Field(None, description="a drink or a decoction")
    ingredients: tuple[IngredientRead, ...] = Field((), description="in order of mixing")
    comes_in: Volume | None = Field(None, description="a bottle of it, where it is bought")
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
            return self.added_to + sum(map(poured_ml, self.ingredients))
        return self.makes or 1000.0

    @property
    def room_ml(self) -> float:
        """What liquids and decoctions leave of the batch."""
        taken_ml = sum(poured_ml(each) + steeped_ml(each) for each in self.ingredients)
        return max(0.0, self.batch_ml - taken_ml)

    def waters(self, stocks_ml: float = 0.0) -> Waters:
        """The water that the batch begins with; ``stocks_ml`` of stock solutions come on top."""
        plants = [each for each in self.ingredients if isinstance(each, Plant)]
        return waters(
            self.batch_ml,
            bool(self.added_to),
            [each.water for each in plants],
            sum(map(poured_ml, self.ingredients)) + stocks_ml,
            ML_PER_GRAM * solids_g(self.ingredients),
        )

    @property
    def capacity_m2_per_l(self) -> float | None:
        """Area of film that a litre of working bath can take, m2; None where it is not said."""
        return self.rolls_per_litre * ROLL_M2 if self.rolls_per_litre else None

    @property
    def activation(self) -> Activation:
        """Of the developer: as given, fitted to its times, or a guess."""
        if self.activation_energy:
            return Activation(self.activation_energy, "given")
        return fitted([(point.at, point.develop) for point in self.times]) if self.times else GUESS

    @property
    def bought(self) -> bool:
        """Whether it comes ready in a bottle, of which a dilution is told, or 1+0."""
        return bool(self.dilution and not self.ingredients)

    @property
    def bottled(self) -> bool:
        """Whether a bottle whose contents nobody named is in it, or is all of it."""
        return bottled(self.ingredients) or self.sour_drink or self.bought

    @property
    def sour_drink(self) -> bool:
        """Whether a drink stands in for the water whose acids nobody named."""
        return bool(self.in_place_of_water and not self.in_place_of_water.acid)

    @property
    def drink_ml(self) -> float:
        """The drink in a batch, ml: all that is water elsewhere; 0 where none stands in for it."""
        if not self.in_place_of_water:
            return 0.0
        poured = sum(map(poured_ml, self.ingredients))
        solids_ml = 0.0 if self.added_to else ML_PER_GRAM * solids_g(self.ingredients)
        return max(0.0, self.batch_ml - poured - solids_ml)

    @property
    def masses(self) -> tuple[tuple[Form, float], ...]:
        """Form and grams of everything in a batch whose composition is known."""
        drink, known = self.in_place_of_water, tuple(known_masses(self.ingredients))
        if drink and drink.acid and drink.strength:
            return (*known, (drink.acid, self.drink_ml * drink.strength))
        return known

    @property
    def unmeasured(self) -> tuple[str, ...]:
        """What is in it of unknown composition, in the recipe's words."""
        drink = self.in_place_of_water
        of_drink = (drink.drink,) if drink and not drink.acid else ()
        return (*of_drink, *unmeasured(self.ingredients))

    @property
    def working_share(self) -> float:
        """Share of the working bath that is this mixture: 0.2 of a stock used 1+4."""
        stock, water = self.dilution or (1.0, 0.0)
        return stock / (stock + water)

    def parts(self) -> dict[str, float]:
        """What is known to be in the working bath, mol/l, in the words of `acidity`."""
        return self._dissolved(self.masses)

    def _dissolved(self, masses: Iterable[tuple[Form, float]]) -> dict[str, float]:
        whole = dissolved(masses, self.batch_ml)
        return {part: amount * self.working_share for part, amount in whole.items()}

    def acidity(self, celsius: float) -> Acidity | None:
        """Estimated pH of the working bath; None where nothing of it is known.

        Where masses are uncertain, the uncertainty is that of the worst that they can be together.
        """
        parts = self.parts()
        if not parts:
            return None

        def ph(*off: tuple[Form, float]) -> float:
            return estimate(self._dissolved((*self.masses, *off)), celsius).ph

        found = estimate(parts, celsius)
        off = worst_off(ph, tuple(loose_masses(self.ingredients)))
        drink, lower = self.in_place_of_water, self.unmeasured
        either = tuple(filled(self.ingredients))
        if drink and drink.drink in lower and drink.pH is not None and drink.pH > found.ph:
            lower, either = lower[1:], (drink.drink, *either)
        return found._replace(
            uncertainty=tenths_up(found.uncertainty + off),
            unmeasured=lower,
            uncounted=either,
        )
