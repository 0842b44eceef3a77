"""Fixing and washing: what a cold bath adds, and what the washes leave behind.

Knows the plan's fix and wash and what the rest of the bench computes of them. Washes add up: each
begins with what the one before it left.
"""

from collections.abc import Iterator, Mapping
from typing import Final

from darktimer.bench.film import FilmLoad
from darktimer.bench.plan_inputs import bath_celsius
from darktimer.bench.recipe import Recipe
from darktimer.bench.rules_of_thumb import cold_wash_factor
from darktimer.bench.substances import formula_mass
from darktimer.bench.unit_system import UnitSystem
from darktimer.bench.washing import (
    LIMIT_G_PER_M2,
    USUAL_CHANGES,
    Washed,
    clinging_g_per_m2,
    in_changes,
    in_running_water,
)
from darktimer.plan.baths import of_bath
from darktimer.plan.fixing import USUAL_CELSIUS, Slower, light_before_clearing, warnings
from darktimer.plan.model import Plan
from darktimer.plan.steps import Fix, Wash
from darktimer.units import clock, whole_second

#: What clings to a roll and its reel when a bath is poured off; common practice, with no source.
CLINGING_ML_PER_ROLL: Final = 10.0

_PRACTICE: Final = (
    f"follow practice, {USUAL_CHANGES[0]} to {USUAL_CHANGES[1]} changes, since film gives up its "
    "fixer more slowly"
)
_LEAST_TOLD_G_PER_M2: Final = 0.0001  # less is the formula's own, and no film's


def fixing_and_washing(
    plan: Plan, recipes: Mapping[str, Recipe], fill_ml: float, film: FilmLoad, say: UnitSystem
) -> Iterator[str]:
    """What is worth knowing of the fixes and washes of ``plan``, one sentence each."""
    for found in (*light_before_clearing(plan), *warnings(plan, say.temperature)):
        yield f"{plan.steps[int(found.path[1])].called}: {found.found}; {found.remedy}"
    carried_ml = CLINGING_ML_PER_ROLL * film.rolls
    left, changes = 0.0, 0  # g/m2 of thiosulphate, and changes of water since the fixer
    for step in plan.steps:
        if isinstance(step, Fix):
            fixer_g_per_l = thiosulphate_g_per_l(of_bath(step, recipes))
            left, changes = clinging_g_per_m2(fixer_g_per_l, carried_ml, film.area_m2), 0
        if not isinstance(step, Wash):
            continue
        cold = _cold(plan, step)
        if cold.is_cold and not (left and step.running):
            yield f"{step.called}: {cold.text(say.temperature)}; allow for it"
        if not left:
            continue
        if step.running:
            washed = in_running_water(left, cold.time_ms / 60_000, cold.factor)
            text = _under_the_tap(washed, cold, say)
        else:
            changes += step.repeat
            washed = in_changes(left, step.repeat, fill_ml, carried_ml)
            text = _in_changes(washed, changes, changes - step.repeat + washed.least, say)
        yield f"{step.called}: {text}"
        left = washed.left_g_per_m2


def thiosulphate_g_per_l(recipe: Recipe | None) -> float:
    """Thiosulphate ion in the working bath, g/l; 0 where there is none, or none is known of."""
    return recipe.parts().get("thiosulphate", 0.0) * formula_mass("S2O3") if recipe else 0.0


def _cold(plan: Plan, step: Wash) -> Slower:
    """What the cold makes of a wash: all of it under the tap, else of each change."""
    celsius, times = bath_celsius(plan, step), step.repeat if step.running else 1
    return Slower(step.wash * times, celsius, cold_wash_factor(celsius))


def _under_the_tap(washed: Washed, cold: Slower, say: UnitSystem) -> str:
    worth = ""
    if cold.is_cold:
        as_warm_ms = whole_second(cold.time_ms / cold.factor)
        warm, here = say.temperature(USUAL_CELSIUS), say.temperature(cold.celsius)
        worth = f" at {here}, worth {clock(as_warm_ms)} at {warm},"
    side = "within" if washed.enough else "above"
    return (
        f"{clock(cold.time_ms)} of running water{worth} leaves {_left(washed, say)} if each minute "
        f"halves it, {side} {_to_last(say)}; by that rule {washed.least} min are enough"
    )


def _in_changes(washed: Washed, changes: int, least: int, say: UnitSystem) -> str:
    """Of ideal mixing and practice, practice is followed."""
    left = f"after {changes} changes of water ideal mixing leaves {_left(washed, say)}"
    if washed.enough and changes >= USUAL_CHANGES[0]:
        return f"{left}, within {_to_last(say)}; {_PRACTICE}"
    return f"{left}; {least} would reach {_to_last(say)}; {_PRACTICE}"


def _to_last(say: UnitSystem) -> str:
    return f"the {say.on_film(LIMIT_G_PER_M2)} quoted for film that is to last"


def _left(washed: Washed, say: UnitSystem) -> str:
    if washed.left_g_per_m2 < _LEAST_TOLD_G_PER_M2:
        return f"less than {say.on_film(_LEAST_TOLD_G_PER_M2)} of thiosulphate"
    return f"{say.on_film(washed.left_g_per_m2)} of thiosulphate"
