"""The development time that the pieces of a run tell: by their readings, or by eye.

Times are those at the one temperature that the plan is written for, as far as that is known, with
what was late or measured counted in.
"""

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from darktimer.journal.films import RunPiece
from darktimer.journal.readings import strip_of
from darktimer.journal.results import Result, RunPart
from darktimer.journal.review import Review
from darktimer.journal.worth import worth
from darktimer.sensitometry.by_eye import Judged, by_eye
from darktimer.sensitometry.estimate import Estimate, TimeEstimate
from darktimer.sensitometry.measures import measures
from darktimer.sensitometry.refusal import SensitometryError, by_reason
from darktimer.sensitometry.strip import Strip
from darktimer.sensitometry.time_law import Piece
from darktimer.sensitometry.wanted import PICTORIAL, TimeCurve, time_curve, time_for
from darktimer.units import known_clock

_NAVY: Final = "Navy training manual, Photography (Advanced)"


class DonePart(NamedTuple):
    """A piece, or all of a run, with what came of it; ``time_ms`` None where it never developed."""

    part: RunPart
    time_ms: int | None
    result: Result

    @property
    def called(self) -> str:
        """What it is called, with its time: ``piece 2, 8:30``."""
        return f"{self.part.name or 'all'}, {self.developed}"

    @property
    def developed(self) -> str:
        """Its time, to the second; a dash where it never developed."""
        return known_clock(self.time_ms)

    @property
    def judged(self) -> bool:
        """Whether words say how dense or how contrasty it is."""
        return self.result.density is not None or self.result.contrast is not None

    @property
    def strip(self) -> Strip | None:
        """What was read of it."""
        return strip_of(self.result.densities, self.result.exposures)


class Wanted(NamedTuple):
    """A value of a measure, and who wants it; empty where the user named it."""

    measure: str
    value: float
    source: str = ""


class ProposedTime(NamedTuple):
    """A time, what tells it, and what there is to say against it."""

    by: str
    time: TimeEstimate
    caveats: tuple[str, ...] = ()


class MeasureOverTime(NamedTuple):
    """A measure over the time of pieces, and the names of those that do not bear it, with why."""

    curve: TimeCurve
    without: tuple[str, ...]


def pieces_of(found: Review) -> list[DonePart]:
    """Each piece of a run, in order."""
    return [
        _done(found, RunPart(piece=number), piece)
        for number, piece in enumerate(found.run.pieces, start=1)
    ]


def develop_of(found: Review) -> int | None:
    """The develop that pieces differ in, by its place in the plan; the first without pieces."""
    kept = (piece.source for piece in found.run.pieces if piece.source in found.bases)
    return next(kept, next(iter(found.bases), None))


def parts_of(found: Review) -> list[DonePart]:
    """Every piece of a run, and whatever else of it there is a result of."""
    pieces = {each.part: each for each in pieces_of(found)}
    parts = sorted({*pieces, *found.results}, key=lambda part: [number or 0 for number in part])
    return [pieces.get(part) or _done(found, part) for part in parts]


def read_of(found: Review) -> list[DonePart]:
    """The pieces of which densities were read; without pieces all of the run, or its first film.

    Films that shared a run are never one curve: each has its own.
    """
    read = [each for each in parts_of(found) if each.result.densities]
    return [each for each in read if each.part.piece] if found.run.pieces else read[:1]


def _done(found: Review, part: RunPart, piece: RunPiece | None = None) -> DonePart:
    """With the time that it developed: a piece its own, but for what of it was late."""
    result, source, time_ms = found.results.get(part, Result()), develop_of(found), None
    if source is not None and found.developed(source):
        basis, real_ms = found.bases[source], found.developed_ms(source)
        asked_ms = _asked_late_ms(found, part)
        if piece and asked_ms is not None:
            late_ms = asked_ms if piece.early else real_ms - basis.carried_ms - asked_ms
            real_ms = piece.develop_ms + late_ms
        elif piece and not piece.early:
            return DonePart(part, None, result)  # it never went in
        celsius = found.result.celsius if result.celsius is None else result.celsius
        time_ms = round(worth(basis, real_ms, celsius).done_ms)
    return DonePart(part, time_ms, result)


def _asked_late_ms(found: Review, part: RunPart) -> int | None:
    """How late a piece was asked for that nobody heard on its moment; None where it was not."""
    asked = [event for event in found.faults if event.meaning.endswith(f" piece-{part.piece}")]
    if not asked:
        return 0
    return asked[-1].detail.get("late_ms", 0) if asked[-1].meaning.startswith("late") else None


def usually_wanted() -> Iterator[Wanted]:
    """The middle of what pictorial negatives have, the surer measure first."""
    for measure, (least, most) in PICTORIAL.items():
        source = f"the middle of {least:.2f} to {most:.2f}, which pictorial negatives have: {_NAVY}"
        yield Wanted(measure, round((least + most) / 2, 2), source)


def curve_of(read: Sequence[DonePart], measure: str) -> MeasureOverTime:
    """A measure over time; raises `SensitometryError` where the readings do not bear it."""
    if not read:
        remedy = "give densities to darktimer journal add-result"
        raise SensitometryError("nothing was read of this run", remedy)
    pieces, missing = [], {}
    for each in read:
        value, why = measured(each, measure)
        if value is None or not each.time_ms:
            missing[each.part.name or "this run"] = why or "no time is known"
        else:
            pieces.append(Piece(each.time_ms, value))
    without = tuple(_left_out(names, why) for why, names in by_reason(missing))
    if not pieces:
        raise SensitometryError(f"the {measure} is not known for any piece", "; ".join(without))
    try:
        return MeasureOverTime(time_curve(measure, pieces), without)
    except SensitometryError as error:
        only = [each.part.name for each in read if len(read) == 1 and each.part.name]
        found = ": ".join([*only, error.found])
        raise SensitometryError("; ".join([found, *without]), error.remedy) from None


def _left_out(names: Sequence[str], why: str) -> str:
    return f"{', '.join(names)} {'is' if len(names) == 1 else 'are'} left out: {why}"


def curve_for(read: Sequence[DonePart], wanted: Wanted | None) -> tuple[MeasureOverTime, Wanted]:
    """The curve of what is wanted, or of the first usual measure that the readings bear.

    Raises `SensitometryError`, for the surest measure, where they bear none.
    """
    refused: list[SensitometryError] = []
    for each in [wanted] if wanted else usually_wanted():
        try:
            curve, without = curve_of(read, each.measure)
        except SensitometryError as error:
            refused.append(error)
        else:
            return MeasureOverTime(curve, (*without, *map(str, refused))), each
    raise refused[0]


def measured(each: DonePart, measure: str) -> tuple[Estimate | None, str]:
    """The measure of what was read of a part; why not, where its readings do not bear it."""
    figures = measures(each.strip) if each.strip else None
    if figures is None:
        return None, "nothing was read of it"
    value: Estimate | None = getattr(figures, measure.replace(" ", "_"))
    why = figures.missing.get(measure, "")
    return value, why and f"{measure}: {why}"


def by_readings(read: Sequence[DonePart], wanted: Wanted | None) -> ProposedTime:
    """The time for what is wanted, or for what is usual; raises `SensitometryError`."""
    (curve, without), asked = curve_for(read, wanted)
    value = f"{asked.measure} {asked.value:.2f}"
    why = f" ({asked.source})" if asked.source else ""
    by = f"{value}{why} by the readings of {len(curve.pieces)} pieces"
    return ProposedTime(by, time_for(curve, asked.value), without)


def by_words(pieces: Sequence[DonePart]) -> ProposedTime:
    """The time between the two best by eye; raises `SensitometryError`."""
    judged = [
        Judged(each.time_ms, each.result.density, each.result.contrast)
        for each in pieces
        if each.time_ms and each.judged
    ]
    found = by_eye(judged)
    return ProposedTime(f"{len(judged)} pieces judged by eye", found.time, found.caveats)
