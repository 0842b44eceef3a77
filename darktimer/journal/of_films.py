"""What the results of several films, or pieces, that shared a run say of all of them.

They had each bath in common, so that only what all of them ask for can be changed in it. How far
pieces were developed is no matter of all of them: they differ in that.
"""

from collections.abc import Iterator
from typing import Any, Final

from darktimer.journal.results import SCALES, WHOLE, Result, RunPart, word
from darktimer.journal.review import Review
from darktimer.journal.suggestion import COMMON, Suggestion

_APART: Final = "they share each bath: develop them apart, or expose one of them differently"
_JUDGE: Final = "they share each bath: judge every film before the plan is changed"
_NEAREST: Final = "they differ in time alone: go by the piece that comes nearest to what you want"
#: How far they were developed, which pieces differ in.
_OF_TIME: Final = {"density", "contrast"}
_Figures = dict[RunPart, int | None]


def as_one(found: Review) -> Review:
    """The run with what all its parts have in common as its own result, and no more than that."""
    said = ((scale, {*of.values()}) for scale, of in _figures(found))
    figures: dict[str, Any] = {
        scale: each.pop() if len(each) == 1 else None for scale, each in said
    }
    return found._replace(results={**found.results, WHOLE: found.result._replace(**figures)})


def disagreements(found: Review) -> Iterator[Suggestion]:
    """Each scale on which the parts differ, or that is known of some of the films only."""
    for scale, of in _figures(found):
        if len({*of.values()}) > 1:
            figures = (
                f"{part.name} {'unknown' if value is None else word(scale, value)}"
                for part, value in of.items()
            )
            remedy = _JUDGE if None in of.values() else _APART
            remedy = _NEAREST if next(iter(of)).piece else remedy
            yield Suggestion(f"{scale}: {', '.join(figures)}", remedy, COMMON, {})


def _figures(found: Review) -> Iterator[tuple[str, _Figures]]:
    """Each scale on which a part has a figure, with that of each part.

    Of each film, or of the pieces that somebody looked at for it. What was said of all of the run
    was said of each film that nobody judged by itself; of pieces it has the last word.
    """
    for scale in SCALES:
        whole, of = _figure(found, WHOLE, scale), _own(found, scale)
        if found.run.pieces:
            of = {} if whole is not None else {part: v for part, v in of.items() if v is not None}
        if {*of.values()} - {None}:
            yield scale, {part: whole if value is None else value for part, value in of.items()}


def _own(found: Review, scale: str) -> _Figures:
    return {part: _figure(found, part, scale) for part in _parts(found, scale)}


def _parts(found: Review, scale: str) -> Iterator[RunPart]:
    for number, _ in enumerate(found.run.pieces, 1):
        if scale not in _OF_TIME:
            yield RunPart(piece=number)
    for number, _ in enumerate(found.run.films, 1):
        yield RunPart(film=number)


def _figure(found: Review, part: RunPart, scale: str) -> int | None:
    value: int | None = getattr(found.results.get(part, Result()), scale)
    return value
