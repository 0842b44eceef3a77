"""One form of a substance in place of another, by moles of what acts.

Knows what may stand in for what, what else must then change, and which forms at hand do the work
of a recipe's own.
"""

from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple

from darktimer.bench.acidity import estimate
from darktimer.bench.alkali import alkali_of
from darktimer.bench.bench_error import BenchError
from darktimer.bench.ingredients import Substance
from darktimer.bench.recipe import Recipe
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
    if have == BAKING_SODA and wanted.acts == "carbonate":
        raise _unbaked(wanted, mass_g)
    if have.acts != wanted.acts:
        found = f"{have.name} does not do its work"
        raise BenchError(wanted.name, found, _stand_ins(wanted))
    mass = moles(wanted, mass_g) * molar_mass(have)
    return Replacement(have, mass, _soda_g(wanted, mass_g, have), _note(wanted, have))


def to_bake(wanted: Form, mass_g: float) -> float:
    """Grams of baking soda to bake in place of ``mass_g`` of a carbonate ``wanted``.

    2 NaHCO3 -> Na2CO3: it loses 36.9 % of its mass as steam and carbon dioxide; weigh it to know
    that it is done.
    """
    return 2 * moles(wanted, mass_g) * molar_mass(BAKING_SODA)


def _soda_g(wanted: Form, mass_g: float, have: Form) -> float:
    """Soda that makes up for the alkali one form brings, or neutralises, and the other does not."""
    missing = alkali_of(wanted) - alkali_of(have)
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


Taken = Mapping[int, tuple[Replacement, ...]]


def forms_taken(recipe: Recipe, have: Sequence[Form], factor: float) -> Taken:
    """What to weigh for each substance, by its place in ``recipe``, ``factor`` times its batch.

    Forms at hand that do the same work share it equally; one that the recipe has itself stands in
    for nothing else. The soda is set right for the alkali that other forms bring. Raises
    `BenchError` where a form at hand does not replace the recipe's.
    """
    own = [each.substance for each in recipe.ingredients if isinstance(each, Substance)]
    at_hand = {form.name: form for form in have}.values()
    found = {}
    for index, each in enumerate(recipe.ingredients):
        if isinstance(each, Substance):
            forms = [form for form in at_hand if _serves(each.substance, form, own)]
            share_g = each.grams * factor / max(1, len(forms))
            found[index] = tuple(
                replace(each.substance, share_g, form) for form in forms or [each.substance]
            )
    soda_g = sum(each.soda_g for swaps in found.values() for each in swaps)
    return _with_soda(recipe, found, soda_g) if abs(soda_g) > 1e-9 else found


def _serves(wanted: Form, form: Form, own: Sequence[Form]) -> bool:
    """Whether ``form`` is at hand for ``wanted``: baking soda is for soda, so as to be refused."""
    meant = form.acts == wanted.acts or (form == BAKING_SODA and wanted.acts == "carbonate")
    return form == wanted or (meant and form not in own)


def _with_soda(recipe: Recipe, found: Taken, soda_g: float) -> Taken:
    """The carbonate of the recipe, more or less by ``soda_g`` grams of anhydrous soda."""
    for index, swaps in found.items():
        own_g = sum(moles(each.form, each.mass_g) for each in swaps) * molar_mass(SODA)
        if swaps[0].form.acts == "carbonate" and own_g + soda_g > 0:
            does = "uses" if soda_g > 0 else "does not use"
            note = f"adjusted for the alkali that the other form {does} up"
            by = 1 + soda_g / own_g
            return {
                **found,
                index: tuple(Replacement(each.form, each.mass_g * by, 0.0, note) for each in swaps),
            }
    left = f"the change of form leaves {soda_g:+.1f} g of soda that no carbonate takes up"
    raise BenchError(recipe.title, left, "use the form the recipe has")
