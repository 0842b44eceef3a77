"""The bench sheet as a page: what to weigh, mix, mind and throw away, bath by bath."""

from collections.abc import Iterable, Iterator

from darktimer.bench.alkali import AfterAcid
from darktimer.bench.bath_sheet import BathSheet
from darktimer.bench.develop_time import DevelopTime
from darktimer.bench.mixture import Item
from darktimer.bench.sheet import Sheet
from darktimer.bench.unit_system import METRIC, UnitSystem, figures
from darktimer.plan.baths import is_water
from darktimer.terminal.table import print_table
from darktimer.terminal.text import print_list, say
from darktimer.units import clock, nearest_clock


def print_sheet(sheet: Sheet, units: UnitSystem, unknown: Iterable[str] = ()) -> None:
    """Everything that the sheet says, by its measures, and what is ``unknown`` of baths kept."""
    say(sheet.title, bold=True)
    say(f"{sheet.film}: {units.area(sheet.area_m2)}{_in_rolls(sheet)}")
    say(f"Cover the film with {units.volume(sheet.cover_ml)} ({sheet.vessel})")
    print_list("Warnings", [*sheet.warnings, *unknown])
    for bath in sheet.baths:
        say("")
        _print_bath(bath, units)
    for time in sheet.times:
        head, *lines = _time_lines(time, units)
        print_list(head, lines)
    print_list("Fixing and washing", sheet.afterwards)
    print_list("Cautions", sheet.cautions)


def _in_rolls(sheet: Sheet) -> str:
    """The area in the trade's rolls, where the film itself is not told in them."""
    rolls = figures(sheet.rolls)
    if sheet.film == f"{rolls} x 135-36":
        return ""
    return f", as much as {rolls} roll{'' if rolls == '1' else 's'} of 135-36"


def _print_bath(bath: BathSheet, units: UnitSystem) -> None:
    say(f"{bath.name}: {units.volume(bath.volume_ml)}", bold=True)
    for line in _bath_lines(bath, units):
        say(line)
    if bath.items:
        columns = [("Weigh or pour", "right"), ("Of", "left"), ("Off by", "right")]
        print_table([*columns, ("Instead of", "left")], (_row(i, units) for i in bath.items))
    print_list("Warnings", bath.warnings)
    print_list("In this order", bath.order, numbered=True)
    print_list("Afterwards", bath.discard)


def _bath_lines(bath: BathSheet, units: UnitSystem) -> Iterator[str]:
    if bath.kept:
        yield bath.kept
    if bath.ready:
        yield f'its recipe, once it is gone: darktimer baths discard "{bath.name}"'
    if bath.recipe:
        yield f"{bath.recipe} ({bath.found}). {bath.about}"
    fills = f", {bath.fills} fills" if bath.fills > 1 else ""
    yield f"for {', '.join(bath.steps)}: {bath.why}{fills}"
    if bath.containers:
        spare = f", {units.volume(bath.spare_ml)} of it to spare" if bath.spare_ml >= 1 else ""
        yield f"{bath.containers} x {units.volume(bath.container_ml)} containers{spare}"
    if bath.stock_ml:
        stock = "stock" if bath.items else "concentrate"
        yield f"{units.volume(bath.stock_ml)} of {stock} and {units.volume(bath.water_ml)} of water"
    if not (bath.recipe or bath.ready or is_water(bath.name)):
        hint = f"; {bath.found}" if bath.found else ""
        yield f"no recipe is known for it: mix it as its label says{hint}"
    if bath.keeps_hours:
        yield keeping(bath.keeps_hours, bath.used_again)
    if bath.after_acid:
        yield _used_up(bath.after_acid, units)
    if bath.acidity:
        yield bath.acidity


def keeping(hours: int, used_again: bool) -> str:
    """How often a bath may be used, and for how long."""
    often = "may be used again" if used_again else "use it once"
    return f"{often}; keeps {f'{hours // 24} days' if hours >= 48 else f'{hours} h'}"


def _used_up(met: AfterAcid, units: UnitSystem) -> str:
    used = f"its acid neutralises {units.mass(met.neutralised_g)} of the {met.form}"
    if not met.left_g:
        return f"{used}, which is all there is: no alkali is left"
    moles = f", {met.left_mmol_per_l:.0f} mmol/l" if units == METRIC else ""
    return f"{used}; {units.mass(met.left_g)} are left{moles}"


def _row(item: Item, units: UnitSystem) -> list[str]:
    off = f"{round(100 * item.error, 1) + 0.0:+.1f} %" if item.shown_g is not None else ""
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
