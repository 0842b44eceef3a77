"""A recipe that is looked at by itself: found, read, and what is doubtful about it."""

from os.path import isfile
from pathlib import Path
from typing import NamedTuple

from darktimer import shipped
from darktimer.bench.plan_warnings import of_mixture, of_recipe
from darktimer.bench.recipe import Recipe
from darktimer.bench.recipe_lookup import FOLDER, read_recipe
from darktimer.document import Document, read_document
from darktimer.errors import Fault, FileError
from darktimer.plan.baths import bath_key


class RecipeFile(NamedTuple):
    """A recipe without fault, and the file it was read from."""

    recipe: Recipe
    document: Document

    def warnings(self) -> list[Fault]:
        """What is doubtful about it at its own temperature, with its places."""
        recipe = self.recipe
        masses = recipe.masses
        found = [
            *of_recipe(recipe, recipe.temperature),
            *of_mixture(masses, recipe.batch_ml, recipe.temperature),
        ]
        return [self.document.fault(*each) for each in found]

    @property
    def working_ml(self) -> float:
        """The working bath that one batch gives."""
        return self.recipe.batch_ml / self.recipe.working_share


def recipe_file(name: str) -> RecipeFile | None:
    """The recipe in a file, or that is shipped as ``name``; None for a plan, or for nothing.

    A file with steps is a plan, one with ingredients or a kind of bath a recipe. Raises
    `FileError` with every fault of a recipe.
    """
    document = _document(name)
    return RecipeFile(read_recipe(document), document) if document else None


def is_recipe(name: str) -> bool:
    """Whether that is a recipe, faulty or not, as far as it can be read."""
    try:
        return _document(name) is not None
    except FileError:
        return False


def _document(name: str) -> Document | None:
    path = Path(name)
    if not isfile(path):  # nor is a name too long for one
        path = shipped.folder(FOLDER) / f"{bath_key(name)}.yaml"
    if not isfile(path):
        return None
    document = read_document(path)
    content = document.content
    if not isinstance(content, dict) or "steps" in content:
        return None
    return document if {"ingredients", "bath"} & {*content} else None
