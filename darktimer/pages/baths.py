"""Baths that are used again, as a table with what speaks against each, and for scripts."""

from collections.abc import Iterator, Sequence
from typing import Any

from darktimer import units
from darktimer.journal.baths import DAY_MS, KeptBath
from darktimer.journal.clocks import read_clocks, utc_text
from darktimer.plan.formats import ROLL_M2
from darktimer.terminal.table import print_table
from darktimer.terminal.text import print_list, say


def print_baths(baths: Sequence[KeptBath]) -> None:
    """One row a bath, then what to mind of each."""
    if not baths:
        say('No bath in use. Begin one: darktimer baths begin "plain fixer" --volume "1 l"')
        return
    now = read_clocks().wall_utc_ms
    columns = [
        ("Bath", "left"), ("Volume", "right"), ("Age", "right"), ("Film through", "right"),
        ("Left", "right"), ("Clearing", "right"), ("State", "left"),
    ]  # fmt: skip
    print_table(columns, [_row(bath, now) for bath in baths])
    for bath in baths:
        if bath.discarded_utc_ms is None:
            print_list(bath.name, _remarks(bath, now))


def _row(bath: KeptBath, now_utc_ms: int) -> list[str]:
    times = dict.fromkeys(bath.clearing_ms[:1] + bath.clearing_ms[-1:])
    return [
        bath.name,
        f"{bath.volume_ml:g} ml",
        f"{max(0, now_utc_ms - bath.born_utc_ms) // DAY_MS} days",
        _rolls(bath.used_m2),
        "-" if bath.left_m2 is None else _rolls(bath.left_m2),
        " to ".join(map(units.clock, times)) or "-",
        _state(bath, now_utc_ms),
    ]


def _state(bath: KeptBath, now_utc_ms: int) -> str:
    if bath.discarded_utc_ms is not None:
        return "discarded"
    return "discard it" if bath.reasons_to_discard(now_utc_ms) else "in use"


def _rolls(area_m2: float) -> str:
    return f"{area_m2 / ROLL_M2:.1f} rolls"


def _remarks(bath: KeptBath, now_utc_ms: int) -> Iterator[str]:
    reasons = bath.reasons_to_discard(now_utc_ms)
    yield from (f"discard it: {reason}" for reason in reasons)
    yield from bath.unknown()
    if reasons:
        yield "local rules first; spent fixer holds silver: hand it in, never into a septic tank"


def bath_json(bath: KeptBath) -> dict[str, Any]:
    """A bath for scripts."""
    return {
        "name": bath.name,
        "volume_ml": bath.volume_ml,
        "born": utc_text(bath.born_utc_ms),
        "keeps_days": None if bath.keeps_ms is None else bath.keeps_ms // DAY_MS,
        "capacity_m2": bath.capacity_m2,
        "used_m2": bath.used_m2,
        "left_m2": bath.left_m2,
        "clearing_ms": list(bath.clearing_ms),
        "discard_because": bath.reasons_to_discard(read_clocks().wall_utc_ms),
        "unknown": bath.unknown(),
        "discarded": None if bath.discarded_utc_ms is None else utc_text(bath.discarded_utc_ms),
    }
