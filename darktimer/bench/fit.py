"""Whether the film fits into the vessel: by its sides, its reels, what it holds, what covers it.

Knows the plan's film and vessel, and where in the plan a warning belongs. Knows no bath.
"""

from collections.abc import Iterator, Sequence
from math import fsum, hypot
from typing import Final

from darktimer.bench.amount import need, shortfall
from darktimer.bench.film import FilmLoad, load
from darktimer.bench.plan_inputs import film_of, usual_vessel
from darktimer.bench.unit_system import METRIC, UnitSystem
from darktimer.errors import Finding
from darktimer.plan.film import Fill, Film, Holds
from darktimer.plan.formats import measure_of
from darktimer.plan.model import Plan

#: A volume this much under what is usual is worth a warning; tanks differ, so not less.
_MUCH_LESS: Final = 0.8
#: Of the bath, taken up by film: coils in a bucket push 1.6 % aside, a spiral 2 %. From memory.
_PACKED: Final = 0.1


def misfits(plan: Plan, say: UnitSystem = METRIC) -> Iterator[Finding]:
    """What is doubtful about this film in this vessel; nothing where the film is missing."""
    if not plan.films:
        return
    for sheet in dict.fromkeys(film.format for film in plan.films if plan.sheets):
        yield from _sheet(plan, sheet, say)
    rolls = sum(film.pieces for film in plan.films if measure_of(film.format) == "count")
    if 0 < (plan.vessel.reels or 0) < rolls:
        found = f"{rolls} rolls, and {plan.vessel.reels} reels"
        yield Finding(("vessel", "reels"), found, "split the film into several loads")
    fill = plan.vessel.volume
    if plan.vessel.holds:
        yield from _held(plan.vessel.holds.times(fill.number if fill else 1), plan.films)
    if fill:
        yield from _covered(plan, fill, film_of(plan), say)


def _sheet(plan: Plan, sheet: str, say: UnitSystem) -> Iterator[Finding]:
    """Sheets lie flat, either way round; a round tray holds their diagonal."""
    one = load(sheet)
    width_mm, length_mm = sorted((one.width_mm, one.length_mm))
    if plan.vessel.size:
        short, long = sorted(1000 * side for side in plan.vessel.size)
        if width_mm > short or length_mm > long:
            found = f"a sheet of {sheet} is larger than the tray"
            yield Finding(("vessel", "size"), found, "take a larger tray")
    if plan.vessel.diameter and hypot(width_mm, length_mm) > 1000 * plan.vessel.diameter:
        corners = say.length(hypot(width_mm, length_mm) / 1000)
        found = f"a sheet of {sheet} is {corners} from corner to corner"
        yield Finding(("vessel", "diameter"), found, "take a larger tray")


def _held(holds: Holds, films: Sequence[Film]) -> Iterator[Finding]:
    for film in films:
        by_length = film.length is not None
        if by_length != (holds.pieces == 0):
            what = "a length" if by_length else "how many pieces"
            remedy = "write such as holds: 50 ft" if by_length else "write such as holds: 2"
            yield Finding(("vessel", "holds"), f"{film.format} film needs {what} here", remedy)
            return
    length_m = fsum(film.length or 0.0 for film in films)
    if sum(film.pieces for film in films) > holds.pieces > 0 or length_m > holds.length_m > 0:
        remedy = "split the film into several loads, or take a larger vessel"
        yield Finding(("vessel", "holds"), "the film is more than the vessel holds", remedy)


def _covered(plan: Plan, fill: Fill, film: FilmLoad, say: UnitSystem) -> Iterator[Finding]:
    """Much less bath than is usual for the film, or than its own volume lets flow about it."""
    usual, volume_ml = usual_vessel(plan, film), fill.ml
    if usual and not usual.grows:  # each has to be filled, whatever is in it
        usual = usual.times(fill.number)
    if usual and volume_ml < _MUCH_LESS * usual.cover_ml:
        short = shortfall(need(usual, film), usual, film, volume_ml + film.displaced_ml, say)
        assert short
        found = f"{say.volume(usual.cover_ml)} are usual for this film ({usual.basis})"
        remedy = f"the film must be covered: {short.found}: {short.remedy}"
        yield Finding(("vessel", "volume"), found, remedy)
    elif film.displaced_ml > _PACKED * volume_ml:
        alone, whole = say.volume(film.displaced_ml), say.volume(volume_ml)
        found = f"the film alone takes up {alone} of {whole}"
        remedy = "packed so close it is not wetted evenly: take a larger vessel, or several loads"
        yield Finding(("vessel", "volume"), found, remedy)
