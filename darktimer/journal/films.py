"""What a run was of: its films, the pieces cut of them, and its develops, as a row keeps them."""

import json
from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Any, NamedTuple, TypeVar


class RunFilm(NamedTuple):
    """A film as its plan names it. Text is empty where nothing is said.

    ``words`` say how much of which ``format``; ``area_m2`` is None where that does not tell it.
    """

    stock: str = ""
    exposed_at: str = ""
    note: str = ""
    format: str = ""
    words: str = ""
    area_m2: float | None = None

    @property
    def named(self) -> str:
        """How much of which film, exposed how: ``120 meadow 100 at 200/24°``."""
        at = self.exposed_at and f"at {self.exposed_at}"
        return " ".join(filter(None, (self.words, self.stock, at)))


class RunPiece(NamedTuple):
    """A piece that was developed for a time of its own.

    ``source`` is the index of its develop in the plan, None where that is not kept; ``early`` where
    it leaves before others do, which a late change does not touch. ``agitation`` is empty where it
    is moved as its develop says.
    """

    develop_ms: int
    source: int | None = None
    early: bool = False
    agitation: str = ""


class Development(NamedTuple):
    """One develop: for how long, moved how, in a bath of which temperature where that is said."""

    developer: str
    time_ms: int
    agitation: str = ""
    celsius: float | None = None


_Kept = TypeVar("_Kept")


def written(parts: Sequence[Any]) -> str:
    """The JSON that a row keeps."""
    return json.dumps([each._asdict() for each in parts], ensure_ascii=False, separators=(",", ":"))


@lru_cache(256)  # of ten thousand runs most say the same
def read(kind: Callable[..., _Kept], text: str) -> tuple[_Kept, ...]:
    """What `written` wrote; nothing of an empty text, as runs of earlier versions have."""
    return tuple(kind(**each) for each in json.loads(text or "[]"))


def films_of(text: str, words: str, area_m2: float | None) -> tuple[RunFilm, ...]:
    """The films that a run's row keeps, or what earlier versions kept of them."""
    return read(RunFilm, text) if text else film_called(words, area_m2)


def developer_of(developments: Sequence[Development]) -> str:
    """The developer, or several one after another; empty where there is none."""
    return " then ".join(dict.fromkeys(each.developer for each in developments))


def film_called(words: str, area_m2: float | None) -> tuple[RunFilm, ...]:
    """The film of a run of an earlier version, which kept only ``24.4 m of 16 mm`` and an area."""
    film_format = words.rpartition(" of ")[2].partition(" x ")
    film = RunFilm(format=film_format[2] or film_format[0], words=words, area_m2=area_m2)
    return (film,) if words else ()
