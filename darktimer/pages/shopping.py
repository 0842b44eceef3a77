"""The shopping list as a page: what to buy, in packs, and what is left over."""

from dataclasses import asdict
from typing import Any, Final

from darktimer.bench.shopping import Purchase, Shopping
from darktimer.bench.unit_system import UnitSystem
from darktimer.terminal.table import print_table
from darktimer.terminal.text import print_list, say

_COLUMNS: Final = (
    ("Buy", "right"),
    ("Of", "left"),
    ("Needed", "right"),
    ("In stock", "right"),
    ("Left over", "right"),
)


def print_shopping(shopping: Shopping, units: UnitSystem) -> None:
    """The whole list, in the order of the sheets."""
    *others, last = shopping.plans
    say(f"To buy for {', '.join(others)}{' and ' if others else ''}{last}", bold=True)
    if shopping.lines:
        print_table(_COLUMNS, (_row(line, units) for line in shopping.lines))
    else:
        say("Nothing.")
    print_list("Note", shopping.notes)
    say("")


def _row(line: Purchase, units: UnitSystem) -> list[str]:
    rest = (line.needed, line.in_stock, line.left_over)
    shown = [line.said(amount, units) if amount else "" for amount in rest]
    return [_buy(line, units), line.what, *shown]


def _buy(line: Purchase, units: UnitSystem) -> str:
    if not line.to_buy:
        return "nothing"
    if line.pack:
        return f"{line.packs} x {line.said(line.pack, units)}"
    return line.said(line.to_buy, units)


def shopping_json(shopping: Shopping) -> dict[str, Any]:
    """The same for scripts: g or ml, as each line says."""
    lines = [
        asdict(line) | {"to_buy": line.to_buy, "packs": line.packs, "left_over": line.left_over}
        for line in shopping.lines
    ]
    return {"plans": list(shopping.plans), "shopping": lines, "notes": list(shopping.notes)}
