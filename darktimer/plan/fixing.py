"""When film is fixed: by its clearing time, and later in the cold.

Knows the rules of the trade, and what of a plan they refuse or warn of. Whoever asks when film is
fixed asks here: the checks of a plan, the bench sheet, the words for light-safe.
"""

from collections.abc import Callable, Iterator, Mapping
from typing import Final, NamedTuple

from darktimer.errors import Finding
from darktimer.plan.baths import of_bath
from darktimer.plan.model import Plan
from darktimer.plan.steps import Fix
from darktimer.units import clock, degrees, whole_second

#: What times for fixing and washing are for, where nothing else is said: 68 F.
USUAL_CELSIUS: Final = 20.0
#: The time for fixing doubles for each 18 F (10 C) colder than 68 F: TM 11-2323.
_DOUBLES_PER_K: Final = 10.0
_WORTH_SAYING: Final = 1.005


class Slower(NamedTuple):
    """A time for 20 C, which a bath of ``celsius`` makes ``factor`` times as long."""

    time_ms: int
    celsius: float
    factor: float

    @property
    def is_cold(self) -> bool:
        """Whether the bath is so cold that it is worth saying."""
        return self.factor > _WORTH_SAYING

    def text(self, temperature: Callable[[float], str] = degrees) -> str:
        """What takes how long at which temperature, as ``temperature`` says degrees Celsius."""
        slow_ms = whole_second(self.time_ms * self.factor)
        return (
            f"what takes {clock(self.time_ms)} at {temperature(USUAL_CELSIUS)} takes "
            f"{clock(slow_ms)} at {temperature(self.celsius)}, {self.factor:.2f} times as long"
        )


def fixing_factor(celsius: float) -> float:
    """How many times longer to fix at ``celsius`` than at 20 C; 1 from there upwards."""
    return float(2 ** (max(0.0, USUAL_CELSIUS - celsius) / _DOUBLES_PER_K))


def fixes_of(plan: Plan) -> list[tuple[int, Fix]]:
    """The fixes of a plan, each with its index in it."""
    return [(index, step) for index, step in enumerate(plan.steps) if isinstance(step, Fix)]


def with_noted(plan: Plan, noted_ms: Mapping[str, int]) -> tuple[Plan, tuple[str, ...]]:
    """``plan`` by the clearing times last noted for its baths, by their keys, and notes on them.

    A fixer that is kept clears more slowly with each film, and the plan cannot know.
    """
    steps, notes = list(plan.steps), []
    for index, fix in fixes_of(plan):
        noted = of_bath(fix, noted_ms)
        if noted and noted != fix.clearing:
            steps[index] = fix.changed(clearing=noted)
            own = f"; the plan says {clock(fix.clearing)}" if fix.clearing else ""
            notes.append(f"{fix.called} clears in {clock(noted)}, as last noted for its bath{own}.")
    return plan.changed(steps=tuple(steps)) if notes else plan, tuple(notes)


def cold_warning(plan: Plan, fix: Fix) -> Slower | None:
    """What a cold bath does to ``fix``; None where it is not cold, or the film is fixed even so.

    It surely is after twice its clearing time, were that found at 20 C.
    """
    celsius = plan.celsius(fix)
    celsius = USUAL_CELSIUS if celsius is None else celsius
    found = Slower(fix.fix, celsius, fixing_factor(celsius))
    surely_fixed = fix.clearing and fix.fix >= 2 * fix.clearing * found.factor
    return found if found.is_cold and not surely_fixed else None


def light_before_clearing(plan: Plan) -> Iterator[Finding]:
    """Light fogs what has not cleared yet; baths of fixer one after another add up."""
    last = plan.light_safe_after
    if plan.vessel.light == "closed" or last is None or not isinstance(plan.steps[last], Fix):
        return
    fixes = [fix for index, fix in fixes_of(plan) if index <= last]
    clearing = max(fix.clearing or 0 for fix in fixes)
    light_after = fixes[-1].light_after
    fixed = sum(fix.fix * fix.repeat for fix in fixes[:-1])
    fixed += light_after or fixes[-1].fix * fixes[-1].repeat
    if fixed < clearing:
        found = (
            f"light comes after {clock(fixed)} of fixing, and the film clears in {clock(clearing)}"
        )
        key = "light after" if light_after else "fix"
        yield Finding(("steps", last, key), found, "fix at least until the film has cleared")


def warnings(plan: Plan, temperature: Callable[[float], str] = degrees) -> Iterator[Finding]:
    """Fixes that are short for their clearing time, or for the cold of their bath."""
    for index, fix in fixes_of(plan):
        path = ("steps", index, "fix")
        # Fix for twice the clearing time: Navy training manual 14209.
        if fix.clearing and fix.fix < 2 * fix.clearing:
            short_of = "the clearing time" if fix.fix < fix.clearing else "twice the clearing time"
            found = f"{clock(fix.fix)} is under {short_of} of {clock(fix.clearing)}"
            yield Finding(path, found, "fix for at least twice the clearing time")
        if cold := cold_warning(plan, fix):
            yield Finding(path, cold.text(temperature), "allow for it")
