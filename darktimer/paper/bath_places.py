"""The baths as they stand on the bench, left to right in the order the film goes through them.

Knows plan and bench sheet: which vessel stands where, with how much of what in it.
"""

from collections.abc import Iterator, Mapping
from typing import Final, NamedTuple

from darktimer.bench.bath_sheet import BathSheet
from darktimer.bench.plan_inputs import bath_uses
from darktimer.bench.sheet import Sheet
from darktimer.bench.unit_system import METRIC, UnitSystem
from darktimer.plan.baths import is_water, vessel
from darktimer.plan.model import Plan
from darktimer.plan.steps import AnyStep

_MOST_ITEMS: Final = 5


class BathPlace(NamedTuple):
    """One vessel: the steps done in it, what is in it, how much, and what that is made of."""

    steps: tuple[str, ...]
    bath: str
    amount: str
    made_of: tuple[str, ...]


def places(plan: Plan, sheet: Sheet | None, say: UnitSystem = METRIC) -> list[BathPlace]:
    """The vessels in order. Without a ``sheet`` they have no amounts."""
    known = {bath.name: bath for bath in sheet.baths} if sheet else {}
    vessels: dict[tuple[str, str], tuple[str, list[AnyStep]]] = {}
    used = sorted((place, use.name) for use in bath_uses(plan) for place in use.places)
    for place, bath in used:
        step = plan.steps[place]
        vessels.setdefault(vessel(step), (bath, []))[1].append(step)
    return [_place(bath, steps, known, say) for bath, steps in vessels.values()]


def _place(
    bath: str, steps: list[AnyStep], known: Mapping[str, BathSheet], say: UnitSystem
) -> BathPlace:
    names = tuple(dict.fromkeys(step.called for step in steps))
    sheet = known.get(bath)
    shown = "" if bath in names else bath
    if sheet is None:
        return BathPlace(names, shown, "", ())
    fills = sum(step.repeat for step in steps) if is_water(bath) else sheet.fills
    each_ml = sheet.fill_ml if is_water(bath) else sheet.volume_ml / sheet.fills
    amount = say.volume(each_ml)
    return BathPlace(
        names,
        shown,
        f"{fills} × {amount}" if fills > 1 else amount,
        tuple(_made_of(sheet, say)),
    )


def _made_of(sheet: BathSheet, say: UnitSystem) -> Iterator[str]:
    if sheet.water_ml:
        yield f"{say.volume(sheet.stock_ml)} stock + {say.volume(sheet.water_ml)} water"
    if sheet.ready:
        yield "use what is kept"
    elif not sheet.recipe and not is_water(sheet.name):
        yield "as its label says"
    if sheet.items and sheet.fills > 1:
        yield f"{say.volume(sheet.volume_ml)} in all, of"
    for item in sheet.items[:_MOST_ITEMS]:
        yield f"{item.amount(say)} {item.what}"
    if len(sheet.items) > _MOST_ITEMS:
        yield f"and {len(sheet.items) - _MOST_ITEMS} more"
