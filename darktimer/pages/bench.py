"""The bench sheet as a page: what to weigh, mix, mind and throw away, bath by bath."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from darktimer.bench.bath_sheet import BathSheet
from darktimer.bench.develop_time import DevelopTime
from darktimer.bench.mixture import Item
from darktimer.bench.sheet import Sheet
from darktimer.bench.unit_system import UnitSystem, figures
from darktimer.plan.baths import bath_key, is_water
from darktimer.terminal.table import print_table
from darktimer.terminal.text import print_list, say
from darktimer.units import clock, nearest_clock

_SHOWN_FROM: Final = 0.0005  # of a mass: what rounding to a scale brings, in tenths of a percent


def print_sheet(sheet: Sheet, units: UnitSystem, unknown: Iterable[str] = ()) -> None:
    """All that hands need of the sheet, by its measures, and what is ``unknown`` of baths kept."""
    say(sheet.title, bold=True)
    say(f"{sheet.film}: {units.area(sheet.area_m2)}{_in_rolls(sheet)}")
    say(f"Cover the film with {units.volume(sheet.cover_ml)} ({sheet.vessel})")
    print_list("Warnings", [*sheet.warnings, *unknown])
    abouts = set[str]()
    for bath in sheet.baths:
        if not is_water(bath.name):
            say("")
            _print_bath(bath, sheet.cover_ml, bath.about not in abouts, units)
            abouts.add(bath.about)
    say("")
    for water in (bath for bath in sheet.baths if is_water(bath.name)):
        say(_head(water, units), bold=True)
    for time in sheet.times:
        head, *lines = _time_lines(time, units)
        print_list(head, lines)
    print_list("Fixing and washing", sheet.afterwards)
    print_list("Afterwards", _discarding(sheet))
    print_list("Cautions", sheet.cautions)


def _discarding(sheet: Sheet) -> Iterator[str]:
    """What becomes of the baths, each rule once, with the baths that it is for."""
    rules: dict[str, list[str]] = {}
    for bath in sheet.baths:
        for rule in bath.discard:
            rules.setdefault(rule, []).append(bath.name)
    for rule, names in rules.items():
        yield f"{', '.join(names)}: {rule}"


def _in_rolls(sheet: Sheet) -> str:
    """The area in the trade's rolls, where the film itself is not told in them."""
    rolls = figures(sheet.rolls)
    if sheet.film == f"{rolls} x 135-36":
        return ""
    return f", as much as {rolls} roll{'' if rolls == '1' else 's'} of 135-36"


def _print_bath(bath: BathSheet, cover_ml: float, whole: bool, units: UnitSystem) -> None:
    """A bath; with what its recipe says ``about`` itself where no bath before has said that."""
    say(_head(bath, units), bold=True)
    for line in filter(None, _bath_lines(bath, cover_ml, whole, units)):
        say(line)
    _print_items(bath.items, units)
    print_list("Warnings", bath.warnings)
    print_list("In this order" if bath.warnings else "", bath.order, numbered=True)


def _head(bath: BathSheet, units: UnitSystem) -> str:
    fills = f", {bath.fills} fills of {units.volume(bath.fill_ml)}" if bath.fills > 1 else ""
    return f"{bath.name}: {units.volume(bath.volume_ml)} for {', '.join(bath.steps)}{fills}"


def _print_items(items: Sequence[Item], units: UnitSystem) -> None:
    """What to weigh, where it is more than the one thing that the steps name anyway."""
    rows = [_row(item, units) for item in items]
    if len(items) < 2 and not any(item.instead_of for item in items):
        return
    columns = [("Weigh or pour", "right"), ("Of", "left"), ("Off by", "right")]
    columns.append(("Instead of", "left"))
    shown = [at for at in range(4) if any(row[at] for row in rows)]
    print_table([columns[at] for at in shown], ([row[at] for at in shown] for row in rows))


def _bath_lines(bath: BathSheet, cover_ml: float, whole: bool, units: UnitSystem) -> Iterator[str]:
    if bath.kept:
        yield bath.kept
    if bath.ready:
        yield f'its recipe, once it is gone: darktimer baths discard "{bath.name}"'
    if bath.fill_ml > cover_ml:
        yield bath.why
    yield _made_by(bath, whole)
    if bath.containers:
        spare = f", {units.volume(bath.spare_ml)} of it to spare" if bath.spare_ml >= 1 else ""
        yield f"{bath.containers} x {units.volume(bath.container_ml)} containers{spare}"
    if bath.water_ml:
        stock = "stock" if bath.items else "concentrate"
        yield f"{units.volume(bath.stock_ml)} of {stock} and {units.volume(bath.water_ml)} of water"
    if bath.after_acid and not bath.after_acid.left_g:
        yield f"its acid uses up all of the {bath.after_acid.form}: no alkali is left"
    if bath.acidity:
        yield bath.acidity


def _made_by(bath: BathSheet, whole: bool) -> str:
    """Its recipe, in the recipe's own words where they are to be ``whole``, and how it keeps."""
    if not bath.recipe:
        hint = f"; {bath.found}" if bath.found else ""
        return "" if bath.ready else f"no recipe is known for it: mix it as its label says{hint}"
    named = "" if bath_key(bath.recipe) == bath_key(bath.name) else f"{bath.recipe}, "
    keeps = f"; {keeping(bath.keeps_hours, bath.used_again)}" if bath.keeps_hours else ""
    about = f". {bath.about}" if whole and bath.about else ""
    return f"recipe: {named}{bath.found}{keeps}{about}"


def keeping(hours: int, used_again: bool) -> str:
    """How often a bath may be used, and for how long."""
    often = "may be used again" if used_again else "use it once"
    return f"{often}; keeps {f'{hours // 24} days' if hours >= 48 else f'{hours} h'}"


def _row(item: Item, units: UnitSystem) -> list[str]:
    off = f"{round(100 * item.error, 1):+.1f} %" if abs(item.error) >= _SHOWN_FROM else ""
    return [item.amount(units), item.what, off, item.instead_of]


def _time_lines(time: DevelopTime, units: UnitSystem) -> Iterator[str]:
    asked = f", adjusted {time.adjust} as the plan asks" if time.adjust else " as planned"
    yield f"{time.step}: {clock(time.time_ms)}{asked}"
    planned = f"{clock(time.planned_ms)} at {units.temperature(time.for_celsius)}"
    temperatures = [f"{nearest_clock(ms)} at {units.temperature(c)}" for c, ms in time.elsewhere]
    yield f"{planned} does the same as {', '.join(temperatures)}"
    by_energy = f"worked out from its activation energy, {time.kj_per_mol:.0f} kJ/mol"
    yield time.warning or f"{by_energy}: how much a warmer bath speeds it up"
    if time.for_celsius != time.celsius:
        steady = f"{nearest_clock(time.steady_ms)} at {units.temperature(time.celsius)}"
        yield f"the bath has another temperature than the time is for: {steady} does the same"
    yield from _drift_lines(time, units)
    if time.agitation:
        yield time.agitation


def _drift_lines(time: DevelopTime, units: UnitSystem) -> Iterator[str]:
    drift = time.drifting
    if drift is None:
        return
    yield (
        f"in the bath as it drifts: {nearest_clock(drift.time_ms)}, ending at "
        f"{units.temperature(drift.end_celsius)}; {nearest_clock(drift.steady_ms)} would be "
        f"{100 * drift.ignored:+.1f} % off"
    )
    constant = figures(time.constant_ms / 60_000, 2)
    yield f"its time constant is {constant} min, {time.constant_from}"
