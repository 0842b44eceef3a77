"""The recipe of a bath that is named by itself, and what it says of a bath that is kept."""

from pathlib import Path
from typing import Final

from darktimer.bench.recipe import Recipe
from darktimer.bench.recipe_lookup import FoundRecipe, recipe_called, recipes_of
from darktimer.errors import UnreadableError
from darktimer.plan.baths import bath_key
from darktimer.plan.reader import read_plan

_HOUR_MS: Final = 3_600_000


def recipe_for(bath: str, plan: str | None) -> FoundRecipe:
    """The recipe as ``plan`` finds it, or that lies here or is shipped; raises `DarktimerError`."""
    if plan is None:
        return recipe_called(bath, Path.cwd())
    found = recipes_of(read_plan(plan)).get(bath_key(bath))
    if found is None:
        raise UnreadableError(f"{plan} has no bath {bath!r}", "name one of its baths")
    return found


def keeps(recipe: Recipe | None, volume_ml: float) -> tuple[int | None, float | None]:
    """How long ``volume_ml`` of a bath keep, ms, and the film they take, m2; None if not known."""
    if recipe is None:
        return None, None
    keeps_ms = recipe.keeps and recipe.keeps * _HOUR_MS
    per_l = recipe.capacity_m2_per_l
    return keeps_ms, per_l and per_l * volume_ml / 1000
