"""What is left of the alkali when the acid has neutralised its share, and whether that foams.

Knows the bookkeeping of what was dissolved. The pH that follows is the business of `acidity`.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from darktimer.bench.acidity import charge_of
from darktimer.bench.substances import Form, molar_mass

#: Where carbonate has become bicarbonate: what alkali is counted against.
_BICARBONATE_PH: Final = 8.3


def dissolved(masses: Iterable[tuple[Form, float]], volume_ml: float) -> dict[str, float]:
    """Concentrations, mol/l, of everything in ``volume_ml`` of bath, in the words of `acidity`.

    ``masses`` are pairs of form and grams.
    """
    litres = volume_ml / 1000
    parts: dict[str, float] = {}
    for form, mass_g in masses:
        for part, count in form.parts.items():
            amount = mass_g / molar_mass(form) * count / litres
            parts[part] = parts.get(part, 0.0) + amount
    return parts


@dataclass(frozen=True, slots=True)
class AfterAcid:
    """The alkali of a bath after its acid has neutralised a share, by the balance at bicarbonate.

    ``form`` is the alkali weighed, the one that brings most where there are several;
    ``neutralised_g`` and ``left_g`` are grams of it in the whole bath, ``left_mmol_per_l`` is its
    concentration.
    """

    form: str
    neutralised_g: float
    left_g: float
    left_mmol_per_l: float


def after_acid(masses: Iterable[tuple[Form, float]], volume_ml: float) -> AfterAcid | None:
    """What the acid among ``masses``, pairs of form and grams, leaves in ``volume_ml`` of bath.

    Each acid is counted with the protons it gives to carbonate: ascorbic 1, acetic 1, citric 3.
    None where alkali and acid do not meet. Raises `BenchError` for no volume.
    """
    brought = [(form, alkali_of(form) * mass_g / molar_mass(form)) for form, mass_g in masses]
    alkali = sum(moles for _, moles in brought if moles > 0)
    acid = -sum(moles for _, moles in brought if moles < 0)
    if not (alkali and acid):
        return None
    form = max(brought, key=lambda each: each[1])[0]
    neutralised, left = (
        moles / alkali_of(form) for moles in (min(acid, alkali), max(alkali - acid, 0))
    )
    g_per_mol = molar_mass(form)
    return AfterAcid(form.name, neutralised * g_per_mol, left * g_per_mol, 1e6 * left / volume_ml)


def alkali_of(form: Form) -> int:
    """Moles of alkali a formula unit brings, counted at bicarbonate; below 0 for an acid.

    Washing soda 1, baking soda 0, ascorbic acid -1, its sodium salt 0, citric acid -3.
    """
    return sum(charge_of(part, _BICARBONATE_PH) * n for part, n in form.parts.items())


def foams(forms: Iterable[Form], *, sour: bool = False) -> bool:
    """Whether a carbonate or bicarbonate meets an acid while these are dissolved.

    Even a bath with alkali to spare foams where a heap of acid falls into it. ``sour`` says that
    acid is there, whatever the forms are.
    """
    present = list(forms)
    return any(map(is_carbonate, present)) and (sour or any(map(is_acid, present)))


def is_carbonate(form: Form) -> bool:
    """Whether acid sets gas free of it."""
    return "carbonate" in form.parts


def is_acid(form: Form) -> bool:
    """Whether it takes alkali from the bath."""
    return alkali_of(form) < 0
