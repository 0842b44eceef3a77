"""An amount of something dry as a recipe writes it: weighed, in tablets, or in spoons.

A spoon counts only with the mass that it holds and how far that may be off, since spoons and
powders differ. Knows no substance.
"""

import re
from typing import Annotated, Final, NamedTuple

from darktimer import units
from darktimer.bench.unit_system import METRIC, UnitSystem, figures
from darktimer.document.fields import ReadBy
from darktimer.document.quantities import described
from darktimer.errors import UnreadableError
from darktimer.units import shown

_MOST: Final = 999
_SPOONS: Final = {
    **dict.fromkeys(("tsp", "teaspoon", "teaspoons"), "tsp"),
    **dict.fromkeys(("tbsp", "tablespoon", "tablespoons"), "tbsp"),
    **dict.fromkeys(("spoon", "spoons"), "spoon"),
    **dict.fromkeys(("cup", "cups"), "cup"),
}
_TABLETS: Final = ("x", "×", "tablet", "tablets")
_UNITS: Final = "|".join(sorted((*_SPOONS, *_TABLETS), key=len, reverse=True))
_COUNTED: Final = re.compile(
    rf"(.*?)\s*(?<![a-z])({_UNITS})(?![a-z])\s*(?:of\b)?\s*(.*)", re.IGNORECASE
)
_WITHIN: Final = re.compile(r"\s*(?:±|\+/-|\+-)\s*")
_SUCH_SPOONS: Final = "weigh a few, and write such as 2 tsp of 5 g ± 1 g; or weigh it, such as 40 g"
#: The finest part that hands can take of one: common practice, with no source.
_HALVES, _QUARTERS = (2, "halves of a"), (4, "quarters of a")


class DryAmount(NamedTuple):
    """``g`` in all, within ``within_g``; ``number`` of a ``unit``, 0 where it is weighed."""

    g: float
    within_g: float = 0.0
    number: float = 0.0
    unit: str = ""

    @property
    def each_g(self) -> float:
        """What one tablet or spoon holds; all of it where it is weighed."""
        return self.g / self.number if self.number else self.g

    @property
    def step_g(self) -> float:
        """The finest step in which it can be taken without a scale; 0 where it is weighed."""
        return self.each_g / self._finest[0] if self.number else 0.0

    @property
    def in_parts(self) -> str:
        """That step in words: halves of a tablet."""
        return f"{self._finest[1]} {self.unit}"

    @property
    def _finest(self) -> tuple[int, str]:
        return _HALVES if self.unit == "tablet" else _QUARTERS

    def times(self, factor: float) -> "DryAmount":
        """The same for ``factor`` batches."""
        return DryAmount(self.g * factor, self.within_g * factor, self.number * factor, self.unit)

    def text(self, say: UnitSystem = METRIC) -> str:
        """``16 tablets of 0.5 g``, ``2 tsp (10 g ± 2 g)``, ``40 g``; tablets by their pack."""
        within = f" ± {say.mass(self.within_g)}" if self.within_g else ""
        if self.unit == "tablet":
            plural = "" if self.number == 1 else "s"
            return f"{figures(self.number)} tablet{plural} of {METRIC.mass(self.each_g)}"
        mass = f"{say.mass(self.g)}{within}"
        return f"{figures(self.number)} {self.unit} ({mass})" if self.number else mass


def dry_amount(raw: str) -> DryAmount:
    """``40 g``, ``32 x 500 mg``, ``2 tsp of 5 g ± 1 g``; raises `UnreadableError`."""
    counted = _COUNTED.fullmatch(raw.strip())
    if not counted:
        return DryAmount(*_mass_within(raw))
    number, unit, each = counted.groups()
    unit = _SPOONS.get(unit.lower(), "tablet")
    if not each:
        raise _without_mass(raw, unit)
    count = _number(number)
    g, within_g = _mass_within(each)
    if not (within_g or unit == "tablet"):
        found = f"{shown(raw)} does not say how far a {unit} may be off"
        raise UnreadableError(found, _SUCH_SPOONS)
    return DryAmount(count * g, count * within_g, count, unit)


def _number(written: str) -> float:
    try:
        count = float(units.number(written))
    except UnreadableError:
        count = 0.0
    if 0 < count <= _MOST:
        return count
    found = f"{shown(written)} is not a number above 0 and up to {_MOST}"
    raise UnreadableError(found, "write how many, such as 2, 0.5 or 1 1/2")


def _without_mass(raw: str, unit: str) -> UnreadableError:
    if unit == "tablet":
        found = f"{shown(raw)} does not say how much a tablet holds"
        return UnreadableError(found, "write such as 32 x 500 mg")
    return UnreadableError(f"{shown(raw)} is not a mass: spoons differ", _SUCH_SPOONS)


def _mass_within(raw: str) -> tuple[float, float]:
    mass, *within = _WITHIN.split(raw, 1)
    g = units.mass_g(mass)
    within_g = units.mass_g(within[0]) if within else 0.0
    if within_g >= g:
        found = f"{shown(raw)} may be nothing at all"
        raise UnreadableError(found, "write how far it may be off, less than the whole of it")
    return g, within_g


def pack(raw: str) -> DryAmount:
    """What is sold at once, ``500 g`` or ``100 x 500 mg``; raises `UnreadableError`."""
    sold = dry_amount(raw)
    if not sold.within_g:
        return sold
    remedy = "write what its label says, such as 500 g or 100 x 500 mg"
    raise UnreadableError(f"{shown(raw)} is not what a pack holds", remedy)


Packed = Annotated[
    DryAmount, ReadBy(pack), described("a mass or tablets", "500 g", "1 kg", "100 x 500 mg")
]
Dry = Annotated[
    DryAmount,
    ReadBy(dry_amount),
    described("a mass, tablets or spoons", "40 g", "32 x 500 mg", "2 tsp of 5 g ± 1 g"),
]
