"""Finds and reads recipes: in a file of their own, in the plan, beside the plan, or shipped.

This is the one place of the bench that opens files. Knows nothing of what a recipe says.
"""

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any, ClassVar, Final, NamedTuple

from darktimer import shipped
from darktimer.bench.plan_inputs import BathUse, bath_uses
from darktimer.bench.recipe import Recipe
from darktimer.bench.recipe_faults import faults
from darktimer.document import Document, Field, Section, read_document, validate
from darktimer.errors import Fault, FileError, KeyPath, nearest
from darktimer.plan.baths import bath_key
from darktimer.plan.reader import PlanFile

#: Shipped recipes lie here; a user's own lie beside the plan, in a folder of that last name.
FOLDER: Final = "sequences/recipes"
_RECIPES: Final = "recipes"


class _Carrying(Section):
    """A plan seen only for the recipes in it; its other keys are the plan's own business."""

    other_keys: ClassVar = True

    recipes: dict[str, Recipe] = Field(default_factory=dict)


def read_recipe_file(path: Path) -> Recipe:
    """The recipe in ``path``; raises `FileError` with every fault of the file."""
    return read_recipe(read_document(path))


def read_recipe(document: Document) -> Recipe:
    """The recipe that a file holds; raises `FileError` likewise."""
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


def with_carried(error: FileError) -> FileError:
    """What is wrong with a plan, and with it what is wrong with the recipes that it carries."""
    try:
        carried(read_document(Path(error.source)))
    except FileError as more:
        new = [fault for fault in more.faults if fault not in error.faults]
        return FileError(error.source, [*error.faults, *new])
    return error


class FoundRecipe(NamedTuple):
    """The recipe of a bath, and in words where it was found; or none, and what is near."""

    recipe: Recipe | None
    where: str


def recipes_of(file: PlanFile) -> dict[str, FoundRecipe]:
    """The recipe of each bath of a plan, by the key of the bath's name.

    A bath's name is the name, the title or the file of a recipe: carried by the plan, beside it
    (``recipes/`` first), or shipped. A bath that names a file must have it. Raises `FileError`.
    """
    own = carried(file.document)
    beside = Path(file.document.source).parent
    found = {}
    for use in bath_uses(file.plan):
        if use.name.endswith((".yaml", ".yml")):
            found[bath_key(use.name)] = _named_file(file, use, beside)
        elif not use.is_water:
            found[bath_key(use.name)] = _carried_as(own, use.name) or recipe_called(
                use.name, beside, own
            )
    return found


def recipes_in(found: Mapping[str, FoundRecipe]) -> dict[str, Recipe]:
    """The recipes among what was ``found``, by the same keys."""
    return {key: each.recipe for key, each in found.items() if each.recipe}


def _named_file(file: PlanFile, use: BathUse, beside: Path) -> FoundRecipe:
    for folder in (beside, beside / _RECIPES):
        if (folder / use.name).is_file():
            return FoundRecipe(read_recipe_file(folder / use.name), f"{use.name} beside the plan")
    remedy = "write it there, or name one that is shipped: " + ", ".join(shipped.names(FOLDER))
    path = ("steps", use.places[0], "bath")
    fault = file.document.fault(path, "there is no such file beside the plan", remedy)
    raise FileError(file.document.source, [fault])


def _carried_as(own: dict[str, Recipe], bath: str) -> FoundRecipe | None:
    for name, recipe in own.items():
        if bath_key(bath) in (bath_key(name), bath_key(recipe.title)):
            return FoundRecipe(recipe, "in the plan itself")
    return None


def at_hand(beside: Path, kind: str) -> list[str]:
    """Titles of the recipes for baths of this kind in ``recipes`` beside a plan, and shipped."""
    contents = ((path, _content(path)) for path, _ in _lying_about("", beside))
    return [
        str(content.get("title", path.stem))
        for path, content in contents
        if content and content.get("bath") == kind
    ]


def recipe_called(bath: str, beside: Path, own: Iterable[str] = ()) -> FoundRecipe:
    """The recipe in a file of the bath's name, or of any name with that title, or shipped.

    Where there is none, the nearest name is told of, one of a plan's ``own`` recipes too.
    """
    near = {bath_key(name): name for name in own}
    for path, where in _lying_about(bath, beside):
        content = _content(path)
        if content is None:
            continue
        title = str(content.get("title", ""))
        if bath_key(bath) in (bath_key(path.stem), bath_key(title)):
            return FoundRecipe(read_recipe_file(path), where.format(path.name))
        near[bath_key(title)] = title
    close = nearest(bath_key(bath), near, cutoff=0.7)
    # A kind of bath, "developer", is no slip of the pen for one of that kind.
    meant = close and ("-" in close) == ("-" in bath_key(bath))
    return FoundRecipe(None, f"did you mean {near[close]!r}?" if meant else "")


def _lying_about(bath: str, beside: Path) -> Iterator[tuple[Path, str]]:
    """Files that may be the recipe, the nearest first, and what is said of one that is.

    Of the plan's own folder only a file of that very name, since anything may lie there.
    """
    ours = shipped.folder(FOLDER)
    if beside.resolve() != ours.parent.resolve():
        for path in sorted((beside / _RECIPES).glob("*.yaml")):
            yield path, f"{_RECIPES}/{{}} beside the plan"
        yield beside / f"{bath_key(bath)}.yaml", "{} beside the plan"
    for path in sorted(ours.glob("*.yaml")):
        yield path, "shipped as {}"


def _content(path: Path) -> dict[str, Any] | None:
    """What a recipe's file says; None for a plan or no file, nothing for what cannot be read."""
    try:
        content = read_document(path).content if path.is_file() else None
    except FileError:  # it is read again, and refused, if a bath has its name
        return {}
    return content if isinstance(content, dict) and "steps" not in content else None


def _located(document: Document, recipe: Recipe, under: KeyPath) -> Iterator[Fault]:
    for finding in faults(recipe):
        yield document.fault((*under, *finding.path), finding.found, finding.remedy)


def _raise_any(document: Document, found: list[Fault]) -> None:
    if found:
        raise FileError(document.source, found)
