"""Whatever happens around the moment at which light is safe: it is told once, and never before."""

from functools import lru_cache

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as some

from darktimer.journal.clocks import Reading
from darktimer.live.resume import CutOff
from darktimer.process import meanings
from darktimer.process.timeline import Timeline
from tests.live.plans import OTHER, REVERSED, SPACE, timeline
from tests.live.studio import Studio
from tests.live.test_session import RUN

_CLEARING, _EXPOSE = "  - clearing bath: 20 s\n", "  - expose: 20 s\n"
_SHEETS = "title: Sheets\nfilm: {format: 9x12 cm, sheets: 4}"
#: Reversals whose light comes in other ways: after a pause, after several bleaches, for sheets.
PLANS = {
    "clearing bath": REVERSED,
    "right after the water": REVERSED.replace(_CLEARING, ""),
    "two bleaches": REVERSED.replace(
        _CLEARING, "  - bleach: 12 s\n    least: 10 s\n  - wash: 8 s\n"
    ),
    "repeats": REVERSED.replace("- rinse: 10 s", "- rinse: 10 s\n    repeat: 3").replace(
        "least: 10 s", "least: 20 s\n    repeat: 2"
    ),
    "two exposures": REVERSED.replace(
        "  - fix", "  - expose: 30 s\n  - develop: 20 s\n    agitation: stand\n  - fix"
    ),
    "sheets": REVERSED.replace("title: Reversed, invented and untested on film", _SHEETS)
    .replace("tub", "tray")
    .replace("rinse: 10 s", "rinse: 20 s")
    .replace("fix: 10 s", "fix: 20 s"),
}


@lru_cache
def lit_ms(name: str) -> int:
    return max(step.end_ms for step in timeline(PLANS[name]).steps if step.dark)


def told(studio: Studio) -> tuple[int, int]:
    """When light-safe was heard, and when it was true, by the course that the run took."""
    line: Timeline = studio.conductor.timeline
    studio.leap(studio.tape.position_ms() + line.duration_ms + 900_000)
    heard = [at for (at, what), _ in studio.tape.whole().items() if what == meanings.LIGHT_SAFE]
    assert len(heard) == 1
    dark = [step.end_ms for step in line.steps if step.dark]
    return heard[0], studio.conductor.state.time_map.at_ms(max(dark))


@pytest.mark.parametrize("name", PLANS)
def test_nothing_makes_it_later_than_its_room_where_nothing_happens(name):
    at_ms, true_ms = told(Studio(PLANS[name], samples=False))
    assert 0 <= at_ms - true_ms <= 5_000


@settings(max_examples=25, deadline=None)
@given(
    name=some.sampled_from(sorted(PLANS)),
    near_ms=some.integers(-20_000, 30_000),
    held_ms=some.integers(2_000, 60_000),
)
def test_a_hold_puts_it_off_and_never_forward(name, near_ms, held_ms):
    studio, from_ms = Studio(PLANS[name], samples=False), lit_ms(name) + near_ms
    studio.leap(from_ms - 1_000)
    for at_ms, key in ((0, OTHER), (600, OTHER), (600 + held_ms, SPACE)):
        studio.keys.press(from_ms + at_ms, key)
    studio.until(from_ms + held_ms + 2_000)
    at_ms, true_ms = told(studio)
    assert at_ms >= true_ms


@settings(max_examples=25, deadline=None)
@given(
    name=some.sampled_from(sorted(PLANS)),
    near_ms=some.integers(-30_000, 40_000),
    doubt_ms=some.integers(0, 300_000),
)
@example(name="two bleaches", near_ms=0, doubt_ms=300)
def test_where_the_clock_is_in_doubt_it_is_true_by_any(name, near_ms, doubt_ms):
    studio, cut_ms = Studio(PLANS[name], samples=False), lit_ms(name) + near_ms
    line = studio.conductor.timeline
    studio.clock.advance(cut_ms)
    studio.tape.begin_silent()
    heard = frozenset((c.meaning, c.at_ms) for c in line.cues if c.end_ms < cut_ms)
    if any(meaning == meanings.LIGHT_SAFE for meaning, _ in heard):
        return
    kept = studio.conductor.state.kept() | {"doubt_ms": doubt_ms}
    origin = Reading(1_900_000_000_000, 0, "a start")
    begun = CutOff(RUN, line, origin, kept, {}, cut_ms, heard, "it may be wrong", dark=True)
    studio.session.take_up(begun)
    studio.tape.return_()
    studio.until(cut_ms + 1_000)
    at_ms, true_ms = told(studio)
    assert at_ms >= true_ms + doubt_ms
