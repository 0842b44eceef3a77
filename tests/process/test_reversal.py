"""Film reversed to a positive: when light may meet it, by hand, in an open vessel and a closed one.

The order of the baths, the second exposure of both sides and the light after bleach and rinse are
common practice, with no source.
"""

from collections.abc import Callable
from math import ceil
from typing import Any

import pytest

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


def test_right_after_the_water_light_safe_and_the_lamp_have_a_pause(timed: Compiled) -> None:
    """Half a minute as for the light of a closed vessel; then the film is led into the light."""
    timeline = timed(*LOADED, BLEACH, RINSE, EXPOSE, *REST)
    safe_ms = 1000 * (30 + 60 + 605 + 125 + 365 + 125)
    assert told(timeline, "light-safe") == [safe_ms]
    pause = next(step for step in timeline.steps if step.start_ms == safe_ms)
    assert (pause.name, pause.end_ms - safe_ms, pause.dark) == ("Lights on", 30_000, False)
    assert starts(timeline, "expose") == [safe_ms + 30_000]
    assert safe_ms + 30_000 in told(timeline, "enter")
    assert "Lights on is a pause of 0:30" in " ".join(timeline.notes)


def test_a_pause_is_never_too_short_for_light_safe(timed: Compiled) -> None:
    """Half a second of quiet before it and after it, to the full second."""
    habits = {**HABITS, "lights on": "1 s"}
    timeline = timed(*LOADED, BLEACH, RINSE, EXPOSE, *REST, habits=habits)
    (pause,) = (step for step in timeline.steps if step.name == "Lights on")
    (safe,) = (cue for cue in timeline.cues if cue.meaning == "light-safe")
    assert pause.end_ms - pause.start_ms == ceil(safe.length_ms / 1000 + 1) * 1000


WATER = {"rinse": "2 min", "agitation": {"inversions": "2", "within": "5 s", "every": "14 s"}}
SHORT = {"clearing bath": "7 s", "drain": "none"}
BUSY = {**CLEAR, "agitation": WATER["agitation"]}


@pytest.mark.parametrize("clock_starts", ["full", "pour"])
@pytest.mark.parametrize("lights_on", ["1 s", "30 s", "2 min"])
@pytest.mark.parametrize("between", [[], [WATER], [SHORT], [BUSY], [SHORT, SHORT], [CLEAR, RINSE]])
def test_no_exposure_begins_before_light_safe_is_over(
    timed: Compiled, between: list[dict[str, Any]], lights_on: str, clock_starts: str
) -> None:
    """Whatever lies between, moves the film and leaves that sound no room."""
    habits = {**HABITS, "lights on": lights_on}
    steps = [*LOADED, BLEACH, RINSE, *between, EXPOSE, *REST]
    timeline = timed(*steps, habits=habits, **{"clock starts": clock_starts})
    (safe,) = (cue for cue in timeline.cues if cue.meaning == "light-safe")
    (exposed,) = (step for step in timeline.steps if step.kind == "expose")
    assert safe.end_ms <= exposed.start_ms + (5_000 if clock_starts == "full" else 0)
    assert all(step.end_ms <= safe.at_ms for step in timeline.steps if step.dark)


def test_sheets_are_exposed_once_the_last_was_rinsed_and_light_safe_heard(timed: Compiled) -> None:
    film, tray = {"format": "4x5 in", "sheets": "4"}, {"kind": "tray", "light": "open"}
    timeline = timed(*LOADED, BLEACH, RINSE, EXPOSE, *REST, film=film, vessel=tray)
    rinsed = [step for step in timeline.steps if step.kind == "rinse"][1]
    safe_ms = rinsed.end_ms + 4 * 5_000
    assert told(timeline, "light-safe") == [safe_ms]
    assert starts(timeline, "expose") == [safe_ms + 30_000]
    waits = [(s.name, s.dark) for s in timeline.steps if rinsed.end_ms <= s.start_ms <= safe_ms]
    assert waits == [("Last sheet", True), ("Lights on", False)]


def test_one_note_says_what_to_do_if_light_safe_is_late(timed: Compiled) -> None:
    timeline = timed(*LOADED, BLEACH, RINSE, EXPOSE, REST[0], RINSE, EXPOSE, *REST)
    assert " ".join(timeline.notes).count("keep the light off and hold the plan") == 1


@pytest.mark.parametrize(("wash", "pauses"), [("20 s", True), ("24 s", False), ("2 min", False)])
def test_short_washes_do_not_keep_anybody_in_the_dark(
    timed: Compiled, wash: str, pauses: bool
) -> None:
    """In ten washes of 20 s light-safe would find its room in the last one, 200 s late."""
    timeline = timed(*LOADED, {"fix": "6 min"}, {"wash": wash, "repeat": "10"})
    (safe_ms,) = told(timeline, "light-safe")
    fixed_ms = max(step.end_ms for step in timeline.steps if step.dark)
    assert fixed_ms <= safe_ms <= fixed_ms + 7_000
    assert ("Lights on" in [step.name for step in timeline.steps]) is pauses


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
