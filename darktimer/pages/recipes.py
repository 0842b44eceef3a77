"""A recipe as a page: what it makes, how long that keeps, its pH, what to mind."""

from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from darktimer.bench.bath_sheet import acidity_words
from darktimer.bench.cautions import of_recipe
from darktimer.bench.unit_system import METRIC, figures
from darktimer.pages.bench import keeping
from darktimer.prepare.recipe_file import RecipeFile
from darktimer.terminal.text import print_list, say


def print_recipe(file: RecipeFile) -> None:
    """What a recipe without fault comes to."""
    recipe = file.recipe
    say(f"{recipe.title}: no faults found", bold=True)
    if recipe.about:
        say(recipe.about)
    say("")
    for line in _lines(file):
        say(line)
    print_list("Warnings", [fault.text(file.document.source) for fault in file.warnings()])
    print_list("Cautions", of_recipe(recipe))
    say("")


def _lines(file: RecipeFile) -> Iterator[str]:
    recipe, used = file.recipe, ""
    if recipe.dilution:
        stock, water = recipe.dilution
        used = f", used {stock:g}+{water:g}: {METRIC.volume(file.working_ml)}"
    if recipe.dilution and not recipe.ingredients:
        yield f"A litre of the concentrate{used} of {recipe.bath}."
    else:
        yield f"It makes {METRIC.volume(recipe.batch_ml)}{used} of {recipe.bath}."
    rolls = recipe.rolls_per_litre
    capacity = f"; {figures(rolls)} rolls a litre" if rolls else ""
    if recipe.keeps:
        yield f"{keeping(recipe.keeps, recipe.use == 'again')}{capacity}"
    if acidity := acidity_words(recipe, recipe.temperature):
        yield f"{acidity} at {METRIC.temperature(recipe.temperature)}"


def recipe_json(name: str, file: RecipeFile) -> dict[str, Any]:
    """The same for scripts."""
    recipe = file.recipe
    return {
        "recipe": name,
        "faults": [],
        "title": recipe.title,
        "bath": recipe.bath,
        "makes_ml": recipe.batch_ml,
        "working_ml": file.working_ml,
        "keeps_hours": recipe.keeps,
        "use": recipe.use,
        "acidity": acidity_words(recipe, recipe.temperature),
        "warnings": [asdict(fault) for fault in file.warnings()],
        "cautions": of_recipe(recipe),
    }
