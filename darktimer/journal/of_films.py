"""What the results of several films that shared a run say of all of them.

They had one bath and one time, so that only what all of them ask for can be changed in it.
"""

from collections.abc import Iterator
from typing import Any, Final

from darktimer.journal.results import SCALES, WHOLE, Result, RunPart, word
from darktimer.journal.review import Review
from darktimer.journal.suggestion import COMMON, Suggestion

_APART: Final = "they share each bath: develop them apart, or expose one of them differently"
_JUDGE: Final = "they share each bath: judge every film before the plan is changed"


def as_one(found: Review) -> Review:
    """The run with what all its films have in common as its own result, unless it has its own."""
    agreed = (each for each in _figures(found) if len({*each[1]}) == 1)
    figures: dict[str, Any] = {scale: values[0] for scale, values in agreed}
    return found._replace(results={**found.results, WHOLE: found.result._replace(**figures)})


def disagreements(found: Review) -> Iterator[Suggestion]:
    """Each scale on which the films differ, or that is known of some of them only."""
    for scale, values in _figures(found):
        if len({*values}) > 1:
            told = (
                f"film {number} {'unknown' if value is None else word(scale, value)}"
                for number, value in enumerate(values, 1)
            )
            remedy = _JUDGE if None in values else _APART
            yield Suggestion(f"{scale}: {', '.join(told)}", remedy, COMMON, {})


def _figures(found: Review) -> Iterator[tuple[str, list[int | None]]]:
    """Each scale of which all of the run has no figure but a film has, with that of each film."""
    parts = [RunPart(film=number) for number in range(1, len(found.run.films) + 1)]
    films = [found.results.get(part, Result()) for part in parts]
    for scale in SCALES:
        values = [getattr(film, scale) for film in films]
        if getattr(found.result, scale) is None and {*values} - {None}:
            yield scale, values
