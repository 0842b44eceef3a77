"""What the keys of a plan must agree on, and what in it is worth a warning.

Each check looks at the plan as written and yields findings; whether steps fit into their times is
seen when they are laid out. Figures of practice carry their source.
"""

from collections.abc import Iterator
from itertools import pairwise
from typing import Final

from darktimer.errors import Finding, KeyPath
from darktimer.plan import fixing, lighting, piece_checks
from darktimer.plan.agitation import (
    LEAST_SPAN_MS,
    LEAST_TURN_MS,
    Inversions,
    Rotation,
    ShareOfTime,
    Shuffle,
)
from darktimer.plan.film import MEASURES, Film
from darktimer.plan.formats import measure_of
from darktimer.plan.model import Plan
from darktimer.plan.steps import AnyStep, Develop, Habits, Load, PutAway, Wait
from darktimer.plan.temperature import USUAL_RANGE_CELSIUS, is_usual
from darktimer.units import clock, degrees

#: Shorter, and two cues that follow each other could not both be heard.
LEAST_HABIT_MS: Final = 3_000
_LEAST_SHEET_MS: Final = 1_000
#: As many as one film may have.
_MOST_SHEETS: Final = 60
#: A shorter develop risks unevenness (common practice, no source).
_SHORT_DEVELOP_MS: Final = 300_000


def faults(plan: Plan) -> Iterator[Finding]:
    """Everything in ``plan`` that cannot be carried out as written."""
    yield from _films(plan)
    yield from lighting.faults(plan)
    yield from fixing.light_before_clearing(plan)
    yield from _frozen_or_boiling(plan)
    yield from _vessel(plan)
    yield from _room(plan)
    yield from _habits(("habits",), plan.habits)
    for index, step in enumerate(plan.steps):
        path = ("steps", index)
        yield from _place_of_load(plan, index, step)
        yield from _agitation(plan, step, path)
        if isinstance(step, Develop):
            yield from _adjusting(plan, step, path)
            if step.pieces:
                yield from piece_checks.faults(plan, index, step, step.pieces)
        yield from _pace_of_sheets(plan, step, path)
        yield from _habits(path, step)


def warnings(plan: Plan) -> Iterator[Finding]:
    """Everything in ``plan`` that can be carried out, but is worth a second thought."""
    yield from _temperatures(plan)
    yield from lighting.warnings(plan)
    yield from fixing.warnings(plan)
    for index, step in enumerate(plan.steps):
        path = ("steps", index, step.kind)
        if isinstance(step, Develop) and (shortest_ms := min(step.times_ms)) < _SHORT_DEVELOP_MS:
            found = f"{clock(shortest_ms)} is a short time to develop"
            yield Finding(path, found, "under 5 min the film may develop unevenly")
    if plan.sheets:
        yield from _sheets_in_hand(plan)


def _films(plan: Plan) -> Iterator[Finding]:
    if plan.one_film and plan.several_films:
        found = "both 'film' and 'films' are written"
        yield Finding(("film",), found, "write each film under films, on a line beginning with -")
    for index, film in enumerate(plan.films):
        yield from _film(film, plan.film_path(index))
        if plan.sheets and measure_of(film.format) != "sheets":
            found = "sheets go through a tray one after another, and this film as a whole"
            yield Finding(plan.film_path(index), found, "develop it by itself, with its own plan")
    if plan.sheets > _MOST_SHEETS:
        found = f"{plan.sheets} sheets in one tray"
        yield Finding(("films",), found, f"at most {_MOST_SHEETS} are led at once: split them")


def _film(film: Film, path: KeyPath) -> Iterator[Finding]:
    right = measure_of(film.format)
    for key in MEASURES:
        if key != right and getattr(film, key) is not None:
            found = f"{key!r} does not go with {film.format}"
            still = "; a roll for a still camera is 135-36" if film.format == "35 mm" else ""
            yield Finding((*path, key), found, f"write {right} instead{still}")
    if right != "count" and getattr(film, right) is None:
        remedy = f"add it, to say how much {film.format} film there is"
        yield Finding(path, f"{right!r} is missing", remedy)


def _pace_of_sheets(plan: Plan, step: AnyStep, path: KeyPath) -> Iterator[Finding]:
    """Sheets that enter one bath faster than the next would not all have the same time."""
    if plan.sheets > 1 and plan.habit(step, "transfer") != plan.habit(plan.steps[0], "transfer"):
        found = "the sheets change baths at another pace here, and would not all get the same time"
        yield Finding((*path, "transfer"), found, "write one transfer, in the plan's habits")


def _place_of_load(plan: Plan, index: int, step: AnyStep) -> Iterator[Finding]:
    if not isinstance(step, Load):
        return
    before = [each for each in plan.steps[:index] if not isinstance(each, Wait)]
    if before:
        found = f"loading comes after {before[-1].kind}"
        yield Finding(("steps", index), found, "put the load first")
    if step.repeat > 1:
        yield Finding(("steps", index, "repeat"), "loading is repeated", "load once")


def _room(plan: Plan) -> Iterator[Finding]:
    """A room is tested without a bath, and nowhere else is anything waited for."""
    in_room = plan.vessel.kind == "room"
    if in_room and plan.vessel.light == "closed":
        found = "a room is closed to no light but by the dark"
        yield Finding(("vessel", "light"), found, "write light: open")
    for index, step in enumerate(plan.steps):
        path = ("steps", index)
        if in_room and not isinstance(step, Load | Wait | PutAway):
            remedy = "write wait, load and put away, or the vessel that the film is processed in"
            yield Finding(path, f"a room holds no bath for {step.kind}", remedy)
        if isinstance(step, Wait) and not in_room:
            remedy = "name what the film lies in, such as soak: 5 min; or write kind: room"
            yield Finding(path, "waiting is for a room, and this vessel holds a bath", remedy)
        if isinstance(step, Wait) and step.bath:
            yield Finding((*path, "bath"), "a wait is in no bath", "leave it out")


def _agitation(plan: Plan, step: AnyStep, path: KeyPath) -> Iterator[Finding]:
    scheme = plan.agitation(step)
    where = (*path, "agitation") if step.agitation else path
    if scheme is None:
        found = "the agitation is missing"
        remedy = "add a line agitation: with continuous, stand, none, 1/2, or inversions"
        yield Finding(path, found, remedy)
    if isinstance(scheme, Shuffle) and not plan.sheets:
        found = "a shuffle is for sheets in a tray"
        yield Finding(where, found, "write a film of sheets and a vessel of kind tray")
    if isinstance(scheme, ShareOfTime) and scheme.cycle > (step.time_ms or 0):
        found = f"a cycle of {clock(scheme.cycle)} is longer than the step"
        yield Finding((*where, "cycle"), found, "write a shorter cycle")
    if isinstance(scheme, Rotation) and scheme.reverse_every < LEAST_HABIT_MS:
        found = f"turning round every {scheme.reverse_every / 1000:g} s"
        yield Finding((*where, "reverse every"), found, "write at least 3 s")
    if isinstance(scheme, Shuffle) and scheme.shuffle_each < _LEAST_SHEET_MS:
        found = f"{scheme.shuffle_each / 1000:g} s for each sheet"
        yield Finding((*where, "shuffle each"), found, "allow at least 1 s")
    if isinstance(scheme, Inversions):
        yield from _inversions(scheme, step, where)


def _inversions(scheme: Inversions, step: AnyStep, where: KeyPath) -> Iterator[Finding]:
    if bool(scheme.every) == bool(scheme.at):
        found = (
            "both 'every' and 'at' are written"
            if scheme.at
            else "neither 'every' nor 'at' is written"
        )
        yield Finding(where, found, "write either every: 1 min, or at: with a list of moments")
    least_ms = LEAST_SPAN_MS + scheme.inversions * LEAST_TURN_MS
    if scheme.within < least_ms:
        found = (
            f"{scheme.inversions} turns in {scheme.within / 1000:g} s cannot be heard one by one"
        )
        yield Finding((*where, "within"), found, f"write at least {least_ms / 1000:g} s")
    if scheme.every and scheme.every < scheme.within + LEAST_SPAN_MS:
        found = (
            f"turning for {scheme.within / 1000:g} s every {scheme.every / 1000:g} s never rests"
        )
        yield Finding((*where, "every"), found, "write a longer interval, or continuous")
    for one, two in pairwise(scheme.at):
        if two < one + scheme.within + LEAST_SPAN_MS:
            found = f"{clock(two)} comes before the turns at {clock(one)} are over"
            yield Finding((*where, "at"), found, "write moments in order, further apart")
    for moment in scheme.at:
        if moment + scheme.within > (step.time_ms or 0):
            found = f"turns at {clock(moment)} would not end within {clock(step.time_ms or 0)}"
            yield Finding((*where, "at"), found, "write moments within the step")


def _habits(path: KeyPath, habits: Habits) -> Iterator[Finding]:
    for key, zero_allowed in (("transfer", False), ("drain", True), ("heartbeat", True)):
        value = getattr(habits, key)
        if value is not None and value < LEAST_HABIT_MS and (value or not zero_allowed):
            least = "none, or at least 3 s" if zero_allowed else "at least 3 s"
            found = f"{value / 1000:g} s is too short for its cues to be heard apart"
            yield Finding((*path, key), found, f"write {least}")
    if habits.tally and habits.tally % 60_000:
        found = f"{clock(habits.tally)} is not whole minutes"
        yield Finding((*path, "tally"), found, "write 1 min, 2 min, 5 min or none")
    if habits.warnings and len(set(habits.warnings)) < len(habits.warnings):
        yield Finding((*path, "warnings"), "the same warning is written twice", "write each once")
    for before in habits.warnings or ():
        if before < 5_000:
            found = f"a warning {before / 1000:g} s before would fall into the countdown"
            yield Finding((*path, "warnings"), found, "write warnings of 5 s and more")


def _baths(plan: Plan) -> Iterator[tuple[KeyPath, float]]:
    """Where the temperature of a bath is written, and the temperature."""
    if plan.temperature is not None:
        yield ("temperature",), plan.temperature
    for index, step in enumerate(plan.steps):
        if step.temperature is not None:
            yield ("steps", index, "temperature"), step.temperature


def _thermometer(plan: Plan) -> Iterator[tuple[KeyPath, float]]:
    """Where a temperature that a bath has, had or tends to is written, and the temperature."""
    yield from _baths(plan)
    if plan.room is not None:
        yield ("room",), plan.room
    for index, step in enumerate(plan.steps):
        if isinstance(step, Develop) and step.time_is_for is not None:
            yield ("steps", index, "time is for"), step.time_is_for
        if isinstance(step, Develop) and step.drifts_to is not None:
            yield ("steps", index, "drifts to"), step.drifts_to.celsius


def _frozen_or_boiling(plan: Plan) -> Iterator[Finding]:
    for path, celsius in _thermometer(plan):
        if not 0 < celsius < 100:
            found = f"at {celsius:g} C water is {'steam' if celsius > 0 else 'ice'}"
            of = "room" if path == ("room",) else "bath"
            yield Finding(path, found, f"write the temperature of a {of}, such as 20 C or 68 F")


def _vessel(plan: Plan) -> Iterator[Finding]:
    """Shapes that the kind of vessel does not have; a depth needs a floor to stand on."""
    vessel = plan.vessel
    if vessel.reels and vessel.kind != "spiral tank":
        yield Finding(("vessel", "reels"), f"a {vessel.kind} has no reels", "leave it out")
    if vessel.size and vessel.diameter:
        found = "both 'size' and 'diameter' are written"
        yield Finding(("vessel", "diameter"), found, "keep the one that the floor has")
    if vessel.depth and not (vessel.size or vessel.diameter):
        found = "a depth alone gives no volume"
        yield Finding(("vessel", "depth"), found, "add size: 20 x 25 cm, or diameter: 11 cm")


def _adjusting(plan: Plan, step: Develop, path: KeyPath) -> Iterator[Finding]:
    """What a time that is to fit its bath has to be known of."""
    asked, needs_room = step.adjust is not None, step.adjust == "for drift" or step.drifts_to
    if plan.celsius(step) is None and (asked or step.drifts_to):
        found = "the temperature of the bath is missing"
        yield Finding((*path, "adjust" if asked else "drifts to"), found, "add temperature: 22 C")
    if step.adjust == "for temperature" and step.time_is_for is None:
        found = "the temperature at which the time was found is missing"
        yield Finding((*path, "adjust"), found, "add time is for: 20 C")
    if needs_room and plan.room is None:
        found = "the temperature of the room is missing, and the drift depends on it"
        where = "adjust" if step.adjust == "for drift" else "drifts to"
        yield Finding((*path, where), found, "add a line room: 19 C to the plan")


def _temperatures(plan: Plan) -> Iterator[Finding]:
    low, high = map(degrees, USUAL_RANGE_CELSIUS)
    for path, celsius in _baths(plan):
        if not is_usual(celsius):
            found = f"{degrees(celsius)} is outside the usual {low} to {high}"
            remedy = f"times for {degrees(20)} do not hold here; gelatine softens when it is warm"
            yield Finding(path, found, remedy)


def _sheets_in_hand(plan: Plan) -> Iterator[Finding]:
    for index, step in enumerate(plan.steps):
        drain, transfer = plan.habit(step, "drain"), plan.habit(step, "transfer")
        if drain > transfer:
            found = f"a sheet drains {drain / 1000:g} s, the next is due in {transfer / 1000:g} s"
            yield Finding(("steps", index), found, "write a transfer as long as the drain")
            return
