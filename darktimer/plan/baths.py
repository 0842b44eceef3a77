"""What a step's bath is called, and when two names mean one bath.

Everything that names a bath asks here: the bench sheet, the card, the journal, baths kept for
another evening. A plan need not name a bath; then it has the name of its step's kind.
"""

import re
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Final, TypeVar

if TYPE_CHECKING:  # the journal asks for names where no plan is loaded
    from darktimer.plan.steps import AnyStep

WATER: Final = "water"
RUNNING: Final = "running water"
WATER_KINDS: Final = ("soak", "rinse", "wash")
_NOT_A_BATH: Final = ("load", "wait", "put away", "step", "expose")
_GAPS: Final = re.compile(r"[\s_,.;:'\"()-]+")

_Kept = TypeVar("_Kept")


def bath_name(step: "AnyStep") -> str:
    """The bath's name as the plan writes it, or that of its kind; empty where there is no bath."""
    if step.bath:
        return step.bath
    if step.kind in _NOT_A_BATH:
        return ""
    if step.kind in WATER_KINDS:
        return RUNNING if getattr(step, "running", False) else WATER
    return step.title


def bath_key(name: str) -> str:
    """What two names have in common that mean one bath: "Plain  Fixer" and "plain-fixer" are one.

    Case, gaps and stops do not tell baths apart, nor does a hyphen in place of a gap, since the
    file of a recipe is named so. A plus does: "A" and "A+" are two.
    """
    return _GAPS.sub("-", name.casefold()).strip("-")


def is_water(name: str) -> bool:
    """Whether a bath of that name is plain water, standing or running."""
    return bath_key(name) in (WATER, bath_key(RUNNING))


def vessel(step: "AnyStep") -> tuple[str, str]:
    """What steps have in common that are done in one vessel.

    Plain water stands wherever it is used; any other bath stands once.
    """
    name = bath_name(step)
    return bath_key(name), step.called if is_water(name) else ""


def places(steps: "Iterable[AnyStep]") -> list[int]:
    """The place of each step's vessel, 1 for the first from the left; 0 where there is no bath."""
    vessels: dict[tuple[str, str], int] = {}
    return [
        vessels.setdefault(vessel(step), len(vessels) + 1) if bath_name(step) else 0
        for step in steps
    ]


def of_bath(step: "AnyStep", by_key: Mapping[str, _Kept]) -> _Kept | None:
    """What a mapping by `bath_key` holds for the bath of ``step``."""
    return by_key.get(bath_key(bath_name(step)))
