"""The bench sheets of prepared plans, with the baths that are kept for them."""

from collections.abc import Sequence
from dataclasses import replace

from darktimer.bench.bath_at_hand import BathAtHand
from darktimer.bench.bath_sheet import BenchOptions
from darktimer.bench.recipe_lookup import recipes_of
from darktimer.bench.sheet import Sheet, all_used, bench_sheet
from darktimer.journal.baths import KeptBath
from darktimer.journal.clocks import read_clocks
from darktimer.plan.baths import bath_key
from darktimer.prepare.prepared import Prepared


def sheet_of(prepared: Prepared, options: BenchOptions) -> Sheet:
    """The sheet of one plan: raises as `bench_sheet` does, and `FileError` for a faulty recipe."""
    here = replace(options, kept=tuple(_kept_by_name(prepared).values()))
    return bench_sheet(prepared.noted, recipes_of(prepared.file), here)


def sheets_of(every: Sequence[Prepared], options: BenchOptions) -> list[Sheet]:
    """The sheets of plans that are carried out one after another; what is wrong has its place.

    Develop times are as written, clearing times as last noted. What a kept bath can still do for
    one is what those before have left of it.
    """
    sheets, kept = list[Sheet](), _kept_by_name(every[0])
    for prepared in every:
        here = replace(options, kept=tuple(kept.values()))
        with prepared.file.blamed():
            sheet = bench_sheet(prepared.noted, recipes_of(prepared.file), here)
        sheets.append(sheet)
        for name in (bath_key(bath.name) for bath in sheet.baths if bath.ready):
            kept[name] = kept[name].after(sheet.area_m2)
    all_used(options.have, sheets)
    return sheets


def _kept_by_name(prepared: Prepared) -> dict[str, BathAtHand]:
    now = read_clocks().wall_utc_ms
    return {bath_key(bath.name): _kept(bath, now) for bath in prepared.kept}


def _kept(bath: KeptBath, now_utc_ms: int) -> BathAtHand:
    reasons, last_ms = tuple(bath.reasons_to_discard(now_utc_ms)), bath.clearing_ms[-1:]
    cleared_ms = last_ms[0] if last_ms else None
    return BathAtHand(bath.name, bath.volume_ml, bath.left_m2, reasons, cleared_ms)
