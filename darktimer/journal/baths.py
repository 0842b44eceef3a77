"""Baths that are used again: what went through them, and whether they may be used on.

A bath has a name, a volume and a birthday; a capacity and a keeping time where they are known. It
is discarded once, and its name is free again. Areas are square metres of film.
"""

from collections import defaultdict
from math import fsum
from typing import Final, NamedTuple
from uuid import uuid4

from darktimer.journal.bath_use import BathNote, add_note
from darktimer.journal.clocks import read_clocks
from darktimer.journal.connection import insert
from darktimer.journal.journal import Journal
from darktimer.journal.refusal import JournalError
from darktimer.plan.baths import bath_key
from darktimer.units import clock

DAY_MS: Final = 86_400_000


class KeptBath(NamedTuple):
    """A bath with all its notes, the oldest first. ``capacity_m2`` is that of the whole bath."""

    number: int
    key: str
    name: str
    volume_ml: float
    born_utc_ms: int
    keeps_ms: int | None
    capacity_m2: float | None
    discarded_utc_ms: int | None
    notes: tuple[BathNote, ...] = ()

    @property
    def used_m2(self) -> float:
        """The film known to have gone through."""
        return fsum(note.area_m2 or 0.0 for note in self.notes)

    @property
    def left_m2(self) -> float | None:
        """What capacity is left, to the square millimetre; None where the capacity is not known."""
        if self.capacity_m2 is None:
            return None
        return max(0.0, round(self.capacity_m2 - self.used_m2, 6))

    @property
    def clearing_ms(self) -> tuple[int, ...]:
        """The clearing times noted, the oldest first; the last one rules for the next film."""
        return tuple(note.clearing_ms for note in self.notes if note.clearing_ms is not None)

    def reasons_to_discard(self, now_utc_ms: int) -> list[str]:
        """Why the bath should not be used on; empty where nothing speaks against it."""
        return [reason for reason in (self._spent(), self._old(now_utc_ms), self._slow()) if reason]

    def unknown(self) -> list[str]:
        """What is not known of the bath, and would have to be to judge it."""
        unknown = sum(note.clearing_ms is None and note.area_m2 is None for note in self.notes)
        return [f"{unknown} x film of unknown area went through"] if unknown else []

    def _spent(self) -> str:
        if self.capacity_m2 is None or self.left_m2:
            return ""
        return f"its capacity of {self.capacity_m2:.3g} m2 of film is used up"

    def _old(self, now_utc_ms: int) -> str:
        if self.keeps_ms is None or now_utc_ms - self.born_utc_ms <= self.keeps_ms:
            return ""
        age_days = (now_utc_ms - self.born_utc_ms) // DAY_MS
        return f"it is {age_days} days old and keeps {self.keeps_ms / DAY_MS:g}"

    def _slow(self) -> str:
        """Throw the fixer out when the clearing time has doubled: Navy training manual 14209.

        A shorter time noted later is another film, or a slip: the bath got no younger by it.
        """
        if not self.clearing_ms:
            return ""
        first, longest = next(iter(self.clearing_ms)), max(self.clearing_ms)
        if longest < 2 * first:
            return ""
        return f"its clearing time has doubled, from {clock(first)} to {clock(longest)}"


def all_baths(journal: Journal, *, discarded: bool = False) -> list[KeptBath]:
    """The baths in use, and also those discarded if that is asked for, in order of their birth."""
    which = "" if discarded else "WHERE discarded_utc_ms IS NULL"
    columns = ", ".join(KeptBath._fields[:-1])
    baths = journal.store.rows("baths", columns, f"{which} ORDER BY born_utc_ms")
    columns, notes = ", ".join(BathNote._fields), defaultdict[int, list[BathNote]](list)
    for bath, *note in journal.store.rows("bath_notes", f"bath, {columns}", "ORDER BY number"):
        notes[bath].append(BathNote(*note))
    return [KeptBath._make((*bath, tuple(notes[bath[0]]))) for bath in baths]


def bath_named(journal: Journal, name: str) -> KeptBath:
    """The bath in use of that name; raises `JournalError` that lists those there are."""
    found = all_baths(journal)
    for bath in found:
        if bath_key(bath.name) == bath_key(name):
            return bath
    listed = ", ".join(repr(bath.name) for bath in found)
    remedy = f"in use: {listed}" if found else "begin it with darktimer baths begin"
    raise JournalError(journal.store.path, f"no bath {name!r} is in use", remedy)


def begin_bath(
    journal: Journal,
    name: str,
    volume_ml: float,
    born_utc_ms: int,
    keeps_ms: int | None = None,
    capacity_m2: float | None = None,
) -> KeptBath:
    """Begins a bath; raises `JournalError` where one of that name is in use."""
    if any(bath_key(bath.name) == bath_key(name) for bath in all_baths(journal)):
        found = f"a bath {name!r} is in use already"
        raise JournalError(journal.store.path, found, "discard it first, or take another name")
    plain = " ".join(name.split())  # as plans give it
    if not plain:
        raise JournalError(journal.store.path, "the bath has no name", "give it one")
    values = uuid4().hex, plain, volume_ml, born_utc_ms, keeps_ms, capacity_m2
    row = dict(zip(KeptBath._fields[1:], values, strict=False))
    journal.store.write(lambda connection: insert(connection, "baths", row))
    return bath_named(journal, name)


def note_use(journal: Journal, name: str, area_m2: float) -> KeptBath:
    """Notes film that went through a bath without a run of this program."""
    return _noted(journal, name, BathNote(read_clocks().wall_utc_ms, None, area_m2, None))


def note_clearing(journal: Journal, name: str, clearing_ms: int) -> KeptBath:
    """Notes the time in which a scrap of film cleared in a bath."""
    return _noted(journal, name, BathNote(read_clocks().wall_utc_ms, None, None, clearing_ms))


def _noted(journal: Journal, name: str, note: BathNote) -> KeptBath:
    bath = bath_named(journal, name)
    journal.store.write(lambda connection: add_note(connection, bath.number, note))
    return bath_named(journal, name)


def discard(journal: Journal, name: str) -> KeptBath:
    """Notes that a bath was thrown out; its name is free again."""
    bath, now = bath_named(journal, name), read_clocks().wall_utc_ms
    sql = "UPDATE baths SET discarded_utc_ms = ? WHERE number = ?"
    journal.store.write(lambda connection: connection.execute(sql, (now, bath.number)))
    return bath._replace(discarded_utc_ms=now)
