"""What to buy for the sheets of one plan or more: totals, packs, less what the cupboard holds.

Knows sheets and packs. A form of a substance is bought as the sheets weigh it: another form in the
cupboard is told of, and never counted.
"""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil
from typing import Final, NamedTuple

from darktimer import units
from darktimer.bench.bath_sheet import BathSheet
from darktimer.bench.bench_error import BenchError
from darktimer.bench.dry_amount import dry_amount
from darktimer.bench.replacement import replace as in_place_of
from darktimer.bench.sheet import Sheet
from darktimer.bench.substances import FORMS, Form, form_or_none
from darktimer.bench.unit_system import METRIC, UnitSystem, figures
from darktimer.document.section import one_of
from darktimer.errors import UnreadableError
from darktimer.plan.baths import bath_key, is_water

_MET_EXACTLY: Final = 1e-9  # three packs of 0.1 kg hold 300 g, whatever the last bit says
_TABLETS: Final = " tablets of "

_Key = tuple[str, str]


class InStock(NamedTuple):
    """So much of something in the cupboard, at the least; ``measure`` is "g" or "ml"."""

    name: str
    amount: float
    measure: str


@dataclass(frozen=True, slots=True)
class Purchase:
    """One thing, in grams or ml as ``measure`` says: what is needed, at most where that is open.

    ``tablet_g`` is what one of its tablets holds, which are bought whole; else 0. ``pack`` is None
    where nobody knows how it is sold; then ``packs`` is 0 too, and ``to_buy`` is bought loose.
    ``left_over`` is what will be in the cupboard afterwards.
    """

    what: str
    measure: str
    needed: float
    pack: float | None = None
    in_stock: float = 0.0
    tablet_g: float = 0.0

    @property
    def to_buy(self) -> float:
        """What is missing."""
        missing = max(0.0, self.needed - self.in_stock)
        return _fewest(missing, self.tablet_g) * self.tablet_g if self.tablet_g else missing

    @property
    def packs(self) -> int:
        """The fewest packs that hold what is missing."""
        return _fewest(self.to_buy, self.pack) if self.pack else 0

    @property
    def left_over(self) -> float:
        """What nothing is weighed of."""
        bought = self.packs * self.pack if self.pack else self.to_buy
        return max(0.0, self.in_stock + bought - self.needed)

    def said(self, amount: float, say: UnitSystem) -> str:
        """An amount of it in words."""
        if self.tablet_g:
            number = figures(amount / self.tablet_g)
            return f"{number} tablet{'' if number == '1' else 's'}"
        return say.mass(amount) if self.measure == "g" else say.volume(amount)


def _fewest(amount: float, each: float) -> int:
    return ceil(amount / each - _MET_EXACTLY)


@dataclass(frozen=True, slots=True)
class Shopping:
    """The list for all plans together, and what it cannot say or does not count."""

    plans: tuple[str, ...]
    lines: tuple[Purchase, ...]
    notes: tuple[str, ...]


def in_stock(text: str) -> InStock:
    """``sodium carbonate anhydrous=300 g``, ``vitamin c=30 x 500 mg``; raises `UnreadableError`."""
    name, equals, amount = (part.strip() for part in text.rpartition("="))
    if not (equals and name):
        remedy = "write such as 'sodium carbonate anhydrous=300 g'"
        raise UnreadableError(f"{units.shown(text)} is not a name and an amount", remedy)
    if units.has_unit_of_volume(amount):
        return InStock(name, units.volume_ml(amount), "ml")
    dry = dry_amount(amount)
    if dry.unit == "tablet":
        name = _in_tablets(re.sub(r"\s+tablets?(\s+of\b.*)?$", "", name), dry.each_g)
    return InStock(name, dry.g - dry.within_g, "g")


def _in_tablets(name: str, each_g: float) -> str:
    return f"{name}{_TABLETS}{METRIC.mass(each_g)}"


def shopping(
    sheets: Sequence[Sheet], stock: Iterable[InStock], say: UnitSystem = METRIC
) -> Shopping:
    """What ``sheets`` need in all, less ``stock``.

    Raises `BenchError` for something in stock that nobody knows, or that is measured otherwise.
    """
    bought = [each for sheet in sheets for bath in sheet.baths for each in _lines_of(bath)]
    lines, notes = _totals(bought), list[str]()
    for each in stock:
        key = _key(each.name, each.measure)
        if key not in lines:
            each = _by_its_form(each)
            key = _key(each.name, each.measure)
        if key in lines:
            lines[key] = replace(lines[key], in_stock=lines[key].in_stock + each.amount)
        else:
            notes.append(_uncounted(each, tuple(lines.values()), say))
    notes += (*_of_packs(bought, lines, say), *_of_baths(sheets, say))
    return Shopping(tuple(each.title for each in sheets), tuple(lines.values()), tuple(notes))


def _key(name: str, measure: str) -> _Key:
    """What entries have in common that are one line: however it is written, in one measure."""
    return bath_key(name), measure


def _totals(bought: Iterable[Purchase]) -> dict[_Key, Purchase]:
    lines: dict[_Key, Purchase] = {}
    for new in bought:
        key = _key(new.what, new.measure)
        old = lines.get(key, replace(new, needed=0.0))
        lines[key] = replace(old, needed=old.needed + new.needed, pack=old.pack or new.pack)
    return lines


def _lines_of(bath: BathSheet) -> Iterator[Purchase]:
    """What a bath uses up; by way of a stock solution that is more than goes into it."""
    if bath.stock_ml and not bath.items:
        yield Purchase(bath.recipe, "ml", bath.stock_ml, bath.pack_ml)
    for item in bath.items:
        if item.volume_ml is not None:
            yield Purchase(item.what, "ml", item.volume_ml, item.pack)
        elif item.counted and item.counted.unit == "tablet":
            each_g = item.counted.each_g
            what, most_g = _in_tablets(item.what, each_g), item.counted.g + item.within_g
            yield Purchase(what, "g", most_g, item.pack, tablet_g=each_g)
        elif item.mass_g is not None:
            used_g = item.stock.weighed_g if item.stock else item.mass_g + item.within_g
            yield Purchase(item.what, "g", used_g, item.pack)


def _by_its_form(each: InStock) -> InStock:
    """By the one name that the form has on every sheet, where it is one: soda ash."""
    name, more = _parted(each.name)
    form = form_or_none(name)
    return each._replace(name=f"{form.name}{more}") if form else each


def _parted(what: str) -> tuple[str, str]:
    """What it is, and how it comes: in tablets, or as no more than a share of it."""
    name = re.split(r" tablets of | \(", what)[0]
    return name, what.removeprefix(name)


def _uncounted(each: InStock, lines: Sequence[Purchase], say: UnitSystem) -> str:
    have = FORMS.get(_parted(each.name)[0])
    if other := next((ln for ln in lines if bath_key(ln.what) == bath_key(each.name)), None):
        measured, meant = ("poured", "mass") if other.measure == "ml" else ("weighed", "volume")
        found = f"{other.what} is {measured}, and this is a {meant}"
        raise BenchError("in stock", found, f"write it in {other.measure}")
    if not have or each.measure == "ml":
        remedy = one_of(each.name.lower(), [line.what for line in lines])
        raise BenchError("in stock", f"nothing here is called {each.name!r}", remedy)
    held = f"{say.mass(each.amount)} of {each.name} in stock"
    forms = [(line.what, FORMS.get(_parted(line.what)[0])) for line in lines]
    if like := next((what for what, form in forms if form == have), ""):
        return f"{held}: not counted, since the list has {like}; say '{like}=...' if it is that."
    if wanted := next((form for _, form in forms if form and form.acts == have.acts), None):
        return (
            f"{held}: not counted, since it is another form; {_worth(each, have, wanted, say)}. "
            f"Say --have '{have.name}' to weigh that form instead."
        )
    return f"{held}: nothing here needs it."


def _worth(each: InStock, have: Form, wanted: Form, say: UnitSystem) -> str:
    """How much of the other form it is worth, where anybody knows."""
    if caveat := have.caveat or wanted.caveat:
        return caveat
    worth_g = each.amount / in_place_of(wanted, 1.0, have).mass_g
    return f"it does the work of {say.mass(worth_g)} of {wanted.name}"


def _of_packs(
    bought: Sequence[Purchase], lines: Mapping[_Key, Purchase], say: UnitSystem
) -> Iterator[str]:
    """What comes in packs of several sizes, of which the list counts one."""
    for key, line in lines.items():
        packs = [each.pack for each in bought if each.pack and _key(each.what, each.measure) == key]
        sizes = [line.said(pack, say) for pack in dict.fromkeys(packs)]
        if len(sizes) > 1:
            yield f"{line.what} comes in {' and in '.join(sizes)}: counted in the first."


def _of_baths(sheets: Sequence[Sheet], say: UnitSystem) -> Iterator[str]:
    """What the list leaves out, and what may be on it once too often."""
    baths = [bath for sheet in sheets for bath in sheet.baths if not is_water(bath.name)]
    for bath in baths:
        if bath.ready:
            yield f"{bath.name} is kept and still good: nothing is bought for it."
        elif not bath.recipe:
            volume = say.volume(bath.volume_ml)
            needs = "no recipe is known, so its ingredients are not on the list"
            yield f"{bath.name}, {volume} of it: {needs}."
    unsure = (item.what for bath in baths for item in bath.items if item.within_g)
    for what in dict.fromkeys(unsure):
        yield f"{what}: its amount is uncertain; the most that it may be is counted."
    mixed = [bath.name for bath in baths if bath.used_again and not bath.ready]
    for name in dict.fromkeys(name for name in mixed if mixed.count(name) > 1):
        yield f"{name} is counted for each plan, though it may be used again."
