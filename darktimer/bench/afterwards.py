"""Fixing and washing tonight: what a cold bath adds, and what the changes of water leave behind.

Knows the plan's fix and wash and what the rest of the bench computes of them.
"""

from collections.abc import Iterator, Mapping
from typing import Final

from darktimer.bench.custom import USUAL_CELSIUS, cold_wash_factor, fixing_factor
from darktimer.bench.film import Load
from darktimer.bench.measures import Measures, figures
from darktimer.bench.recipe import Recipe
from darktimer.bench.substances import formula_mass
from darktimer.bench.tonight import bath_celsius
from darktimer.bench.washing import LIMIT_G_PER_M2, USUAL_CHANGES, running, wash
from darktimer.plan.baths import of_bath
from darktimer.plan.model import Plan
from darktimer.plan.steps import Fix, Wash
from darktimer.units import clock

#: What clings to a roll and its reel when a bath is poured off; common practice, with no source.
CLINGING_ML_PER_ROLL: Final = 10.0

_WORTH_SAYING: Final = 1.005


def fixing_and_washing(
    plan: Plan, recipes: Mapping[str, Recipe], fill_ml: float, film: Load, say: Measures
) -> Iterator[str]:
    """What is worth knowing of the fixes and washes of ``plan``, one sentence each."""
    fixer_g_per_l = 0.0
    for step in plan.steps:
        celsius = bath_celsius(plan, step)
        recipe = of_bath(step, recipes)
        if isinstance(step, Fix):
            fixer_g_per_l = thiosulphate_g_per_l(recipe) if recipe else 0.0
            yield from _slower(step, celsius, fixing_factor(celsius), say)
        if isinstance(step, Wash):
            yield from _slower(step, celsius, cold_wash_factor(celsius), say)
            if fixer_g_per_l:
                yield _left(step, fill_ml, fixer_g_per_l, film)


def thiosulphate_g_per_l(recipe: Recipe) -> float:
    """Thiosulphate ion in the working bath, g/l; 0 where there is none."""
    return recipe.parts().get("thiosulphate", 0.0) * formula_mass("S2O3")


def _slower(step: Fix | Wash, celsius: float, factor: float, say: Measures) -> Iterator[str]:
    if factor > _WORTH_SAYING:
        time_ms = step.time_ms or 0
        slow_ms = round(time_ms * factor / 1000) * 1000
        yield (
            f"{step.called}: at {say.temperature(celsius)} what takes {clock(time_ms)} "
            f"at {say.temperature(USUAL_CELSIUS)} takes {clock(slow_ms)}, "
            f"{factor:.2f} times as long; is that in your time?"
        )


def _left(step: Wash, fill_ml: float, fixer_g_per_l: float, film: Load) -> str:
    clinging_ml = CLINGING_ML_PER_ROLL * film.rolls
    if step.repeat == 1:
        water = running(step.wash / 60_000, clinging_ml, fixer_g_per_l, film.area_m2)
        return (
            f"{step.called}: {clock(step.wash)} of running water, which halves it each minute, "
            f"leave {figures(water.left_g_per_m2, 2)} g/m2 of thiosulphate, "
            f"{_verdict(water.enough)}; by that rule {water.least_min} min do"
        )
    found = wash(step.repeat, fill_ml, clinging_ml, fixer_g_per_l, film.area_m2)
    return (
        f"{step.called}: {step.repeat} changes of water leave "
        f"{figures(found.left_g_per_m2, 2)} g/m2 of thiosulphate by ideal mixing, "
        f"{_verdict(found.enough)}; ideal mixing takes "
        f"{found.least_changes}, practice {USUAL_CHANGES[0]} to {USUAL_CHANGES[1]}"
    )


def _verdict(enough: bool) -> str:
    side = "within" if enough else "above"
    return f"{side} the {LIMIT_G_PER_M2} quoted for film that is to last"
