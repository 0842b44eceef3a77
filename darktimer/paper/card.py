"""The card of a plan: one page to pin up, or to learn from before the lights go out.

Knows which part stands where and how the room is shared: the list of steps has what the others
leave, and they grow smaller where it would not be readable from a metre.
"""

import re
from collections.abc import Iterator
from typing import Final, NamedTuple

from darktimer.bench.cautions import GENERAL
from darktimer.bench.sheet import Sheet
from darktimer.cues.cue_set import CueSet
from darktimer.paper.bench_row import draw_bench
from darktimer.paper.page import SOFT, Box, Page, fitting_size, wrapped_within
from darktimer.paper.places import Place, places
from darktimer.paper.rhythms import Sounds, draw_sounds, sounds_of
from darktimer.paper.rows import Row, rows
from darktimer.paper.small_print import Paragraph, draw_paragraphs, height_of
from darktimer.paper.step_list import READABLE, Setting, best_setting, draw_list
from darktimer.paper.timeline_picture import dark_words, draw_timeline
from darktimer.paper.wording import celsius
from darktimer.plan.cautions import cautions
from darktimer.plan.model import Plan
from darktimer.process.timeline import Timeline
from darktimer.units import clock

#: Width and height in points: ISO 216 A4 is 210 by 297 mm, Letter 8.5 by 11 inches.
PAPERS: Final = {"A4": (210 / 25.4 * 72, 297 / 25.4 * 72), "Letter": (612.0, 792.0)}
_MARGIN: Final = 43.0
#: By these a caution of the plan is known again among those of the bench.
_ONCE: Final = ("harms the eyes", "foams", "sulphur dioxide")
#: Notes on sounds that gave way help who writes the plan, not who stands before the card.
_OF_SOUNDS: Final = re.compile("left out for|No room for the warning")


class Card(NamedTuple):
    """What is on a card."""

    plan: Plan
    timeline: Timeline
    rows: list[Row]
    places: list[Place]
    sounds: Sounds
    cautions: tuple[str, ...]


class _Type(NamedTuple):
    """The sizes of everything but the list of steps, and how much is told."""

    body: float
    small: float
    bar_height: float
    with_masses: bool
    least_step: float = READABLE  # the steps must be so large; else there is room to be gained


_OPEN: Final = _Type(10.5, 8.4, 54, True, 24.0)
_ROOMY: Final = _Type(9.0, 7.6, 30, True)
_CLOSE: Final = _Type(8.4, 7.0, 24, True)
_CLOSER: Final = _Type(8.0, 6.6, 20, True)
_TIGHT: Final = _Type(7.4, 6.2, 16, True)
_SHORT: Final = _Type(7.4, 6.2, 16, False)


def card(
    plan: Plan,
    timeline: Timeline,
    cue_set: CueSet,
    sheet: Sheet | None,
    lights_out_after_ms: int | None = None,
) -> Card:
    """What goes on the card of ``plan``; without a bench ``sheet`` it has no amounts."""
    return Card(
        plan,
        timeline,
        rows(plan, timeline, lights_out_after_ms),
        places(plan, sheet),
        sounds_of(timeline, cue_set),
        tuple(_cautions(plan, sheet)),
    )


def _cautions(plan: Plan, sheet: Sheet | None) -> Iterator[str]:
    """Those of what is weighed tonight, then those of the plan that are not told already."""
    own = [caution for caution in sheet.cautions if caution not in GENERAL] if sheet else []
    yield from own
    told = [words for words in _ONCE if any(words in caution for caution in own)]
    yield from (each for each in cautions(plan) if not any(words in each for words in told))


def draw_card(shown: Card, paper: str) -> Page:
    """The card as one page of ``paper``, a key of `PAPERS`."""
    drawn = []
    for sizes in (_OPEN, _ROOMY, _CLOSE, _CLOSER, _TIGHT, _SHORT):
        drawn.append(_drawn(shown, paper, sizes))
        page, setting = drawn[-1]
        if setting.is_roomy and setting.size >= sizes.least_step:
            return page
    readable = (page for page, setting in drawn if setting.size >= READABLE)
    return next(readable, drawn[-1][0])


def _drawn(shown: Card, paper: str, sizes: _Type) -> tuple[Page, Setting]:
    width, height = PAPERS[paper]
    page = Page(width, height)
    box = Box(_MARGIN, _MARGIN, width - 2 * _MARGIN, height - 2 * _MARGIN)
    gap = 1.6 * sizes.body
    paragraphs = list(_paragraphs(shown))
    small_height = height_of(paragraphs, box.width, 2, sizes.small)
    y = _draw_head(page, box, shown) + gap
    below = Box(box.x, y, box.width, 0)
    y = draw_timeline(
        page, below, shown.timeline, shown.rows, bar_height=sizes.bar_height, size=sizes.body - 0.5
    )
    top = y + gap
    lower = _lower_height(shown, box.width, sizes) + gap + small_height + gap
    room = Box(box.x, top, box.width, box.bottom - lower - top)
    setting = best_setting(shown.rows, room.width, room.height)
    draw_list(page, room, shown.rows, setting)
    y = _draw_lower(page, Box(box.x, room.bottom + gap, box.width, 0), shown, sizes)
    draw_paragraphs(page, Box(box.x, y + gap, box.width, 0), paragraphs, 2, sizes.small)
    return page, setting


def _draw_head(page: Page, box: Box, shown: Card) -> float:
    title = shown.timeline.title
    size = fitting_size(title, box.width, 27, 17, bold=True)
    lines = wrapped_within(title, box.width, size, 2, bold=True)
    y = page.lines(box.x, box.y + 0.78 * size, lines, size, bold=True) - 1.28 * size + 18
    facts = wrapped_within(" · ".join(_facts(shown)), box.width, 10.5, 2)
    y = page.lines(box.x, y, facts, 10.5)
    if shown.plan.about:
        about = wrapped_within(shown.plan.about, box.width, 8.5, 2)
        y = page.lines(box.x, y, about, 8.5, ink=SOFT)
    return y - 10


def _facts(shown: Card) -> Iterator[str]:
    plan = shown.plan
    if plan.film:
        yield _film(plan)
    yield f"{plan.vessel.name or plan.vessel.kind}, {plan.vessel.light}"
    if plan.temperature is not None:
        yield f"baths at {celsius(plan.temperature)}"
    yield f"{clock(shown.timeline.duration_ms)} in all"
    yield dark_words(shown.timeline).removesuffix(".").replace("Dark", "dark").replace("All", "all")


def _film(plan: Plan) -> str:
    assert plan.film
    if plan.film.length:
        return f"{plan.film.length:.3g} m of {plan.film.format}"
    return f"{plan.film.count or plan.film.sheets or 1} × {plan.film.format}"


def _lower_height(shown: Card, width: float, sizes: _Type) -> float:
    """How high sounds and bench stand, found by drawing them where nobody looks."""
    return _draw_lower(Page(width, 10), Box(0, 0, width, 0), shown, sizes)


def _draw_lower(page: Page, box: Box, shown: Card, sizes: _Type) -> float:
    y = box.y
    if shown.places:
        y = draw_bench(page, box, shown.places, size=sizes.body, with_masses=sizes.with_masses)
        y += 1.6 * sizes.body
    below = Box(box.x, y, box.width, 0)
    return draw_sounds(page, below, shown.sounds, sizes.body - 0.6)


def _paragraphs(shown: Card) -> Iterator[Paragraph]:
    convention, *others = shown.timeline.notes
    yield Paragraph("Time", convention)
    yield from (Paragraph("", note) for note in others if not _OF_SOUNDS.search(note))
    first, *rest = shown.cautions
    yield Paragraph("Cautions", first)
    yield from (Paragraph("", caution) for caution in rest)
