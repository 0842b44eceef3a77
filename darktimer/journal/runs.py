"""A run: what was begun, with which plan and film, and how it ended; and the row that keeps it."""

import json
from typing import Any, Final, Literal, NamedTuple
from uuid import uuid4

from darktimer.journal import films
from darktimer.journal.clocks import Reading
from darktimer.journal.films import Development, RunFilm, RunPiece
from darktimer.journal.store import Row
from darktimer.plan.kinds import kind_called
from darktimer.process.timeline import Cue, FilmPiece, Span, Step, Timeline

RunState = Literal["unfinished", "finished", "aborted"]

FINISHED: Final = "finished"
ABORTED: Final = "aborted"

#: The columns that `run_of` reads.
COLUMNS: Final = (
    "number, key, started_utc_ms, started_boot_ms, boot_id, title, planned_ms, plan_source, "
    "cue_set, light, film, film_area_m2, baths, bases, films, pieces, developments, state, "
    "ended_utc_ms, exit, entered_utc_ms"
)


class Basis(NamedTuple):
    """What the time of a develop rests on, as it was known when the run began.

    ``written_ms`` stands in the plan for ``for_celsius``; ``carried_ms`` is what was to be carried
    out in a bath that begins at ``celsius``, None where the plan gives no temperature. ``adjust``
    is what the plan asks for, or empty; ``constant_ms`` is 0 where nothing tells how the bath
    drifts; ``doubt`` is what speaks against the activation energy. ``source`` is the step's index
    in the plan.
    """

    source: int
    written_ms: int
    carried_ms: int
    adjust: str = ""
    for_celsius: float = 0.0
    celsius: float | None = None
    kj_per_mol: float = 0.0
    doubt: str = ""
    room_celsius: float | None = None
    constant_ms: float = 0.0


class RunStart(NamedTuple):
    """Everything that is known when a run begins.

    ``baths`` names the bath of each step of the timeline, empty where it has none.
    ``bases`` holds what the time of each develop rests on, where the plan gives a temperature.
    ``developments`` holds each develop, in order; where pieces have their own times, ``pieces``
    hold those. ``started`` is the run's first moment, from which its events are counted.
    """

    plan_source: str
    plan_text: str
    cue_set: str
    timeline: Timeline
    light: str
    film: str
    baths: tuple[str, ...]
    film_area_m2: float | None
    started: Reading
    bases: tuple[Basis, ...] = ()
    films: tuple[RunFilm, ...] = ()
    pieces: tuple[RunPiece, ...] = ()
    developments: tuple[Development, ...] = ()

    def row(self) -> dict[str, Any]:
        """The row of the run, with its texts in place of their numbers."""
        return {
            "number": None,
            "key": uuid4().hex,
            "started_utc_ms": self.started.wall_utc_ms,
            "started_boot_ms": self.started.boot_ms,
            "boot_id": self.started.boot_id,
            "title": self.timeline.title,
            "planned_ms": self.timeline.duration_ms,
            "plan_source": self.plan_source,
            "plan": self.plan_text,
            "cue_set": self.cue_set,
            "timeline": _json({**self.timeline.as_json(), "outside": self.timeline.outside}),
            "light": self.light,
            "film": self.film,
            "film_area_m2": self.film_area_m2,
            "baths": _json(self.baths),
            "bases": films.written(self.bases),
            "films": films.written(self.films),
            "pieces": films.written(self.pieces),
            "developments": films.written(self.developments),
            "state": "unfinished",
        }


class Run(NamedTuple):
    """A run as it stands in the journal, without its plan, timeline and events.

    ``developments`` of a run of an earlier version are empty until they are looked up.
    ``entered_utc_ms`` is when a person entered it afterwards; None where this program led it.
    """

    number: int
    key: str
    started: Reading
    title: str
    planned_ms: int
    plan_source: str
    cue_set: str
    light: str
    film: str
    film_area_m2: float | None
    baths: tuple[str, ...]
    bases: tuple[Basis, ...]
    films: tuple[RunFilm, ...]
    pieces: tuple[RunPiece, ...]
    developments: tuple[Development, ...]
    state: RunState
    ended_utc_ms: int | None
    exit: int | None
    entered_utc_ms: int | None = None

    @property
    def films_named(self) -> str:
        """Its films in words; empty where none is known."""
        return " and ".join(film.named for film in self.films)


def run_of(row: Row) -> Run:
    """The run of a row's `COLUMNS`."""
    number, key, *clocks = row[:5]
    *middle, film, area_m2, baths, bases, of_films, pieces, developments = row[5:-4]
    lists = (
        tuple(json.loads(baths)),
        films.read(Basis, bases),
        films.films_of(of_films, film, area_m2),
        films.read(RunPiece, pieces),
        films.read(Development, developments),
    )
    return Run._make((number, key, Reading(*clocks), *middle, film, area_m2, *lists, *row[-4:]))


def timeline_of(text: str) -> Timeline:
    """A timeline from the JSON that was kept of it."""
    raw: dict[str, Any] = json.loads(text)
    return Timeline(
        raw["title"],
        raw["duration_ms"],
        tuple(Step(**{**step, "kind": kind_called(step["kind"])}) for step in raw["steps"]),
        tuple(Span(**span) for span in raw["spans"]),
        tuple(Cue(**cue) for cue in raw["cues"]),
        tuple(raw["notes"]),
        tuple(raw.get("outside", ())),  # earlier versions did not keep it
        tuple(FilmPiece(**piece) for piece in raw.get("pieces", ())),
    )


def _json(content: Any) -> str:
    return json.dumps(content, ensure_ascii=False, separators=(",", ":"))
