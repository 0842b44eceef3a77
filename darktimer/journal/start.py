"""What the journal keeps of a plan that is about to be run."""

from math import fsum
from pathlib import Path
from typing import TYPE_CHECKING

from darktimer.errors import DarktimerError
from darktimer.journal.clocks import Reading, read_clocks
from darktimer.journal.developments import developments_in, films_in, pieces_in
from darktimer.journal.runs import Basis, RunStart
from darktimer.process.timeline import Timeline

if TYPE_CHECKING:  # slow to load, and only wanted where a plan is at hand
    from darktimer.plan.model import Plan
    from darktimer.plan.reader import PlanFile


def about_to_start(
    file: "PlanFile", cue_set: str, timeline: Timeline, started: Reading | None = None
) -> RunStart:
    """Of a plan that was read and compiled; ``started`` is now where it is not given.

    Reads the plan's file once more for its text.
    """
    bases, of_films = _bases(file), films_in(file.plan)
    return RunStart(
        plan_source=file.document.source,
        plan_text=Path(file.document.source).read_bytes().decode("utf-8-sig"),
        cue_set=cue_set,
        timeline=timeline,
        light=file.plan.vessel.light,
        film=" and ".join(film.words for film in of_films),
        baths=_baths_of(file.plan, timeline),
        film_area_m2=fsum(film.area_m2 or 0.0 for film in of_films) or None,
        started=started or read_clocks(),
        bases=bases,
        films=of_films,
        pieces=pieces_in(timeline),
        developments=developments_in(file.plan, bases),
    )


def _bases(file: "PlanFile") -> tuple[Basis, ...]:
    """What the develop times rest on; a recipe that cannot be read holds up no run."""
    from darktimer.bench.develop_time import develop_times
    from darktimer.bench.plan_inputs import known_vessel
    from darktimer.bench.recipe_lookup import recipes_in, recipes_of
    from darktimer.journal.worth import basis_of

    try:
        recipes = recipes_in(recipes_of(file))
    except DarktimerError:
        recipes = {}
    return tuple(map(basis_of, develop_times(file.plan, recipes, known_vessel(file.plan))))


def _baths_of(plan: "Plan", timeline: Timeline) -> tuple[str, ...]:
    """The bath of each step of a timeline compiled from ``plan``, empty where it has none."""
    from darktimer.plan.baths import bath_name

    return tuple(
        "" if step.source is None else bath_name(plan.steps[step.source]) for step in timeline.steps
    )
