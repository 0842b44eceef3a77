"""The user's journal opened, and what baths kept from another evening say against a plan.

The journal knows the bath, the plan knows what it is for. Who only looks begins no journal.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING

from darktimer.errors import Finding
from darktimer.plan.baths import bath_key, of_bath
from darktimer.terminal.text import complain

if TYPE_CHECKING:  # the journal alone needs no plan
    from darktimer.journal.baths import KeptBath
    from darktimer.journal.journal import Journal
    from darktimer.journal.runs import Run
    from darktimer.plan.model import Plan


@contextmanager
def journal() -> "Iterator[Journal]":
    """The user's journal; what became of its file is said on the error stream."""
    from darktimer.journal.journal import Journal

    opened = Journal.open()
    try:
        yield opened
    finally:
        opened.close()
        for notice in opened.notices:
            complain(notice)


def baths_in_use() -> "list[KeptBath]":
    """The baths in use by the journal; none where there is no journal."""
    from darktimer.journal.folder import journal_is_begun

    if not journal_is_begun():
        return []
    from darktimer.journal.baths import all_baths

    with journal() as opened:
        return all_baths(opened)


def latest_runs() -> "list[Run]":
    """The latest runs in the journal, the last first; none where there is no journal."""
    from darktimer.journal.folder import journal_is_begun

    if not journal_is_begun():
        return []
    with journal() as opened:
        return opened.runs("ORDER BY number DESC LIMIT 20")


def last_cleared_ms(baths: "Sequence[KeptBath]") -> dict[str, int]:
    """The clearing time last noted for each bath that has one, by its key."""
    return {bath_key(bath.name): bath.clearing_ms[-1] for bath in baths if bath.clearing_ms}


def against(plan: "Plan", baths: "Sequence[KeptBath]") -> Iterator[Finding]:
    """Why baths that ``plan`` uses are not to be used on, at the first step of each."""
    from darktimer.journal.clocks import read_clocks

    now, left = read_clocks().wall_utc_ms, {bath_key(bath.name): bath for bath in baths}
    for index, step in enumerate(plan.steps):
        bath = of_bath(step, left)
        if bath is None:
            continue
        del left[bath_key(bath.name)]
        if reasons := bath.reasons_to_discard(now):
            found = f"{bath.name} is kept, but not to be used: {'; '.join(reasons)}"
            remedy = f'mix it fresh, and write: darktimer baths discard "{bath.name}"'
            yield Finding(("steps", index, step.kind), found, remedy)
