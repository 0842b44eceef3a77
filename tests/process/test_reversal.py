"""Film reversed to a positive: when light may meet it, by hand, in an open vessel and a closed one.

The order of the baths, the second exposure of both sides and the light after bleach and rinse are
common practice, with no source.
"""

from collections.abc import Callable
from typing import Any

import pytest

from darktimer.errors import FindingsError
from darktimer.process.timeline import Timeline

OPEN = {"kind": "tub", "light": "open"}
HABITS = {"agitation": "continuous", "transfer": "5 s", "drain": "10 s", "lights out after": "30 s"}
DEVELOP, RINSE, CLEAR = {"develop": "10 min"}, {"rinse": "2 min"}, {"clearing bath": "3 min"}
BLEACH, EXPOSE = {"bleach": "6 min", "least": "5 min"}, {"expose": "2 min"}
REST = [{"develop": "5 min"}, {"fix": "6 min"}]
LOADED = [{"load": "1 min"}, DEVELOP, RINSE]
Compiled = Callable[..., Timeline]


@pytest.fixture
def timed(compiled: Compiled) -> Compiled:
    def work(*steps: dict[str, Any], **keys: Any) -> Timeline:
        return compiled(**{"vessel": OPEN, "habits": HABITS, "steps": list(steps), **keys})

    return work


def told(timeline: Timeline, meaning: str) -> list[int]:
    return [cue.at_ms for cue in timeline.cues if cue.meaning == meaning]


def starts(timeline: Timeline, kind: str) -> list[int]:
    return [step.start_ms for step in timeline.steps if step.kind == kind]


def test_light_is_safe_once_the_water_after_the_bleach_is_over(timed: Compiled) -> None:
    timeline = timed(*LOADED, BLEACH, RINSE, CLEAR, EXPOSE, *REST)
    # 30 s, 1 min; then each bath is its own time and 5 s of getting into it: 605, 125, 365, 125 s.
    safe_ms = 1000 * (30 + 60 + 605 + 125 + 365 + 125)
    assert starts(timeline, "clearing bath") == [safe_ms]
    assert [step.dark for step in timeline.steps] == [False, *5 * [True], *5 * [False]]
    # Its 10 s find room after the word to change baths and that to move, 5 s and 0.6 s later, and
    # half a second of quiet.
    assert told(timeline, "light-safe") == [safe_ms + 6_100]
    assert "Light is safe at 21:50, and not before: the film is bleached and rinsed" in " ".join(
        timeline.notes
    )


def test_all_water_and_every_bleach_before_the_exposure_count(timed: Compiled) -> None:
    twice = [BLEACH, {**BLEACH, "bleach": "5 min"}, RINSE, {"wash": "3 min", "repeat": "2"}]
    timeline = timed(*LOADED, *twice, CLEAR, EXPOSE, *REST)
    safe_ms = 1000 * (30 + 60 + 605 + 125 + 365 + 305 + 125 + 2 * 185)
    assert max(step.end_ms for step in timeline.steps if step.dark) == safe_ms
    again = timed(*LOADED, BLEACH, RINSE, CLEAR, RINSE, BLEACH, RINSE, CLEAR, EXPOSE, *REST)
    safe_ms = 1000 * (30 + 60 + 605 + 2 * 125 + 365 + 185 + 365 + 2 * 125)
    assert max(step.end_ms for step in again.steps if step.dark) == safe_ms


def test_the_film_is_turned_over_half_way_through_its_exposure(timed: Compiled) -> None:
    timeline = timed(*LOADED, BLEACH, RINSE, CLEAR, EXPOSE, *REST)
    (exposed_ms,) = starts(timeline, "expose")
    assert told(timeline, "reverse") == [exposed_ms + 5_000 + 60_000]
    assert exposed_ms + 5_000 in told(timeline, "stand")
    assert starts(timeline, "develop")[1] == exposed_ms + 125_000  # no drain: it lies in no bath
    assert exposed_ms in told(timeline, "enter")


def test_how_it_is_exposed_can_be_written(timed: Compiled) -> None:
    moved = {**EXPOSE, "agitation": "continuous", "drain": "20 s"}
    timeline = timed(*LOADED, BLEACH, RINSE, CLEAR, moved, *REST)
    assert told(timeline, "reverse") == []
    (exposed_ms,) = starts(timeline, "expose")
    assert exposed_ms + 105_000 in told(timeline, "lift")


def test_an_exposure_begins_once_light_safe_was_heard(timed: Compiled) -> None:
    """2.3 s to change baths, 10 s of light-safe, 0.5 s of quiet after each: 13.3 s are enough."""
    with pytest.raises(FindingsError, match=r"only 0:12 after .* write transfer: 17 s in it"):
        timed(*LOADED, BLEACH, RINSE, EXPOSE, *REST)
    timed(*LOADED, BLEACH, RINSE, {**EXPOSE, "transfer": "17 s"}, *REST)
    with pytest.raises(FindingsError, match="light-safe is heard to its end only"):
        timed(*LOADED, BLEACH, RINSE, {**EXPOSE, "transfer": "13 s"}, *REST)
    timeline = timed(*LOADED, BLEACH, RINSE, {**EXPOSE, "transfer": "14 s"}, *REST)
    (exposed_ms,) = starts(timeline, "expose")
    assert told(timeline, "light-safe") == [exposed_ms + 2_800]
    assert exposed_ms + 14_000 in told(timeline, "stand")


def test_a_closed_vessel_is_lit_outside_and_opened_after_the_bleach(timed: Compiled) -> None:
    closed = {"kind": "spiral tank", "light": "closed"}
    timeline = timed(*LOADED, BLEACH, RINSE, CLEAR, EXPOSE, *REST, vessel=closed)
    assert [step.kind for step in timeline.steps if step.dark] == ["load"]
    assert len(told(timeline, "light-safe")) == 1
    # As in the open vessel, and 30 s more for the light once it is loaded.
    opened = "The vessel may be opened at 22:20, and not before: the film is bleached and rinsed."
    assert timeline.notes[-1] == opened
    without = timed(*LOADED, *REST, vessel=closed)
    assert "opened" not in " ".join(without.notes)


def test_the_last_of_sheets_has_its_rinse_before_light(timed: Compiled) -> None:
    film, tray = {"format": "4x5 in", "sheets": "4"}, {"kind": "tray", "light": "open"}
    steps = [{"load": "1 min"}, {"soak": "1 min"}, DEVELOP, RINSE, BLEACH, RINSE, CLEAR, RINSE]
    timeline = timed(*steps, EXPOSE, *REST, film=film, vessel=tray)
    rinsed = [step for step in timeline.steps if step.kind == "rinse"][1]
    (safe_ms,) = told(timeline, "light-safe")
    assert safe_ms >= rinsed.end_ms + 4 * 5_000
