"""How a roll turned out, in words and on a scale from -2 to +2, added when it is known.

Results are only ever added. What stands of a run is the latest figure of each kind, and all the
notes and photographs.
"""

import json
from collections.abc import Iterator
from functools import lru_cache
from typing import Any, Final, NamedTuple

from darktimer.journal.clocks import read_clocks
from darktimer.journal.connection import append
from darktimer.journal.journal import Journal
from darktimer.journal.refusal import JournalError
from darktimer.journal.runs import Run

#: What the figures from -2 to +2 mean, in the darkroom's words. 0 is as it should be.
SCALES: Final[dict[str, tuple[str, str, str, str, str]]] = {
    "density": ("far too thin", "thin", "right", "dense", "far too dense"),
    "contrast": ("far too flat", "flat", "normal", "contrasty", "far too contrasty"),
    "evenness": ("streaked", "uneven", "even", "very even", "flawless"),
    "grain": ("hardly any", "fine", "usual", "coarse", "very coarse"),
    "fog": ("none", "little", "usual for the film", "fogged", "heavily fogged"),
}


class RunPart(NamedTuple):
    """What of a run a result is of: one film or one piece of it, counted from 1, or all of it."""

    film: int | None = None
    piece: int | None = None

    @property
    def name(self) -> str:
        """What it is called: ``film 1``, ``piece 2``, empty for all of a run."""
        return ", ".join(f"{what} {number}" for what, number in self._asdict().items() if number)

    def of(self, run: int) -> str:
        """What it is called with its run: ``run 12, piece 2``."""
        return ", ".join(filter(None, (f"run {run}", self.name)))


#: All of a run.
WHOLE: Final = RunPart()


class Result(NamedTuple):
    """How a run turned out. Figures are from -2 to +2, None where nothing is known.

    ``celsius`` is what the developer was measured at. ``kept`` is 1 for the one to do again, 0 for
    one that is no longer so. ``densities`` and ``exposures`` are readings as JSON, or empty.
    """

    density: int | None = None
    contrast: int | None = None
    evenness: int | None = None
    grain: int | None = None
    fog: int | None = None
    celsius: float | None = None
    usable_for: str = ""
    notes: str = ""
    photographs: tuple[str, ...] = ()
    kept: int | None = None
    densities: str = ""
    exposures: str = ""

    def as_json(self) -> dict[str, Any]:
        """For scripts: readings as figures, with all that was given of them; None where none are.

        ``densities``, ``base_fog`` and ``uncertainty``; ``exposures`` of a tablet are its words.
        """
        if not self.densities:
            return self._asdict() | _UNREAD
        exposures = json.loads(self.exposures)
        return {**self._asdict(), **json.loads(self.densities), "exposures": exposures}

    def figure(self, scale: str) -> int:
        """The figure of a scale; 0, as it should be, where nothing is known."""
        value: int | None = getattr(self, scale)
        return value or 0

    def words(self) -> list[str]:
        """The figures in words, such as ``density +1 (dense)``, and whether it is kept."""
        values = ((scale, getattr(self, scale)) for scale in SCALES)
        figures = [_in_words(scale, value) for scale, value in values if value is not None]
        return [*figures, *(["kept as the one to repeat"] if self.kept else [])]

    def lines(self) -> Iterator[str]:
        """Everything a person said, the figures in words."""
        yield from self.words()
        if self.usable_for:
            yield f"good for {self.usable_for}"
        yield from filter(None, self.notes.splitlines())
        yield from self.photographs


_UNREAD: Final = dict.fromkeys(("densities", "exposures", "base_fog", "uncertainty"))
_PHOTOGRAPHS: Final = Result._fields.index("photographs")


def word(scale: str, value: int) -> str:
    """The word for a figure of a scale."""
    return SCALES[scale][value + 2]


def figure(scale: str, text: str) -> int:
    """The figure meant by ``+1``, ``-2``, ``0`` or one of the scale's words.

    Raises `ValueError`, whose text names what may be written.
    """
    wanted = " ".join(text.lower().split())
    for value, name in enumerate(SCALES[scale], start=-2):
        if wanted in (name, str(value), f"{value:+d}"):
            return value
    raise ValueError(f"{text!r} is not on the scale of {scale}; write {written_scale(scale)}")


def written_scale(scale: str) -> str:
    """A scale with its words: ``-2 far too thin, -1 thin, 0 right, ...``."""
    figures = ("-2", "-1", "0", "+1", "+2")
    return ", ".join(map(" ".join, zip(figures, SCALES[scale], strict=True)))


def part_of(run: Run, part: RunPart) -> RunPart:
    """The part that is meant: its only film is all of a run.

    Raises `JournalError` for a film or a piece that a run has not.
    """
    for what, number, there in (("film", part.film, run.films), ("piece", part.piece, run.pieces)):
        if number and not 1 <= number <= len(there):
            several = len(there) > 1
            has = f"{what} 1 to {what} {len(there)}" if several else f"no {what}s of its own"
            remedy = f"name one of those by --{what}" if several else f"leave --{what} out"
            raise JournalError(f"run {run.number}", f"it has {has}, not {what} {number}", remedy)
    return part if len(run.films) > 1 else part._replace(film=None)


def add_result(journal: Journal, run: int, result: Result, part: RunPart = WHOLE) -> None:
    """Adds what is known of a run, or of a part; raises `JournalError` where there is no run."""
    journal.run(run)
    if result == Result():
        found, remedy = "no result was given", "give at least one of the options"
        raise JournalError(f"run {run}", found, remedy)
    row = result_row(run, result, read_clocks().wall_utc_ms, part)
    journal.store.write(lambda connection: append(connection, "results", row))


def result_row(
    run: int, result: Result, added_utc_ms: int, part: RunPart = WHOLE
) -> dict[str, Any]:
    """The columns that keep what was added to a run, or to a part of it, at a moment."""
    photographs = json.dumps(result.photographs, ensure_ascii=False)
    row = {"run": run, "added_utc_ms": added_utc_ms, **part._asdict(), **result._asdict()}
    return row | {"photographs": photographs}


def result_of(journal: Journal, run: int, part: RunPart = WHOLE) -> Result:
    """What stands of the result of a run, or of a part of it alone."""
    return results_of(journal, run, run).get(run, {}).get(part, Result())


def results_of(journal: Journal, first: int, last: int) -> dict[int, dict[RunPart, Result]]:
    """What stands of the results of the runs from ``first`` to ``last``, by run and its part."""
    columns = f"run, film, piece, {', '.join(Result._fields)}"
    which = "WHERE run BETWEEN ? AND ? ORDER BY run, number"
    found: dict[int, dict[RunPart, Result]] = {}
    for run, film, piece, *row in journal.store.rows("results", columns, which, (first, last)):
        of_run, part = found.setdefault(run, {}), RunPart(film, piece)
        row[_PHOTOGRAPHS] = _listed(row[_PHOTOGRAPHS])
        result = Result._make(row)
        of_run[part] = joined(of_run[part], result) if part in of_run else result
    return found


@lru_cache  # of ten thousand results most say the same
def _in_words(scale: str, value: int) -> str:
    return f"{scale} {value:+d} ({word(scale, value)})" if value else f"{scale} {word(scale, 0)}"


@lru_cache(16)  # of ten thousand results most have none
def _listed(photographs: str) -> tuple[str, ...]:
    return tuple(json.loads(photographs))


def joined(earlier: Result, later: Result) -> Result:
    """The latest of each figure and use, and notes and photographs one after another."""
    latest = {name: value for name, value in later._asdict().items() if value not in (None, "")}
    return earlier._replace(**latest)._replace(
        notes="\n".join(filter(None, (earlier.notes, later.notes))),
        photographs=(*earlier.photographs, *later.photographs),
    )
