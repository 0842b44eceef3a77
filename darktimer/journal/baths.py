"""Baths that are used again: what went through them, and whether they may be used on.

A bath has a name, a volume and a birthday; a capacity and a keeping time where they are known. It
is discarded once, and its name is free again. Areas are square metres of film.
"""

from math import fsum
from typing import Final, NamedTuple
from uuid import uuid4

from darktimer.journal.bath_use import add_note
from darktimer.journal.clocks import read_clocks
from darktimer.journal.journal import Journal
from darktimer.journal.refusal import JournalError
from darktimer.plan.baths import bath_key
from darktimer.units import clock

DAY_MS: Final = 86_400_000

_COLUMNS: Final = (
    "number, key, name, volume_ml, born_utc_ms, keeps_ms, capacity_m2, discarded_utc_ms"
)


class BathNote(NamedTuple):
    """Film that went through a bath (its area unknown where None), or a clearing time."""

    at_utc_ms: int
    run: int | None
    area_m2: float | None
    clearing_ms: int | None


class Bath(NamedTuple):
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

    def doubts(self) -> list[str]:
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
        first, longest = self.clearing_ms[:1], max(self.clearing_ms, default=0)
        if not first or longest < 2 * first[0]:
            return ""
        return f"its clearing time has doubled, from {clock(first[0])} to {clock(longest)}"


def all_baths(journal: Journal, *, discarded: bool = False) -> list[Bath]:
    """The baths in use, and also those discarded if that is asked for, in order of their birth."""
    condition = "" if discarded else "WHERE discarded_utc_ms IS NULL"
    rows = journal.store.rows("baths", _COLUMNS, f"{condition} ORDER BY born_utc_ms")
    notes: dict[int, list[BathNote]] = {}
    for bath, *note in journal.store.rows(
        "bath_notes", "bath, at_utc_ms, run, area_m2, clearing_ms", "ORDER BY bath, number"
    ):
        notes.setdefault(bath, []).append(BathNote(*note))
    return [Bath._make((*row, tuple(notes.get(row[0], ())))) for row in rows]


def bath_named(journal: Journal, name: str) -> Bath:
    """The bath in use of that name; raises `JournalError` that lists those there are."""
    found = all_baths(journal)
    for bath in found:
        if bath_key(bath.name) == bath_key(name):
            return bath
    listed = ", ".join(repr(bath.name) for bath in found)
    mend = f"in use: {listed}" if found else "begin it with darktimer baths begin"
    raise JournalError(journal.store.path, f"no bath {name!r} is in use", mend)


def begin_bath(
    journal: Journal,
    name: str,
    volume_ml: float,
    born_utc_ms: int,
    keeps_ms: int | None = None,
    capacity_m2: float | None = None,
) -> Bath:
    """Begins a bath; raises `JournalError` where one of that name is in use."""
    if any(bath_key(bath.name) == bath_key(name) for bath in all_baths(journal)):
        found = f"a bath {name!r} is in use already"
        raise JournalError(journal.store.path, found, "discard it first, or take another name")
    if not _plain(name):
        raise JournalError(journal.store.path, "the bath has no name", "give it one")
    values = (uuid4().hex, _plain(name), volume_ml, born_utc_ms, keeps_ms, capacity_m2)
    with journal.store.writing() as connection:
        connection.execute(
            "INSERT INTO baths (key, name, volume_ml, born_utc_ms, keeps_ms, capacity_m2) "
            "VALUES (?, ?, ?, ?, ?, ?)",
            values,
        )
    return bath_named(journal, name)


def note_use(journal: Journal, name: str, area_m2: float) -> Bath:
    """Notes film that went through a bath without a run of this program."""
    return _noted(journal, name, area_m2, None)


def note_clearing(journal: Journal, name: str, clearing_ms: int) -> Bath:
    """Notes the time in which a scrap of film cleared in a bath."""
    return _noted(journal, name, None, clearing_ms)


def discard(journal: Journal, name: str) -> Bath:
    """Notes that a bath was thrown out; its name is free again."""
    bath = bath_named(journal, name)
    now = read_clocks().wall_utc_ms
    with journal.store.writing() as connection:
        connection.execute(
            "UPDATE baths SET discarded_utc_ms = ? WHERE number = ?", (now, bath.number)
        )
    return bath._replace(discarded_utc_ms=now)


def _noted(journal: Journal, name: str, area_m2: float | None, clearing_ms: int | None) -> Bath:
    bath = bath_named(journal, name)
    with journal.store.writing() as connection:
        add_note(connection, bath.number, read_clocks().wall_utc_ms, None, area_m2, clearing_ms)
    return bath_named(journal, name)


def _plain(name: str) -> str:
    """A name as plans give it: words with single blanks between them."""
    return " ".join(name.split())
