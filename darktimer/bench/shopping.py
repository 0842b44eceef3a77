"""What to buy for the sheets of one plan or more: totals, packs, less what the cupboard holds.

Knows sheets and packs. A form of a substance is bought as the sheets weigh it: another form in the
cupboard is told of, and never counted.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import ceil
from typing import Final, NamedTuple

from darktimer import units
from darktimer.bench.bath_sheet import BathSheet
from darktimer.bench.bench_error import BenchError
from darktimer.bench.dry_amount import dry_amount
from darktimer.bench.mixture import Item
from darktimer.bench.replacement import replace as in_place_of
from darktimer.bench.sheet import Sheet
from darktimer.bench.substances import FORMS, Form, form_or_none
from darktimer.bench.unit_system import METRIC, UnitSystem
from darktimer.document.section import one_of
from darktimer.errors import UnreadableError
from darktimer.plan.baths import is_water

_MET_EXACTLY: Final = 1e-9  # three packs of 0.1 kg hold 300 g, whatever the last bit says


class InStock(NamedTuple):
    """So much of something in the cupboard; ``measure`` is "g" or "ml"."""

    name: str
    amount: float
    measure: str


@dataclass(frozen=True, slots=True)
class Purchase:
    """One thing, in grams or ml as ``measure`` says: what is needed, at most where it is in spoons.

    ``pack`` is None where nobody knows how it is sold; then ``packs`` is 0 too, and ``to_buy`` is
    bought loose. ``left_over`` is what will be in the cupboard afterwards.
    """

    what: str
    measure: str
    needed: float
    pack: float | None = None
    in_stock: float = 0.0

    @property
    def to_buy(self) -> float:
        """What is missing."""
        return max(0.0, self.needed - self.in_stock)

    @property
    def packs(self) -> int:
        """The fewest packs that hold what is missing."""
        return ceil(self.to_buy / self.pack - _MET_EXACTLY) if self.pack else 0

    @property
    def left_over(self) -> float:
        """What nothing is weighed of."""
        bought = self.packs * self.pack if self.pack else self.to_buy
        return max(0.0, self.in_stock + bought - self.needed)

    def said(self, amount: float, say: UnitSystem) -> str:
        """An amount of it in words."""
        return say.mass(amount) if self.measure == "g" else say.volume(amount)


@dataclass(frozen=True, slots=True)
class Shopping:
    """The list for all plans together, and what it cannot say or does not count."""

    plans: tuple[str, ...]
    lines: tuple[Purchase, ...]
    notes: tuple[str, ...]


def in_stock(text: str) -> InStock:
    """``sodium carbonate anhydrous=300 g``; raises `UnreadableError`."""
    name, equals, amount = (part.strip() for part in text.rpartition("="))
    if not (equals and name):
        remedy = "write such as 'sodium carbonate anhydrous=300 g'"
        raise UnreadableError(f"{units.shown(text)} is not a name and an amount", remedy)
    if units.has_unit_of_volume(amount):
        return InStock(name, units.volume_ml(amount), "ml")
    return InStock(name, dry_amount(amount).g, "g")


def shopping(
    sheets: Sequence[Sheet], stock: Iterable[InStock], say: UnitSystem = METRIC
) -> Shopping:
    """What ``sheets`` need in all, less ``stock``.

    Raises `BenchError` for something in stock that nobody knows, or that is measured otherwise.
    """
    lines, notes = _totals(sheets), list[str]()
    for each in stock:
        line = _line_of(each, lines)
        if line:
            lines[line.what] = replace(line, in_stock=line.in_stock + each.amount)
        else:
            notes.append(_uncounted(each, lines, say))
    notes += _of_baths(sheets, say)
    return Shopping(tuple(each.title for each in sheets), tuple(lines.values()), tuple(notes))


def _totals(sheets: Sequence[Sheet]) -> dict[str, Purchase]:
    lines: dict[str, Purchase] = {}
    for bath in (bath for sheet in sheets for bath in sheet.baths):
        for new in _lines_of(bath):
            old = lines.get(new.what, replace(new, needed=0.0))
            lines[new.what] = replace(
                old, needed=old.needed + new.needed, pack=old.pack or new.pack
            )
    return lines


def _lines_of(bath: BathSheet) -> Iterator[Purchase]:
    """What a bath uses up; by way of a stock solution that is more than goes into it."""
    if bath.stock_ml and not bath.items:
        yield Purchase(bath.recipe, "ml", bath.stock_ml, bath.pack_ml)
    for item in bath.items:
        if item.volume_ml is not None:
            yield Purchase(item.what, "ml", item.volume_ml, item.pack)
        elif item.mass_g is not None:
            used_g = item.stock.weighed_g if item.stock else item.mass_g + item.within_g
            yield Purchase(_bought_as(item), "g", used_g, item.pack)


def _bought_as(item: Item) -> str:
    if item.counted and item.counted.unit == "tablet":
        return f"{item.what} tablets of {METRIC.mass(item.counted.each_g)}"
    return item.what


def _line_of(each: InStock, lines: dict[str, Purchase]) -> Purchase | None:
    """The line that it is for; None where none is, though it is known what it is."""
    named = {what.lower(): line for what, line in lines.items()}
    form = None if each.name.lower() in named else form_or_none(each.name)
    line = named.get(form.name if form else each.name.lower())
    if line and line.measure != each.measure:
        told = "weighed" if line.measure == "g" else "poured"
        remedy = f"write it in {line.measure}"
        raise BenchError("in stock", f"{line.what} is {told}, and this is a {_OTHER[told]}", remedy)
    if not line and not form:
        remedy = one_of(each.name.lower(), lines)
        raise BenchError("in stock", f"nothing here is called {each.name!r}", remedy)
    return line


_OTHER: Final = {"weighed": "volume", "poured": "mass"}


def _uncounted(each: InStock, lines: dict[str, Purchase], say: UnitSystem) -> str:
    have = form_or_none(each.name)
    assert have
    held = f"{say.mass(each.amount)} of {have.name} in stock"
    if tablets := next((what for what in lines if what.startswith(f"{have.name} tablets")), None):
        return f"{held}: not counted, since tablets are asked for; say '{tablets}=...' of those."
    for wanted in (FORMS[what] for what in lines if what in FORMS):
        if wanted.acts == have.acts:
            worth = say.mass(each.amount / _grams_for_one(wanted, have))
            return (
                f"{held}: not counted, since it is another form; it does the work of {worth} of "
                f"{wanted.name}. Say --have '{have.name}' to weigh that form instead."
            )
    return f"{held}: nothing here needs it."


def _grams_for_one(wanted: Form, have: Form) -> float:
    return in_place_of(wanted, 1.0, have).mass_g


def _of_baths(sheets: Sequence[Sheet], say: UnitSystem) -> Iterator[str]:
    """What the list leaves out, and what may be on it once too often."""
    baths = [bath for sheet in sheets for bath in sheet.baths if not is_water(bath.name)]
    for bath in baths:
        if bath.ready:
            yield f"{bath.name} is kept, and serves: nothing is bought for it."
        elif not bath.recipe:
            volume = say.volume(bath.volume_ml)
            yield f"{bath.name}, {volume} of it: no recipe is known, so what it takes is not here."
    spooned = (item.what for bath in baths for item in bath.items if item.within_g)
    for what in dict.fromkeys(spooned):
        yield f"{what}: as much as its spoons may hold at most."
    mixed = [bath.name for bath in baths if bath.used_again and not bath.ready]
    for name in dict.fromkeys(name for name in mixed if mixed.count(name) > 1):
        yield f"{name} is counted for each plan, though it may be used again."
