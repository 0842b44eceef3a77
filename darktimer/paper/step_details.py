"""What a step asks of the hands, in few words: for the small print beside the large type.

Knows the ways of agitation as a plan writes them; not where anything is drawn.
"""

from collections.abc import Callable, Iterator
from typing import Any, Final

from darktimer.plan.agitation import (
    Continuous,
    Inversions,
    Rotation,
    ShareOfTime,
    Shuffle,
    Stand,
    Still,
    TurnedOver,
)
from darktimer.plan.baths import RUNNING, bath_name
from darktimer.plan.kinds import HAND_KINDS
from darktimer.plan.model import Plan
from darktimer.plan.steps import AnyStep
from darktimer.units import clock, counted

_STANDS_ANYWAY: Final = ("wait", "soak", "wash", "wet")


def details(plan: Plan, step: AnyStep, agitated_ms: int) -> Iterator[str]:
    """Phrases on ``step``, the most needed first. Those with times in them come before the note."""
    if step.kind in HAND_KINDS:
        yield "by hand"
    elif moves := _movement(plan, step, agitated_ms):
        yield moves
    bath = bath_name(step)
    named = bath if step.bath or bath == RUNNING else ""
    own_celsius = step.temperature is not None and step.temperature != plan.temperature
    temperature = f", {celsius(step.temperature)}" if own_celsius and step.temperature else ""
    if named:
        yield f"{named}{temperature}"
    elif temperature:
        yield temperature.removeprefix(", ")
    if step.note:
        yield step.note


def celsius(degrees: float) -> str:
    """Degrees as the card shows them: 20 °C, 20.5 °C."""
    return f"{degrees:.1f}".removesuffix(".0") + " °C"


def length(ms: int) -> str:
    """A length of time as a phrase has it: 30 s, 5 min, 7:30."""
    if ms < 60_000:
        return f"{ms / 1000:g} s"
    return f"{ms // 60_000} min" if ms % 60_000 == 0 and ms < 3_600_000 else clock(ms)


def _movement(plan: Plan, step: AnyStep, agitated_ms: int) -> str:
    scheme = plan.agitation(step)
    if (isinstance(scheme, Still) and step.kind in _STANDS_ANYWAY) or scheme is None:
        return ""
    opening_ms = plan.habit(step, "opening")
    return _BY_SCHEME[type(scheme)](scheme, opening_ms, agitated_ms)


def _share(scheme: ShareOfTime, _opening_ms: int, agitated_ms: int) -> str:
    return f"moving {clock(agitated_ms)} of it, in cycles of {length(scheme.cycle)}"


def _stand(_scheme: Stand, opening_ms: int, _agitated_ms: int) -> str:
    return f"moving for {length(opening_ms)}, then standing" if opening_ms else "standing"


def _inversions(scheme: Inversions, opening_ms: int, _agitated_ms: int) -> str:
    turns = counted(scheme.inversions, "turn")
    when = f"every {length(scheme.every)}" if scheme.every else ""
    if scheme.at:
        when = "at " + ", ".join(length(moment) for moment in scheme.at)
    opening = f"turning for {length(opening_ms)}, then " if opening_ms else ""
    return f"{opening}{turns} in {length(scheme.within)} {when}".rstrip()


def _rotation(scheme: Rotation, _opening_ms: int, _agitated_ms: int) -> str:
    return f"rotating, the other way every {length(scheme.reverse_every)}"


def _shuffle(scheme: Shuffle, _opening_ms: int, _agitated_ms: int) -> str:
    rounds = f", {scheme.rounds} rounds" if scheme.rounds else ""
    return f"the next sheet every {length(scheme.shuffle_each)}{rounds}"


_BY_SCHEME: Final[dict[type[Any], Callable[[Any, int, int], str]]] = {
    Continuous: lambda *_: "moving all the time",
    Still: lambda *_: "standing",
    TurnedOver: lambda *_: "in the light, turned over half way",
    Stand: _stand,
    ShareOfTime: _share,
    Inversions: _inversions,
    Rotation: _rotation,
    Shuffle: _shuffle,
}
