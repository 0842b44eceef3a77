"""What is on the card of a plan, in words and figures. Knows nothing of how it is laid out."""

import re
from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from darktimer.bench.cautions import cautions, of_the_work
from darktimer.bench.sheet import Sheet
from darktimer.bench.unit_system import METRIC, UnitSystem
from darktimer.cues.cue_set import CueSet
from darktimer.paper.bath_places import BathPlace, places
from darktimer.paper.drawn_cues import DrawnCues, drawn_cues_of
from darktimer.paper.small_print import Paragraph
from darktimer.paper.step_rows import StepRow, rows
from darktimer.paper.timeline_picture import dark_words
from darktimer.plan.film import Film
from darktimer.plan.model import Plan
from darktimer.process.timeline import Timeline
from darktimer.units import clock, exposure_index

#: Notes on sounds that gave way help who writes the plan, not who stands before the card.
_OF_SOUNDS: Final = re.compile("^Not played|No room for the warning")
_MOST_LETTERS: Final = 40
#: So many films leave room there for how warm and how long.
_IN_THE_FACTS: Final = 2


class Card(NamedTuple):
    """What is on a card. ``facts`` go under the title, ``about`` under them, where there is any."""

    timeline: Timeline
    facts: tuple[str, ...]
    about: str
    rows: list[StepRow]
    places: list[BathPlace]
    sounds: DrawnCues
    small_print: tuple[Paragraph, ...]


def card(
    plan: Plan,
    timeline: Timeline,
    cue_set: CueSet,
    sheet: Sheet | None,
    say: UnitSystem = METRIC,
) -> Card:
    """What goes on the card of ``plan``; without a bench ``sheet`` it has no amounts."""
    return Card(
        timeline,
        tuple(_facts(plan, timeline, say)),
        plan.about or "",
        rows(plan, timeline),
        places(plan, sheet, say),
        drawn_cues_of(timeline, cue_set),
        tuple(_small_print(plan, timeline, sheet)),
    )


def _facts(plan: Plan, timeline: Timeline, say: UnitSystem) -> Iterator[str]:
    films = list(map(_film, plan.films))
    yield from films if len(films) <= _IN_THE_FACTS else [f"{len(films)} films"]
    yield f"{_brief(plan.vessel.name or plan.vessel.kind)}, {plan.vessel.light}"
    if plan.temperature is not None:
        yield f"baths at {say.temperature(plan.temperature).replace('.0 ', ' ')}"
    yield f"{clock(timeline.duration_ms)} in all"
    yield dark_words(timeline)


def _film(film: Film) -> str:
    at = "" if film.exposed_at is None else f"at {exposure_index(film.exposed_at)}"
    words = film.words.replace(" x ", " × ")
    return " ".join(filter(None, (words, _brief(film.stock or ""), at)))


def _about_films(films: Sequence[Film]) -> Iterator[str]:
    """Their notes, and which films they are where the facts have no room for that."""
    if len(films) == 1:
        yield films[0].note or ""
        return
    for film in films:
        if film.note or len(films) > _IN_THE_FACTS:
            yield ": ".join(filter(None, (_film(film), _brief(film.note or ""))))


def _brief(words: str) -> str:
    """So many letters that the times after them have room on the line."""
    return words if len(words) <= _MOST_LETTERS else f"{words[: _MOST_LETTERS - 1].rstrip()}…"


def _small_print(plan: Plan, timeline: Timeline, sheet: Sheet | None) -> Iterator[Paragraph]:
    """The convention of time, the other notes, and the cautions."""
    if films := "; ".join(_about_films(plan.films)):
        yield Paragraph("Film", films)
    convention, *others = timeline.notes
    yield Paragraph("Time", convention)
    yield from (Paragraph("", note) for note in others if not _OF_SOUNDS.search(note))
    first, *rest = _cautions(plan, sheet)
    yield Paragraph("Cautions", first)
    yield from (Paragraph("", caution) for caution in rest)


def _cautions(plan: Plan, sheet: Sheet | None) -> list[str]:
    """Those of what is weighed tonight, or of what is usual; then the rest."""
    if sheet is None:
        return cautions(plan, {})
    *baths, last = sheet.cautions
    return [*baths, *of_the_work(plan), last]
