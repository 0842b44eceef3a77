"""What to mind, said once: of the baths, of the work in the dark, and of what becomes of a bath.

The usual cautions of the trade, common practice without a source, the heaviest first. Every page
that prints cautions takes them from here. Makers' safety sheets and local codes go before them.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from itertools import chain
from typing import Final

from darktimer.bench.alkali import alkali_of, foams
from darktimer.bench.ingredients import Plant
from darktimer.bench.plan_inputs import bath_uses
from darktimer.bench.recipe import GOES_WITH, Recipe
from darktimer.bench.substances import FORMS, Form
from darktimer.plan.baths import bath_key
from darktimer.plan.model import Plan

_SCALDS_CELSIUS: Final = 50.0

_BURNS: Final = {
    "hydroxide": "{} burns skin and eyes: stir it into cold water, never water onto it.",
    "acetic acid": "Strong {} burns, and so does its vapour: pour the acid into the water.",
}
_HARMS: Final = {
    "borate": "{} may harm an unborn child: gloves, no dust, and not for anyone who is pregnant.",
    "sulphite": "{} can set off asthma: raise no dust.",
    "bromide": "{} harms if swallowed and irritates the eyes.",
    "carbonate": "{} harms the eyes; dust and solution irritate.",
    "citric acid": "{} stings in eyes and cuts; its dust irritates.",
}
#: What may be in a bath without a recipe, or in a bottle, for the gases that baths give off.
_MAY_HOLD: Final = {
    "develop": "sodium carbonate anhydrous",
    "stop": "acetic acid",
    "clearing bath": "sodium sulphite anhydrous",
    "fix": "sodium thiosulphate pentahydrate",
}
_FOAM: Final = "Acid meeting carbonate foams: never seal that vessel."
_SILVER: Final = (
    "Spent fixer holds silver: hand it in as local rules say, never into a septic tank."
)
_BLEACH: Final = (
    "Bleaches are strong acids and oxidisers: bought ready, used as their makers say, rinsed off, "
    "and never mixed with another bath, fresh or spent."
)
_SPENT_BLEACH: Final = (
    "Spent bleach holds acid, oxidiser and silver: keep it apart from all else, the first rinse "
    "water after it too, and hand it in as local rules say."
)
_GENERAL: Final = (
    "Gloves, goggles, moving air; no food or drink. Vessels that held chemistry, or plants steeped "
    "for it, never go back to the kitchen.",
    "Label every vessel; no drinks bottles; away from children and animals. Never mix spent baths.",
    "On the skin or in the eyes: running water at once, then medical help.",
)
LOCAL_CODES: Final = "Makers' safety sheets and local codes take precedence over all this."


def cautions(plan: Plan, recipes: Mapping[str, Recipe]) -> list[str]:
    """All that concern ``plan``; ``recipes`` by the key of their bath, where one is known."""
    return [*of_the_baths(plan, recipes), *of_the_work(plan), LOCAL_CODES]


def of_recipe(recipe: Recipe) -> list[str]:
    """All that concern a bath by itself."""
    forms = _forms([recipe])
    made_for = (kind for kind, baths in GOES_WITH.items() if baths[:1] == (recipe.bath,))
    near = [*forms, *_unknown(next(made_for, ""), recipe)]
    silver = [_SILVER] if recipe.bath == "fixer" else []
    return [*_of_mixing([recipe], forms, near, _FOAM), *silver, *_GENERAL, LOCAL_CODES]


def of_the_baths(
    plan: Plan, recipes: Mapping[str, Recipe], weighed: Collection[Form] | None = None
) -> Iterator[str]:
    """What to mind while mixing and pouring; ``weighed`` where other forms are at hand."""
    forms = _forms(recipes.values()) if weighed is None else weighed
    uses = bath_uses(plan)
    unknown = (_unknown(use.kind, recipes.get(bath_key(use.name))) for use in uses)
    near = [*forms, *chain.from_iterable(unknown)]
    if any(use.kind == "bleach" for use in uses):
        yield _BLEACH
    yield from _of_mixing(recipes.values(), forms, near, _foam(plan))
    if any(not use.is_water for use in uses):
        yield from _GENERAL


def _of_mixing(
    recipes: Collection[Recipe], forms: Collection[Form], near: Collection[Form], foam: str
) -> Iterator[str]:
    """Of baths that hold ``forms``, and may hold all that are ``near``."""
    for recipe in recipes:
        yield from recipe.cautions
    yield from _named(_BURNS, near)
    yield from _gases(recipes, near, foam)
    yield from _named(_HARMS, forms)
    if _hottest(recipes) >= _SCALDS_CELSIUS:
        yield "Hot water scalds: let what was steeped cool before you handle it."


def of_the_work(plan: Plan) -> Iterator[str]:
    """What to mind whatever the baths are made of."""
    kinds = {step.kind for step in plan.steps}
    if "fix" in kinds:
        yield _SILVER
    yield (
        "Battery power or a protected (RCD/GFCI) socket; mains gear off the wet bench. Clear the "
        "floor before the lights go out. Volume: start low."
    )
    if plan.vessel.light == "open" or "load" in kinds:
        yield (
            "Total darkness: cover or switch off screens, keyboard, charger and router lights; "
            "take off luminous watches. A key press can wake a sleeping display."
        )


def discarding(kind: str, own: str | None) -> Iterator[str]:
    """What to do with a used bath of a step's ``kind``; the recipe's ``own`` words come after the
    law.
    """
    if kind == "bleach":
        yield _SPENT_BLEACH
    elif kind == "fix":
        yield (
            "Spent fixer holds silver: hand it in as local rules say, never into a septic tank; "
            "the first wash water holds some too."
        )
    else:
        yield "Discard as local rules say, never into a septic tank."
    if own:
        yield own


def _forms(recipes: Iterable[Recipe]) -> list[Form]:
    return [form for r in recipes for form, _ in r.masses]


def _unknown(kind: str, recipe: Recipe | None) -> Iterator[Form]:
    """What may be in a bath without a recipe, or with a bottle in it, so that none is left out."""
    if kind in _MAY_HOLD and (not recipe or recipe.bottled):
        yield FORMS[_MAY_HOLD[kind]]


def _named(cautions: Mapping[str, str], forms: Collection[Form]) -> Iterator[str]:
    for acts, words in cautions.items():
        for name in dict.fromkeys(form.name for form in forms if form.acts == acts):
            text = words.format(name)
            yield text[0].upper() + text[1:]


def _gases(recipes: Iterable[Recipe], forms: Collection[Form], foam: str) -> Iterator[str]:
    parts = {part for form in forms for part in form.parts}
    if foams(forms) or any(map(_foams, recipes)):
        yield foam
    if gives_off := parts & {"sulphite", "thiosulphate"}:
        what = " and ".join(sorted(gives_off))
        yield f"Acid frees choking sulphur dioxide from {what}: keep the air moving."
    if "ammonium" in parts and any(alkali_of(form) > 0 for form in forms):
        yield "Alkali meeting an ammonium fixer gives off ammonia: rinse between, keep air moving."


def _foams(recipe: Recipe) -> bool:
    forms = (form for form, _ in recipe.masses)
    return foams(forms, sour=recipe.bottled)


def _foam(plan: Plan) -> str:
    """What acid does with carbonate: in a lidded tank it is felt when a stop follows."""
    if plan.vessel.light == "closed" and any(step.kind == "stop" for step in plan.steps):
        return (
            "Acid meeting carbonate gives off gas: let it out of a lidded tank after the first "
            "turn, by the cap, and never open the light lid while the film needs the dark. Never "
            "seal a vessel that holds both."
        )
    return _FOAM


def _hottest(recipes: Iterable[Recipe]) -> float:
    each_of = [each for recipe in recipes for each in recipe.ingredients]
    temperatures = [each.at for each in each_of if isinstance(each, Plant) and each.at is not None]
    return max(temperatures, default=0.0)
