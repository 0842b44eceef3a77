"""The steps of a plan as they are written: one small class for each kind.

A step is a block whose first key is its kind and whose value is its time: ``develop: 15 min``.
To add a kind: write its class here, name it in `AnyStep` and in `kinds.STEP_KINDS`.
"""

from typing import Annotated, Any, ClassVar, Final, Literal, Union, get_args

from darktimer.document import Document, Field, Section
from darktimer.document.fields import Before, Lengths, MadeBy, found
from darktimer.document.quantities import (
    Duration,
    DurationOrNone,
    Few,
    Pips,
    Temperature,
    Words,
    YesNo,
)
from darktimer.document.section import one_of, read_by_kind
from darktimer.errors import UnreadableError
from darktimer.plan.agitation import Agitation, Continuous, Scheme, Still, TurnedOver
from darktimer.plan.film import UNDER_A_LID
from darktimer.plan.kinds import FORMER_KINDS, HAND_KINDS, kind_called
from darktimer.plan.pieces import Pieces
from darktimer.plan.temperature import Adjusting, Energy, ReadingAgain
from darktimer.units import is_none

_FOR_DEVELOP: Final = "only the time of a develop is made to fit a temperature"

#: Who works in the light sees that all is well, and a clock.
_IN_THE_LIGHT: Final = {"heartbeat": 0, "tally": 0}


def _warnings(raw: Any) -> Any:
    if isinstance(raw, str):
        return [] if is_none(raw) else [raw]
    return raw


_AtMostThree = Annotated[list[Duration], Lengths(most=3)]
Warnings = Annotated[
    tuple[Duration, ...],
    Lengths(most=3),
    Before(_warnings, _AtMostThree | DurationOrNone),
]


def _by_hand(raw: Any) -> Any:
    by_hand = isinstance(raw, str) and raw.strip().lower() == "by hand"
    if isinstance(raw, str) and not by_hand and not any(map(str.isnumeric, raw)):
        remedy = "write by hand, or what a sound file allows for it, such as 3 min"
        raise UnreadableError(found(raw), remedy)
    return None if by_hand else raw


HandTime = Annotated[
    Duration | None,
    Before(_by_hand, Duration | Literal["by hand"]),
]


class Habits(Section):
    """How the hands work. Each key may stand in the plan's habits and again in a step.

    What is None here is not written at this place; `darktimer.plan.model.Plan.habit` finds the
    value that holds for a step.
    """

    agitation: Agitation | None = Field(None, description="how film or bath is moved")
    opening: DurationOrNone | None = Field(None, description="the agitation a step begins with")
    drain: DurationOrNone | None = Field(None, description="lifting and draining, or pouring out")
    transfer: DurationOrNone | None = Field(
        None, description="getting the film into the next bath, or the bath onto the film"
    )
    warnings: Warnings | None = Field(
        None, description="how long before a change a warning sounds, at most three"
    )
    countdown: Pips | None = Field(
        None, description="pips, short sounds a second apart, before a change"
    )
    tally: DurationOrNone | None = Field(
        None, description="how often the minutes gone are counted by sound"
    )
    heartbeat: DurationOrNone | None = Field(
        None, description="how often a heartbeat sounds while the film stands"
    )


class PlanStep(Habits):
    """What every kind of step may say besides its time, whose key is its kind."""

    kind: ClassVar[str]
    #: Whether the film lies in a bath, so that the plan's habits of moving and draining hold.
    in_bath: ClassVar[bool] = True
    misplaced_keys: ClassVar = {
        "light after": "only a fix may say when it makes light safe",
        "lid": UNDER_A_LID,
        "least": "only a bleach has a least time",
        "clearing": "only a fix has a clearing time",
        "running": "only a wash is under running water",
        "pieces": "only a develop is a test of pieces; write it there",
        "time is for": _FOR_DEVELOP,
        "adjust": _FOR_DEVELOP,
        "drifts to": _FOR_DEVELOP,
        "activation energy": _FOR_DEVELOP,
    }
    usual_agitation: ClassVar[Scheme | None] = Still()
    #: Where this kind of step differs from what is usual in a plan.
    usual_habits: ClassVar[dict[str, int]] = {}

    name: Words | None = Field(None, description="what to call this step")
    bath: Words | None = Field(None, description="what is in the vessel")
    temperature: Temperature | None = None
    repeat: Few = Field(1, description="how many times, each in a fresh bath")
    note: Words | None = Field(None, description="a word for the printed card")

    def __init_subclass__(cls) -> None:
        super().__init_subclass__()
        cls.kind = next(key for key in cls.keys() if key not in PlanStep.keys())  # noqa: SIM118

    @property
    def title(self) -> str:
        """Its kind, as a heading has it."""
        return self.kind.capitalize()

    @property
    def called(self) -> str:
        """Its own name, or that of its kind."""
        return self.name or self.title

    @property
    def time_ms(self) -> int | None:
        """The step's own time; None for work by hand that takes as long as it takes."""
        value: int | None = getattr(self, self.kind.replace(" ", "_"))
        return value


class Load(PlanStep):
    """Loading the film by hand, which takes as long as it takes."""

    in_bath = False
    load: HandTime = Field(description="by hand, or how long a sound file allows for it")


class PutAway(PlanStep):
    """The film goes into what no light gets into, by hand; then light is safe."""

    in_bath = False
    put_away: HandTime = Field(description="by hand, or how long a sound file allows for it")


class Wait(PlanStep):
    """Nothing is done in a dark room: eyes get used to it, or a scrap of film lies in the open."""

    in_bath = False
    usual_habits: ClassVar = {"drain": 0}
    wait: Duration


class Soak(PlanStep):
    """Plain water before the developer."""

    soak: Duration


class Develop(PlanStep):
    """The developer. How the film is moved must be said.

    The time stays as it is written unless ``adjust`` asks for another.
    """

    usual_agitation = None
    develop: Duration
    time_is_for: Temperature | None = Field(
        None, description="the temperature that the time was found at, if not that of the bath"
    )
    adjust: Adjusting | None = Field(
        None, description="make the time fit the bath's temperature, or also its drift to the room"
    )
    drifts_to: ReadingAgain | None = Field(
        None, description="the thermometer read again, by which the drift is known"
    )
    activation_energy: Energy | None = Field(
        None, description="of the developer, in place of the recipe's"
    )
    pieces: Pieces | None = Field(
        None, description="a test: the film is cut, and each piece develops in its own way"
    )

    @property
    def times_ms(self) -> tuple[int, ...]:
        """The time of each piece, or of the film that is not cut."""
        return self.pieces.times_ms(self.develop) if self.pieces else (self.develop,)


class Rinse(PlanStep):
    """Plain water between two baths."""

    usual_agitation = Continuous()
    rinse: Duration


class Stop(PlanStep):
    """An acid bath that ends development."""

    usual_agitation = Continuous()
    stop: Duration


class Fix(PlanStep):
    """The fixer. In an open vessel the dark ends here, if it has not before."""

    usual_agitation = Continuous()
    fix: Duration
    clearing: Duration | None = Field(None, description="time in which a scrap of film clears")
    light_after: Duration | None = Field(
        None, description="when light is safe, from the clock's start; else at the end of the fix"
    )


class Bleach(PlanStep):
    """Takes the first image out of the film; light harms that no more, once water has followed."""

    usual_agitation = Continuous()
    bleach: Duration
    least: Duration = Field(description="how long it takes at the least, by its maker's words")


class ClearingBath(PlanStep):
    """Clears the film of the bleach's stain."""

    usual_agitation = Continuous()
    clearing_bath: Duration


class Expose(PlanStep):
    """The second exposure: the film in the light, both of its sides, for a second developer."""

    in_bath = False
    usual_agitation = TurnedOver()
    usual_habits: ClassVar = {**_IN_THE_LIGHT, "drain": 0}
    expose: Duration


class WashAid(PlanStep):
    """A washing aid that helps the fixer out of the film."""

    usual_agitation = Continuous()
    wash_aid: Duration


class Wash(PlanStep):
    """Water that carries the fixer away."""

    usual_habits: ClassVar = _IN_THE_LIGHT
    wash: Duration
    running: YesNo = Field(False, description="under the tap all the time, or else standing water")


class Wet(PlanStep):
    """A wetting bath before drying."""

    usual_habits: ClassVar = _IN_THE_LIGHT
    wet: Duration


class Other(PlanStep):
    """A step of any other kind, under the user's own name."""

    step: Duration
    name: Words = Field(description="what to call this step")


AnyStep = Union[  # noqa: UP007
    Load,
    Wait,
    Soak,
    Develop,
    Rinse,
    Stop,
    Bleach,
    ClearingBath,
    Expose,
    Fix,
    WashAid,
    Wash,
    Wet,
    PutAway,
    Other,
]

BY_KIND: Final[dict[str, type[AnyStep]]] = {step.kind: step for step in get_args(AnyStep)}


_TIMED: Final = BY_KIND.keys() - HAND_KINDS


def _read(raw: Any, document: Document | None) -> Any:
    if isinstance(raw, PlanStep):
        return raw
    if not isinstance(raw, dict):
        example = f"{raw}: 5 min" if isinstance(raw, str) and raw in _TIMED else "load: by hand"
        remedy = f"write a step as its kind and its time, such as {example}"
        raise UnreadableError(found(raw), remedy)
    for former in FORMER_KINDS.keys() & raw.keys():
        raw[kind_called(former)] = raw.pop(former)
    if step := read_by_kind(raw, BY_KIND, document, "a step"):
        return step
    first, keys = next(iter(raw), ""), Habits.keys()
    if first in keys:
        remedy = "write it without a dash, under the first letter of the step it belongs to"
        raise UnreadableError(f"{first!r} is written as a step of its own", remedy)
    near = one_of(first, BY_KIND)
    raise UnreadableError("a step has no kind", f"begin it with its kind and time; {near}")


StepRead = Annotated[AnyStep, MadeBy(_read, AnyStep)]
