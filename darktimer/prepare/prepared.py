"""What nearly every command begins with: a plan read, adjusted where it asks, and compiled."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

from darktimer.cues.cue_set import CueSet
from darktimer.cues.reader import load_cue_set
from darktimer.errors import DarktimerError, Fault, FileError, Finding, FindingsError
from darktimer.plan.baths import bath_name
from darktimer.plan.checks import warnings
from darktimer.plan.fixing import light_before_clearing, with_noted
from darktimer.plan.model import Plan
from darktimer.plan.reader import PlanFile, read_plan
from darktimer.plan.steps import Develop
from darktimer.prepare.kept_baths import against, baths_in_use, last_cleared_ms
from darktimer.process.compiler import compile_plan
from darktimer.process.layout import lay_out
from darktimer.process.timeline import Timeline

if TYPE_CHECKING:
    from darktimer.bench.recipe import Recipe
    from darktimer.journal.baths import KeptBath


class Prepared(NamedTuple):
    """A plan as it is carried out, the cue set it is told with, and its timeline.

    ``changes`` say which times are others than the plan has, and why. ``remarks`` say what would do
    the same as a time that nobody asked to adjust. ``recipes`` are by the key of their bath, None
    until they are read. ``kept`` are the baths that the journal has in use, unless ``unknown`` says
    why it does not tell. ``noted`` is the file's plan with clearing times noted for its baths
    since, ``plan`` that with develop times adjusted where it asks.
    """

    file: PlanFile
    noted: Plan
    plan: Plan
    cue_set: CueSet
    timeline: Timeline
    remarks: tuple[str, ...]
    changes: tuple[str, ...] = ()
    recipes: "Mapping[str, Recipe] | None" = None
    kept: "tuple[KeptBath, ...]" = ()
    unknown: tuple[str, ...] = ()

    def warnings(self) -> list[Fault]:
        """Warnings of the plan as it is carried out, with their places."""
        from darktimer.bench.plan_warnings import plan_warnings

        found = [*warnings(self.plan), *lay_out(self.plan).warnings, *against(self.plan, self.kept)]
        return self.file.located([*found, *plan_warnings(self.plan, self.read_recipes())])

    def cautions(self) -> list[str]:
        """What to mind of the plan's baths and of the work."""
        from darktimer.bench.cautions import cautions

        return cautions(self.plan, self.read_recipes())

    def read_recipes(self) -> "Mapping[str, Recipe]":
        """The recipes of its baths, read where they are not yet; `FileError` for a faulty one."""
        from darktimer.bench.recipe_lookup import recipes_in, recipes_of

        return recipes_in(recipes_of(self.file)) if self.recipes is None else self.recipes

    def with_recipes(self) -> "Prepared":
        """The same with its recipes, so that a faulty one is told now; raises `FileError`."""
        return self._replace(recipes=self.read_recipes())


def prepare(plan: str, cue_set: str, lights_out_after_ms: int | None) -> Prepared:
    """Reads, adjusts and compiles; raises `DarktimerError` with everything that is wrong.

    What is wrong with recipes that the plan carries is told with what is wrong with the plan.
    """
    try:
        return prepare_file(read_plan(plan), load_cue_set(cue_set), lights_out_after_ms)
    except FileError as error:
        from darktimer.bench.recipe_lookup import with_carried

        raise with_carried(error) from None


def prepare_file(file: PlanFile, cues: CueSet, lights_out_after_ms: int | None = None) -> Prepared:
    """Adjusts and compiles a plan that has been read; raises `DarktimerError` likewise."""
    kept, unknown = _kept()
    noted, cleared = with_noted(file.plan, last_cleared_ms(kept))
    with file.blamed():
        _refuse_early_light(noted)
        plan, notes, remarks = _adjusted(file, noted)
        changes = (*cleared, *notes)
        timeline = compile_plan(plan, cues.length_ms, lights_out_after_ms, changes)
    remarks = (*unknown, *remarks)
    return Prepared(file, noted, plan, cues, timeline, remarks, changes, kept=kept, unknown=unknown)


def _kept() -> "tuple[tuple[KeptBath, ...], tuple[str, ...]]":
    """The baths in use; a journal that cannot be read stops nothing, and a remark says so."""
    try:
        return tuple(baths_in_use()), ()
    except DarktimerError as error:
        return (), (f"Which baths are kept is not known: {error}.",)


def _adjusted(file: PlanFile, plan: Plan) -> tuple[Plan, tuple[str, ...], tuple[str, ...]]:
    """``plan`` with its times adjusted, notes on them, remarks on those that nobody asked to.

    The bench is loaded only where it has a say.
    """
    if not _depends_on_temperature(plan):
        return plan, (), ()
    from darktimer.bench.adjusting import adjusted
    from darktimer.bench.recipe_lookup import recipes_in, recipes_of

    return adjusted(plan, recipes_in(recipes_of(file)))


def _refuse_early_light(plan: Plan) -> None:
    """Refuses light before a kept fixer clears; what the file itself says was looked at before."""
    found = []
    for path, light, remedy in light_before_clearing(plan):
        bath = bath_name(plan.steps[int(path[1])])
        fresh = f'or mix it fresh, and write: darktimer baths discard "{bath}"'
        noted = f"by the clearing time last noted for its bath, {light}"
        found.append(Finding(path, noted, f"{remedy}, {fresh}"))
    if found:
        raise FindingsError(found)


def _depends_on_temperature(plan: Plan) -> bool:
    """Whether the plan says anything by which a develop time may not fit its bath."""
    develops = [step for step in plan.steps if isinstance(step, Develop)]
    return bool(develops) and (
        plan.room is not None or any(each.time_is_for is not None for each in develops)
    )
