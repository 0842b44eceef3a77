"""Finds and reads recipes: in a file of their own, in the plan, beside the plan, or shipped.

This is the one place of the bench that opens files. Knows nothing of what a recipe says.
"""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

from pydantic import Field, model_validator

from darktimer import shipped
from darktimer.bench.recipe import Recipe, faults
from darktimer.bench.tonight import uses_of
from darktimer.document import Document, Section, read_document, validate
from darktimer.errors import Fault, FileError
from darktimer.plan.reader import PlanFile

#: Shipped recipes lie here; a user's own lie beside the plan, in a folder of that last name.
FOLDER: Final = "sequences/recipes"


class _Carrying(Section):
    """A plan seen only for the recipes in it; its other keys are the plan's own business."""

    recipes: dict[str, Recipe] = Field(default_factory=dict)

    @model_validator(mode="before")
    @classmethod
    def _refuse_unknown_keys(cls, raw: Any) -> Any:
        return raw


def read_recipe(name_or_path: str) -> Recipe:
    """The recipe in a file, or shipped under a bare name.

    Raises `NotFoundError`, or `FileError` with every fault of the file.
    """
    return read_recipe_file(shipped.find(FOLDER, "recipe", name_or_path))


def read_recipe_file(path: Path) -> Recipe:
    """The recipe in ``path``; raises `FileError` with every fault of the file."""
    document = read_document(path)
    recipe = validate(Recipe, document)
    _raise_any(document, list(_located(document, recipe, ())))
    return recipe


def carried(document: Document) -> dict[str, Recipe]:
    """The recipes a plan carries under ``recipes``, by name; `FileError` has every fault."""
    recipes = validate(_Carrying, document).recipes
    found = [
        fault
        for name, recipe in recipes.items()
        for fault in _located(document, recipe, ("recipes", name))
    ]
    _raise_any(document, found)
    return recipes


def recipes_of(file: PlanFile) -> dict[str, Recipe]:
    """The recipe of each bath of a plan that has one, by the name of the bath.

    A bath that names a file must have it; of other words, only those that are the name of a
    recipe find one. Raises `NotFoundError` or `FileError`.
    """
    own = carried(file.document)
    beside = Path(file.document.source).parent
    found = {use.name: own.get(use.name) or _named(use.name, beside) for use in uses_of(file.plan)}
    return {name: recipe for name, recipe in found.items() if recipe}


def _named(bath: str, beside: Path) -> Recipe | None:
    if bath.endswith((".yaml", ".yml")):
        return read_recipe(str(beside / bath))
    file_name = "-".join(re.findall(r"\w+", bath.lower())) + ".yaml"
    for folder in (beside / Path(FOLDER).name, shipped.folder(FOLDER)):
        if (folder / file_name).is_file():
            return read_recipe_file(folder / file_name)
    return None


def _located(document: Document, recipe: Recipe, under: tuple[str | int, ...]) -> Iterator[Fault]:
    for finding in faults(recipe):
        yield document.fault((*under, *finding.path), finding.found, finding.mend)


def _raise_any(document: Document, found: list[Fault]) -> None:
    if found:
        raise FileError(document.source, found)
