"""Which forms at hand do the work of a recipe's own, and how much of each that takes.

Knows what a recipe has in it. What one form takes in place of another is the business of `forms`.
"""

from collections.abc import Mapping, Sequence

from darktimer.bench.forms import BAKING_SODA, SODA, Replacement, replace
from darktimer.bench.ingredients import Substance
from darktimer.bench.recipe import Recipe
from darktimer.bench.refusal import BenchError
from darktimer.bench.substances import Form, molar_mass, moles

Taken = Mapping[int, tuple[Replacement, ...]]


def taken(recipe: Recipe, have: Sequence[Form], factor: float) -> Taken:
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
            share_g = each.amount * factor / max(1, len(forms))
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
