"""What a plan asks of the bench: how much film, in which vessel, through which baths.

Knows how to read these off a plan. What each bath is made of is the recipe's business.
"""

from typing import Final, NamedTuple

from darktimer.bench.film import FilmLoad, load, together
from darktimer.bench.unit_system import METRIC
from darktimer.bench.vessel import (
    REEL_ML,
    TRAY_DEPTH_MM,
    Floor,
    VesselGeometry,
    circle,
    measured,
    rectangle,
    spiral_tank,
    standing,
    tub,
)
from darktimer.errors import Finding, FindingsError
from darktimer.plan.baths import bath_key, bath_name, is_water
from darktimer.plan.film import Film, Vessel
from darktimer.plan.fixing import USUAL_CELSIUS
from darktimer.plan.formats import measure_of
from darktimer.plan.model import Plan
from darktimer.plan.steps import AnyStep

MOST_ML: Final = 1e6  # no hands fill a larger vessel


class BathUse(NamedTuple):
    """One bath of the plan: the steps it serves, and how many times it is filled fresh.

    ``name`` and ``kind`` are those of its first step; ``places`` are the indices of all of them in
    the plan.
    """

    name: str
    kind: str
    steps: tuple[str, ...]
    places: tuple[int, ...]
    fills: int

    @property
    def is_water(self) -> bool:
        """Whether it is plain water, which has no recipe and is never kept."""
        return is_water(self.name)


def load_of(film: Film) -> FilmLoad:
    """How much film one of a plan's films is."""
    length_mm = None if film.length is None else film.length * 1000
    return load(film.format, film.pieces, length_mm)


def film_of(plan: Plan) -> FilmLoad:
    """All film of ``plan``. Raises `FindingsError` where the plan does not say what it is."""
    if not plan.in_baths:
        found = "there is no bath in this plan"
        raise FindingsError([Finding((), found, "there is nothing to mix for it")])
    if not plan.films:
        remedy = "add a line film: {format: 135-36, count: 1}"
        raise FindingsError([Finding((), "the film is missing", remedy)])
    return together([load_of(film) for film in plan.films])


def vessel_of(plan: Plan, film: FilmLoad) -> VesselGeometry:
    """The vessel of ``plan``: as measured with water, or by its shape.

    Of a vessel that is closed the faces that lose heat are not known. Raises `FindingsError` where
    nothing tells the volume that covers the film.
    """
    fill = plan.vessel.volume
    if fill is not None:
        one = measured(fill.each_ml, _floor(plan.vessel))
        vessel: VesselGeometry | None = one.times(fill.number)
    else:
        vessel = usual_vessel(plan, film)
    if vessel is None:
        remedy = (
            f"cover empty reels or a scrap with water, measure it, and add volume: 1.5 l{_or(plan)}"
        )
        found = "how much bath covers the film is missing"
        raise FindingsError([Finding(("vessel",), found, remedy)])
    if vessel.cover_ml > MOST_ML:
        found = f"a {plan.vessel.kind} of these measures takes {METRIC.volume(vessel.cover_ml)}"
        remedy = f"look at them again: the most is {METRIC.volume(MOST_ML)}"
        raise FindingsError([Finding(("vessel",), found, remedy)])
    return vessel._replace(open_cm2=0, wall_cm2=0) if plan.vessel.light == "closed" else vessel


def known_vessel(plan: Plan) -> VesselGeometry | None:
    """The vessel, for what its faces tell of the drift; None where the plan does not say enough."""
    try:
        return vessel_of(plan, film_of(plan))
    except FindingsError:
        return None


def usual_vessel(plan: Plan, film: FilmLoad) -> VesselGeometry | None:
    """What the vessel's shape asks for, whatever was measured; None where it tells nothing."""
    vessel, floor = plan.vessel, _floor(plan.vessel)
    if vessel.kind == "spiral tank":
        on_reels = [each.format.split("-")[0] for each in plan.films for _ in range(each.pieces)]
        known = all(each in REEL_ML for each in on_reels)
        return spiral_tank(on_reels, vessel.reels) if known else None
    if floor and (vessel.depth or vessel.kind == "tray"):
        depth_mm = vessel.depth * 1000 if vessel.depth else TRAY_DEPTH_MM
        return standing(floor, depth_mm, vessel.kind)
    flat = any(measure_of(each.format) == "sheets" for each in plan.films)
    if vessel.kind in ("tub", "bucket") and not flat:
        return tub(film, floor and floor.cm2)
    return None


def _floor(vessel: Vessel) -> Floor | None:
    if vessel.size:
        return rectangle(vessel.size[0] * 1000, vessel.size[1] * 1000)
    return circle(vessel.diameter * 1000) if vessel.diameter else None


def _or(plan: Plan) -> str:
    """What else would tell the volume, in the shape that the vessel has."""
    shapes = {
        "tray": ", or size: 20 x 25 cm",
        "cylinder": ", or diameter: 11 cm and depth: 12 cm",
    }
    return shapes.get(plan.vessel.kind, "")


def bath_uses(plan: Plan) -> list[BathUse]:
    """The baths of ``plan`` in order of their first step; steps of one bath come together."""
    uses: dict[str, BathUse] = {}
    for place, step in enumerate(plan.steps):
        name = bath_name(step)
        if not name:
            continue
        known = uses.get(bath_key(name), BathUse(name, step.kind, (), (), 0))
        uses[bath_key(name)] = known._replace(
            steps=(*known.steps, step.called),
            places=(*known.places, place),
            fills=known.fills + step.repeat,
        )
    return list(uses.values())


def bath_celsius(plan: Plan, step: AnyStep) -> float:
    """The temperature of a step's bath: its own, the plan's, or 20 C."""
    celsius = plan.celsius(step)
    return USUAL_CELSIUS if celsius is None else celsius
