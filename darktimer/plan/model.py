"""The plan: what the user wrote, frozen, with the habits that hold for each step.

Knows what was asked for. What will happen and when is the compiler's business.
"""

from itertools import takewhile
from typing import Annotated, Any, Final, Literal

from darktimer.document import Field, Section
from darktimer.document.fields import Described, Lengths, MadeBy, found
from darktimer.document.quantities import Duration, DurationOrNone, Temperature, Words
from darktimer.errors import KeyPath, UnreadableError
from darktimer.plan.agitation import Scheme
from darktimer.plan.film import Film, Vessel
from darktimer.plan.formats import measure_of
from darktimer.plan.steps import (
    AnyStep,
    Bleach,
    Develop,
    Expose,
    Fix,
    Habits,
    PutAway,
    Rinse,
    StepRead,
    Wash,
)


def _carried(raw: Any, _: object) -> dict[str, Any]:
    if isinstance(raw, dict):
        return raw
    remedy = "write the name of each bath, and under it the keys of its recipe"
    raise UnreadableError(found(raw), remedy)


#: Recipes as they stand in the plan; what they say is for the bench to read.
Carried = Annotated[
    dict[str, Any],
    MadeBy(_carried, None),
    Described({"type": "object", "additionalProperties": {"type": "object"}}),
]

#: What holds where neither a step nor the plan's habits say otherwise.
USUAL: Final[dict[str, Any]] = {
    "opening": 30_000,
    "drain": 10_000,
    "warnings": (20_000,),
    "countdown": 3,
    "heartbeat": 60_000,
}
_MINUTE_MS: Final = 60_000
#: The longest steps whose minutes are told every 0, 5, 10 and 30 minutes: two numbers or three are
#: soon learnt, and what is over within ten minutes needs none.
_TALLIES: Final = ((10, 0), (20, 5), (30, 10), (120, 30))
#: Lowering film into an open vessel is quicker than pouring a bath into a closed one.
_USUAL_TRANSFER_MS: Final = {"open": 5_000, "closed": 10_000}


def usual_tally_ms(time_ms: int) -> int:
    """How often minutes are told in a step of that length; 0 where they are not."""
    every = next((every for most, every in _TALLIES if time_ms <= most * _MINUTE_MS), 60)
    return every * _MINUTE_MS


class PlanHabits(Habits):
    """The habits of the whole plan, and those that only a whole plan can have."""

    lights_out_after: DurationOrNone = Field(
        30_000, description="time from the start of the sound to the start of the dark"
    )
    loading: Duration = Field(180_000, description="what a sound file allows for work by hand")
    lights_on: Duration = Field(
        30_000,
        description="a pause for the light: once a closed vessel is loaded, or where what follows "
        "would leave light-safe no room",
    )
    baths_told_by: Literal["order", "place", "signature"] = Field(
        "order",
        description="which bath is next: by the plan's order alone, in which the first is lights "
        "out, or also by a sound for its place from the left, or for what it is",
    )


class Plan(Section):
    """A whole process as its user wrote it."""

    title: Words
    about: Words | None = Field(None, description="where the plan comes from, what it is for")
    one_film: Film | None = Field(None, written="film")
    several_films: Annotated[tuple[Film, ...], Lengths(1, 20)] | None = Field(
        None, written="films", description="films together in one vessel, in place of film"
    )
    vessel: Vessel
    temperature: Temperature | None = Field(None, description="of the baths")
    room: Temperature | None = Field(None, description="of the room")
    clock_starts: Literal["full", "pour"] = Field(
        "full", description="a step's time runs from when the film is covered, or from the pour"
    )
    drain_is: Literal["inside", "after"] = Field(
        "inside", description="whether the drain is part of a step's time"
    )
    habits: PlanHabits = Field(default_factory=PlanHabits)
    recipes: Carried = Field(
        default_factory=dict, description="recipes of this plan's own, by the name of their bath"
    )
    steps: Annotated[tuple[StepRead, ...], Lengths(1, 200)]

    def habit(self, step: AnyStep, name: str) -> Any:
        """The habit ``name`` that holds for ``step``: its own, the plan's, or the usual one."""
        for written in self._written(step, name):
            if written is not None:
                return written
        if name in step.usual_habits:
            return step.usual_habits[name]
        if name == "tally":  # of pieces the numbers are told: two counts at once are one too many
            counted = isinstance(step, Develop) and step.pieces and not step.pieces.standing
            return 0 if counted else usual_tally_ms(step.time_ms or 0)
        return _USUAL_TRANSFER_MS[self.vessel.light] if name == "transfer" else USUAL[name]

    def _written(self, step: AnyStep, name: str) -> tuple[Any, ...]:
        """What is written of a habit, for the step and for the plan, where that holds for it."""
        own = getattr(step, name)
        of_baths_alone = name in ("agitation", "drain") and not step.in_bath
        return (own,) if of_baths_alone else (own, getattr(self.habits, name))

    @property
    def in_baths(self) -> list[AnyStep]:
        """The steps for which the film is in a bath; none of a plan that tests a room."""
        return [step for step in self.steps if step.in_bath]

    def celsius(self, step: AnyStep) -> float | None:
        """The temperature of a step's bath, degrees Celsius; None where it is not said."""
        of_the_plan = self.temperature if step.in_bath else None
        return of_the_plan if step.temperature is None else step.temperature

    def agitation(self, step: AnyStep) -> Scheme | None:
        """How the film is moved in ``step``; None where a developer leaves it unsaid."""
        return next(filter(None, self._written(step, "agitation")), step.usual_agitation)

    @property
    def light_safe_after(self) -> int | None:
        """The index of the step after whose work light harms the film no more; None without any.

        It is a fix, or the last water after the bleach before the second exposure, if no fix comes
        before that; without any of these the film may be put away. Without an exposure only a
        developer that fogs can follow the bleach, and that works in the dark.
        """
        steps = self.steps
        exposed = next((i for i, s in enumerate(steps) if isinstance(s, Expose)), len(steps))
        bleached = max((i for i in range(exposed) if isinstance(steps[i], Bleach)), default=None)
        unexposed = exposed == len(steps) and any(isinstance(s, Develop) for s in steps[bleached:])
        bleached = None if unexposed else bleached
        fixes = {i: s for i, s in enumerate(steps[:bleached]) if isinstance(s, Fix)}
        said = [index for index, fix in fixes.items() if fix.light_after]
        if fixes:
            return (said or list(fixes))[-1]
        if bleached is None:
            return len(steps) - 1 if isinstance(steps[-1], PutAway) else None
        after = takewhile(
            lambda i: isinstance(steps[i], Rinse | Wash), range(bleached + 1, len(steps))
        )
        return max(after, default=None)

    @property
    def films(self) -> tuple[Film, ...]:
        """The films that go through the baths together; none where the plan does not say."""
        return self.several_films or ((self.one_film,) if self.one_film else ())

    def film_path(self, index: int) -> KeyPath:
        """Where the film of that index is written."""
        return ("films", index) if self.several_films else ("film",)

    @property
    def sheets(self) -> int:
        """How many sheets go one after another from bath to bath; 0 where film goes as a whole.

        So do sheets that differ: they lie side by side in a tray, the pieces of a test.
        """
        apart = any(isinstance(step, Develop) and step.pieces for step in self.steps)
        if self.vessel.kind != "tray" or apart:
            return 0
        return sum(f.pieces for f in self.films if measure_of(f.format) == "sheets")

    def behind_ms(self, step: AnyStep) -> int:
        """How much later than the first the last of sheets that go one by one is, at most."""
        each_ms: int = self.habit(step, "transfer")
        return self.sheets * each_ms
