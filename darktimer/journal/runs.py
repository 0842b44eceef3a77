"""A run: what was begun, with which plan and film, and how it ended."""

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, Literal, NamedTuple

from darktimer.errors import DarktimerError
from darktimer.journal.clocks import Reading, read_clocks
from darktimer.process.timeline import Cue, Span, Step, Timeline

if TYPE_CHECKING:  # slow to load, and only wanted where a plan is at hand
    from darktimer.plan.film import Film
    from darktimer.plan.model import Plan
    from darktimer.plan.reader import PlanFile

State = Literal["unfinished", "finished", "aborted"]

UNFINISHED: Final = "unfinished"
FINISHED: Final = "finished"
ABORTED: Final = "aborted"


class Basis(NamedTuple):
    """What the time of a develop rests on, as it was known when the run began.

    ``written_ms`` stands in the plan for ``for_celsius``; ``carried_ms`` is what was to be carried
    out in a bath that begins at ``celsius``, None where the plan gives no temperature. ``adjust``
    is what the plan asks for, or empty; ``constant_ms`` is 0 where nothing tells how the bath
    drifts; ``doubt`` is what speaks against the activation energy. ``source`` is the step's index
    in the plan.
    """

    source: int
    written_ms: int
    carried_ms: int
    adjust: str = ""
    for_celsius: float = 0.0
    celsius: float | None = None
    kj_per_mol: float = 0.0
    doubt: str = ""
    room_celsius: float | None = None
    constant_ms: float = 0.0


class RunStart(NamedTuple):
    """Everything that is known when a run begins.

    ``baths`` names the bath of each step of the timeline, empty where it has none.
    ``bases`` holds what the time of each develop rests on, where the plan gives a temperature.
    ``started`` is the run's first moment, from which its events are counted.
    """

    plan_source: str
    plan_text: str
    cue_set: str
    timeline: Timeline
    light: str
    film: str
    baths: tuple[str, ...]
    film_area_m2: float | None
    started: Reading
    bases: tuple[Basis, ...] = ()


class Run(NamedTuple):
    """A run as it stands in the journal, without its plan, timeline and events."""

    number: int
    key: str
    started: Reading
    title: str
    planned_ms: int
    plan_source: str
    cue_set: str
    light: str
    film: str
    film_area_m2: float | None
    baths: tuple[str, ...]
    bases: tuple[Basis, ...]
    state: State
    ended_utc_ms: int | None
    exit: int | None

    @property
    def bath_names(self) -> list[str]:
        """Each bath once, in the order of its first use; plain water is none that matters later."""
        from darktimer.plan.baths import bath_key, is_water

        first: dict[str, str] = {}
        for name in self.baths:
            if name and not is_water(name):
                first.setdefault(bath_key(name), name)
        return list(first.values())


def about_to_start(
    file: "PlanFile",
    cue_set: str,
    timeline: Timeline,
    started: Reading | None = None,
) -> RunStart:
    """What the journal keeps of a plan that was read, compiled and is about to be run.

    ``started`` is now where it is not given. Reads the plan's file once more for its text.
    """
    from darktimer.bench.tonight import film_of

    return RunStart(
        plan_source=file.document.source,
        plan_text=Path(file.document.source).read_bytes().decode("utf-8-sig"),
        cue_set=cue_set,
        timeline=timeline,
        light=file.plan.vessel.light,
        film=film_text(file.plan.film),
        baths=baths_of(file.plan, timeline),
        film_area_m2=film_of(file.plan).area_m2 if file.plan.film else None,
        started=started or read_clocks(),
        bases=_bases(file),
    )


def _bases(file: "PlanFile") -> tuple[Basis, ...]:
    """What the develop times rest on; a recipe that cannot be read holds up no run."""
    from darktimer.bench.adjusting import develop_times
    from darktimer.bench.shelf import recipes_of
    from darktimer.journal.worth import basis_of

    try:
        times = develop_times(file.plan, recipes_of(file))
    except DarktimerError:
        times = develop_times(file.plan, {})
    return tuple(map(basis_of, times))


def film_text(film: "Film | None") -> str:
    """A film in words: ``135-36``, ``2 x 120``, ``30.5 m of 16 mm``, ``6 x 4x5 in``."""
    if film is None:
        return ""
    if film.length is not None:
        return f"{film.length:g} m of {film.format}"
    pieces = film.count or film.sheets or 1
    return f"{pieces} x {film.format}" if pieces > 1 else film.format


def timeline_of(text: str) -> Timeline:
    """A timeline from the JSON that was kept of it."""
    raw: dict[str, Any] = json.loads(text)
    return Timeline(
        raw["title"],
        raw["duration_ms"],
        tuple(Step(**step) for step in raw["steps"]),
        tuple(Span(**span) for span in raw["spans"]),
        tuple(Cue(**cue) for cue in raw["cues"]),
        tuple(raw["notes"]),
    )


def baths_of(plan: "Plan", timeline: Timeline) -> tuple[str, ...]:
    """The bath of each step of a timeline compiled from ``plan``, empty where it has none."""
    from darktimer.plan.baths import bath_name

    return tuple(
        "" if step.source is None else bath_name(plan.steps[step.source]) for step in timeline.steps
    )
