"""One form of a substance in place of another, by moles of what acts.

Knows what may stand in for what, and what else must then change. Knows no recipe.
"""

from typing import Final, NamedTuple

from darktimer.bench.acidity import estimate
from darktimer.bench.alkali import alkali_of
from darktimer.bench.refusal import BenchError, above_zero
from darktimer.bench.substances import FORMS, Form, molar_mass, moles

SODA: Final = FORMS["sodium carbonate anhydrous"]
BAKING_SODA: Final = FORMS["baking soda"]


class Replacement(NamedTuple):
    """``mass_g`` of ``form`` in place of what the recipe has.

    ``soda_g`` is anhydrous sodium carbonate to add (above 0) or leave out (below 0), because the
    new form neutralises more or less alkali. ``note`` says what else differs; else it is empty.
    """

    form: Form
    mass_g: float
    soda_g: float = 0.0
    note: str = ""


def replace(wanted: Form, mass_g: float, have: Form) -> Replacement:
    """``have`` in place of ``mass_g`` of ``wanted``, by equal moles of what acts.

    Raises `BenchError` where one cannot stand in for the other: baking soda for washing soda, with
    the numbers, and substances that do different work.
    """
    above_zero(f"mass of {wanted.name}", mass_g, "g")
    if have == BAKING_SODA and wanted.acts == "carbonate":
        raise _unbaked(wanted, mass_g)
    if have.acts != wanted.acts:
        found = f"{have.name} does not do its work"
        raise BenchError(wanted.name, found, _stand_ins(wanted))
    mass = moles(wanted, mass_g) / have.moles * molar_mass(have)
    return Replacement(have, mass, _soda_g(wanted, mass_g, have), _note(wanted, have))


def to_bake(wanted: Form, mass_g: float) -> float:
    """Grams of baking soda to bake in place of ``mass_g`` of a carbonate ``wanted``.

    2 NaHCO3 -> Na2CO3: it loses 36.9 % of its mass as steam and carbon dioxide; weigh it to know
    that it is done.
    """
    return 2 * moles(wanted, mass_g) * molar_mass(BAKING_SODA)


def _soda_g(wanted: Form, mass_g: float, have: Form) -> float:
    """Soda that makes up for the alkali one form brings, or neutralises, and the other does not."""
    missing = alkali_of(wanted) / wanted.moles - alkali_of(have) / have.moles
    return missing * moles(wanted, mass_g) * molar_mass(SODA)


def _unbaked(wanted: Form, mass_g: float) -> BenchError:
    soda_ph = estimate({"sodium": 0.2, "carbonate": 0.1})
    baking_ph = estimate({"sodium": 0.1, "carbonate": 0.1})
    return BenchError(
        wanted.name,
        f"baking soda does not replace it: at 0.1 mol/l it has an {baking_ph.text()}, sodium "
        f"carbonate an {soda_ph.text()}, and more of it does not help",
        f"bake {to_bake(wanted, mass_g):.1f} g of baking soda through until it loses no more "
        f"weight, and use all {moles(wanted, mass_g) * molar_mass(SODA):.1f} g that remain",
    )


def _note(wanted: Form, have: Form) -> str:
    if wanted.acts == "thiosulphate" and wanted.parts != have.parts:
        return "sodium and ammonium thiosulphate fix at different speeds: find the clearing time"
    return ""


def _stand_ins(wanted: Form) -> str:
    names = [form.name for form in FORMS.values() if form.acts == wanted.acts and form != wanted]
    return f"what may replace it: {', '.join(names)}" if names else "nothing known replaces it"
