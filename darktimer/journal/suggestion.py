"""One thing to change in a plan after a run, and where in the plan's text it stands."""

from typing import Any, Final, NamedTuple

from darktimer.errors import KeyPath
from darktimer.journal.revise import Changes
from darktimer.plan.model import Plan
from darktimer.plan.reader import PlanFile

COMMON: Final = "common practice, no source"
NAVY: Final = "Navy training manual 14209"


class Suggestion(NamedTuple):
    """What was found, what to do about it, where that is from, and what it changes.

    ``changes`` is empty where the remedy lies outside the plan; ``rule`` is False where it was
    computed from what was found, and no rule of thumb says so.
    """

    found: str
    remedy: str
    source: str
    changes: Changes
    rule: bool = True

    @property
    def basis(self) -> str:
        """Where it is from, as it is told."""
        return f"rule of thumb: {self.source}" if self.rule else self.source


def place_of(plan: Plan, index: int, habit: str) -> KeyPath:
    """Where a habit that holds for a step is written, or would be: in the step if it has its own.

    What only one step needs, the agitation of a developer say, is added to that step.
    """
    own = getattr(plan.steps[index], habit) is not None
    in_habits = getattr(plan.habits, habit) is not None or habit == "transfer"
    return ("habits", habit) if in_habits and not own else ("steps", index, habit)


def is_block(file: PlanFile, place: KeyPath) -> bool:
    """Whether keys of their own stand at ``place``, and not a single value."""
    content: Any = file.document.content
    for part in place:
        content = content[part]
    return isinstance(content, dict)


def written(ms: int) -> str:
    """A duration as plans write it: ``12 min 45 s``."""
    hours, rest = divmod(ms, 3_600_000)
    minutes, rest = divmod(rest, 60_000)
    parts = ((hours, "h"), (minutes, "min"), (rest / 1000, "s"))
    return " ".join(f"{value:g} {unit}" for value, unit in parts if value)
