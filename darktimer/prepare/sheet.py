"""The bench sheet of a prepared plan, with the baths that are kept for it."""

from dataclasses import replace

from darktimer.bench.bath_at_hand import BathAtHand
from darktimer.bench.bath_sheet import BenchOptions
from darktimer.bench.recipe_lookup import recipes_of
from darktimer.bench.sheet import Sheet, bench_sheet
from darktimer.journal.baths import KeptBath
from darktimer.journal.clocks import read_clocks
from darktimer.prepare.prepared import Prepared


def sheet_of(prepared: Prepared, options: BenchOptions) -> Sheet:
    """The sheet for ``options``: develop times as written, clearing times as last noted.

    Raises as `bench_sheet` does, and `FileError` for a faulty recipe.
    """
    now = read_clocks().wall_utc_ms
    kept = tuple(_kept(bath, now) for bath in prepared.kept)
    return bench_sheet(prepared.noted, recipes_of(prepared.file), replace(options, kept=kept))


def _kept(bath: KeptBath, now_utc_ms: int) -> BathAtHand:
    reasons, last_ms = tuple(bath.reasons_to_discard(now_utc_ms)), bath.clearing_ms[-1:]
    cleared_ms = last_ms[0] if last_ms else None
    return BathAtHand(bath.name, bath.volume_ml, bath.left_m2, reasons, cleared_ms)
