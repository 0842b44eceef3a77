"""What a plan asks of the bench: how much film, in which vessel, through which baths.

Knows how to read these off a plan. What each bath is made of is the recipe's business.
"""

from typing import Final, NamedTuple

from darktimer.bench.custom import USUAL_CELSIUS
from darktimer.bench.film import Load, load
from darktimer.bench.vessel import REEL_ML, Vessel, measured, spiral_tank, tub
from darktimer.errors import Finding, FindingsError
from darktimer.plan.model import Plan
from darktimer.plan.steps import AnyStep

WATER: Final = "water"
_WATER_KINDS: Final = ("soak", "rinse", "wash")
_NOT_A_BATH: Final = ("load", "step")


class Use(NamedTuple):
    """One bath of the plan: the steps it serves, and how many times it is filled fresh.

    ``kind`` is that of its first step; ``places`` are the indices of all of them in the plan.
    """

    name: str
    kind: str
    steps: tuple[str, ...]
    places: tuple[int, ...]
    fills: int


def film_of(plan: Plan) -> Load:
    """The film of ``plan``. Raises `FindingsError` where the plan does not say what it is."""
    film = plan.film
    if film is None:
        mend = "add a line film: {format: 135-36, count: 1}"
        raise FindingsError([Finding((), "the film is not said", mend)])
    length_mm = None if film.length is None else film.length * 1000
    return load(film.format, film.count or film.sheets or 1, length_mm)


def vessel_of(plan: Plan, film: Load) -> Vessel:
    """The vessel of ``plan``: as measured, by its reels, or by the heap of film in a tub.

    Raises `FindingsError` where neither tells the volume that covers the film.
    """
    if plan.vessel.volume is not None:
        return measured(plan.vessel.volume)
    reel = film.format.split("-")[0]
    if plan.vessel.kind == "spiral tank" and reel in REEL_ML:
        return spiral_tank({reel: film.pieces})
    if plan.vessel.kind in ("tub", "bucket"):
        return tub(film)
    mend = "cover empty reels or a scrap with water, measure it, and add volume: 1.5 l"
    raise FindingsError([Finding(("vessel",), "how much bath covers the film is not said", mend)])


def uses_of(plan: Plan) -> list[Use]:
    """The baths of ``plan`` in order of their first step; steps of one bath come together."""
    uses: dict[str, Use] = {}
    for place, step in enumerate(plan.steps):
        name = _bath_name(step)
        if name is None:
            continue
        known = uses.get(name, Use(name, step.kind, (), (), 0))
        steps = (*known.steps, step.name or step.title)
        places, fills = (*known.places, place), known.fills + step.repeat
        uses[name] = Use(name, known.kind, steps, places, fills)
    return list(uses.values())


def bath_celsius(plan: Plan, step: AnyStep) -> float:
    """The temperature of a step's bath: its own, the plan's, or 20 C."""
    return next((t for t in (step.temperature, plan.temperature) if t is not None), USUAL_CELSIUS)


def _bath_name(step: AnyStep) -> str | None:
    if step.bath:
        return step.bath
    if step.kind in _NOT_A_BATH:
        return None
    return WATER if step.kind in _WATER_KINDS else step.title
