"""Which cues a sound check must judge, so that all others are clear where these are."""

import pytest

from darktimer import shipped
from darktimer.cues.reader import load_cue_set
from darktimer.ear.levels import faintest
from darktimer.learn.lesson import lesson_of_plan, played
from darktimer.prepare.prepared import prepare
from darktimer.process.meanings import family

PLANS = ("open-tub-half-agitation", "semi-stand", "tray-six-sheets")


@pytest.mark.parametrize("name", shipped.names("sounds"))
@pytest.mark.parametrize("plan", PLANS)
def test_no_sound_of_a_plan_has_a_note_fainter_than_in_those_that_are_judged(
    name: str, plan: str
) -> None:
    prepared = prepare(plan, name, None)
    cues, sounds = prepared.cue_set, played(prepared.timeline)
    judged = {
        (pulse.frequency, pulse.level) for m in faintest(cues, sounds) for pulse in cues.pulses(m)
    }
    for meaning in set(sounds) - cues.unsaid:
        for pulse in cues.pulses(meaning):
            assert any(
                pulse.frequency == hertz and level <= pulse.level + 0.1 for hertz, level in judged
            )


def test_the_faintest_is_the_first_and_what_is_left_unsaid_is_none() -> None:
    standard, at_night = load_cue_set("standard"), load_cue_set("at-night")
    assert faintest(standard, ["move", "heartbeat", "lift"])[0] == "heartbeat"
    assert "heartbeat" not in faintest(at_night, at_night.meanings())


def test_all_that_is_learnt_of_a_plan_is_among_what_a_run_may_play() -> None:
    for plan in PLANS:
        prepared = prepare(plan, "standard", None)
        words = lesson_of_plan(prepared.cue_set, prepared.timeline, plan).words
        learnt = {meaning for some in words.values() for meaning in some}
        # The alarm is no cue of a plan: it is learnt for the fault that nobody hopes for.
        assert learnt <= {*played(prepared.timeline), "alarm", "left-180", "left-120"}
        assert {*map(family, played(prepared.timeline))} <= {*map(family, learnt)}
