"""What is left of the alkali when the acid has eaten its share, and how much that foams.

Knows the bookkeeping of what was dissolved. The pH that follows is the business of `acidity`.
"""

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Final, NamedTuple

from darktimer.bench.refusal import above_zero
from darktimer.bench.substances import FORMS, Form, molar_mass

#: Litres of gas in a mole at 20 C and one atmosphere, as an ideal gas.
GAS_L_PER_MOL: Final = 24.055

#: Charge each part carries once carbonate has become bicarbonate: what alkali is counted against.
_CHARGE: Final[Mapping[str, int]] = MappingProxyType(
    {
        "sodium": 1,
        "potassium": 1,
        "ammonium": 1,
        "carbonate": -1,
        "ascorbate": -1,
        "citrate": -3,
        "acetate": -1,
        "borate": 0,
        "sulphite": -2,
        "thiosulphate": -2,
        "chloride": -1,
        "bromide": -1,
    }
)


def dissolved(masses: Iterable[tuple[Form, float]], volume_ml: float) -> dict[str, float]:
    """Concentrations, mol/l, of everything in ``volume_ml`` of bath, in the words of `acidity`.

    ``masses`` are pairs of form and grams. Raises `BenchError` for no volume.
    """
    litres = above_zero("volume of the bath", volume_ml, "ml") / 1000
    parts: dict[str, float] = {}
    for form, mass_g in masses:
        for part, count in form.parts.items():
            amount = mass_g / molar_mass(form) * count / litres
            parts[part] = parts.get(part, 0.0) + amount
    return parts


class Alkali(NamedTuple):
    """Alkali and acid after they have met, mol/l.

    ``left`` is alkali beyond bicarbonate, such as carbonate; ``acid`` is acid beyond bicarbonate;
    one of them is 0. ``carbonate`` is all of it, whatever became of it.
    """

    left: float
    acid: float
    carbonate: float

    @property
    def left_soda_g_per_l(self) -> float:
        """The alkali left, as anhydrous sodium carbonate, g/l."""
        return self.left * molar_mass(FORMS["sodium carbonate anhydrous"])

    @property
    def gas_l_per_l(self) -> float:
        """Litres of carbon dioxide that a litre of bath gives off for good, at 20 C."""
        return min(self.acid, self.carbonate) * GAS_L_PER_MOL


def after_acid(parts: Mapping[str, float]) -> Alkali:
    """Alkali left in a bath of ``parts``, mol/l, by the balance of charges at bicarbonate.

    Each acid is counted with the protons it gives to carbonate: ascorbic 1, acetic 1, citric 3.
    """
    balance = _balance(parts)
    return Alkali(max(balance, 0.0), max(-balance, 0.0), parts.get("carbonate", 0.0))


def alkali_of(form: Form) -> float:
    """Moles of alkali a formula unit brings, counted at bicarbonate; below 0 for an acid.

    Washing soda 1, baking soda 0, ascorbic acid -1, its sodium salt 0, citric acid -3.
    """
    return _balance(form.parts)


def foams(forms: Iterable[Form]) -> bool:
    """Whether a carbonate or bicarbonate meets an acid while these are dissolved.

    Even a bath with alkali to spare foams where a heap of acid falls into it.
    """
    present = list(forms)
    fizzing = any("carbonate" in form.parts for form in present)
    return fizzing and any(alkali_of(form) < 0 for form in present)


def _balance(parts: Mapping[str, float]) -> float:
    return sum(_CHARGE[part] * amount for part, amount in parts.items())
