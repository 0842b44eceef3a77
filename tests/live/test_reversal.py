"""Film reversed to a positive, led live: light in the middle of the run, and not before it."""

import signal
from pathlib import Path

import pytest

from darktimer.journal.clocks import Reading
from darktimer.live.gates import Waits
from darktimer.live.lights import Reason
from darktimer.live.resume import CutOff
from darktimer.pages.live_view import Scene
from darktimer.process import meanings
from darktimer.process.keys import KEYS, KEYS_IN_BRIEF
from tests.device.null_sink import Server
from tests.live.dark_room import BLACK_FROM_THE_FIRST_BYTE, ROOT, DarkRoom
from tests.live.plans import OTHER, REVERSED, SPACE, cue_set, timeline
from tests.live.studio import Studio
from tests.live.test_session import RUN

#: By hand: 2 s, 5 s of loading, then each bath and 3 s of getting into it: 33, 13, 18 and 13 s.
RINSED_MS = 84_000
#: The clearing bath takes 23 s, getting into the light 3 s, a half of the exposure 10 s.
EXPOSED_MS, TURNED_MS = 107_000, 120_000
QUICK = """
title: Quick, invented and untested on film
vessel: {kind: tub, light: open, volume: 1.5 l}
habits: {lights out after: 1 s, loading: 3 s, transfer: 3 s, drain: none, opening: none,
   warnings: none, countdown: 0, tally: none, heartbeat: none, agitation: continuous}
steps:
  - load: by hand
  - develop: 3 s
  - rinse: 3 s
  - bleach: 3 s
    least: 3 s
  - rinse: 3 s
  - expose: 40 s
  - develop: 9 s
"""
#: Its pause for light-safe takes 30 s, getting into the light 3 s.
QUICK_DARK_MS, QUICK_SAFE_MS, QUICK_TURNED_MS = 1_000, 28_000, 81_000


@pytest.fixture
def studio() -> Studio:
    return Studio(REVERSED)


def cue(studio: Studio, meaning: str) -> int:
    return next(c.at_ms for c in studio.conductor.timeline.cues if c.meaning == meaning)


def test_light_comes_in_the_middle_and_what_follows_is_told_all_the_same(studio):
    for at_ms in (RINSED_MS - 10_000, RINSED_MS + 1_000, EXPOSED_MS):
        studio.keys.press(at_ms, OTHER)
    studio.until(EXPOSED_MS - 500)
    assert studio.screen.dark, "nobody has asked since it was heard"
    assert RINSED_MS < cue(studio, meanings.LIGHT_SAFE) < EXPOSED_MS - 12_000
    studio.until(EXPOSED_MS + 500)
    assert studio.screen.reason is Reason.SAFE
    studio.until(10**7)
    heard = {(e.meaning, e.at_ms) for e in studio.notes.events if e.kind == "cue"}
    assert {("reverse", TURNED_MS), ("stand", EXPOSED_MS + 3_000)} <= heard
    assert sum(meaning == meanings.LIGHT_SAFE for meaning, _ in heard) == 1


@pytest.mark.parametrize("at_ms", [60_000, RINSED_MS - 1_000])
def test_a_run_given_up_before_its_light_gives_light_only_where_it_is_asked_for(studio, at_ms):
    """Five times for the question, again to confirm, once more for light."""
    for begin_ms in (at_ms - 8_000, at_ms - 4_000):
        for k in range(5):
            studio.keys.press(begin_ms + 200 * k, OTHER)
    studio.until(at_ms + 2_000)
    assert studio.session.aborted
    assert studio.screen.dark
    for k in range(5):
        studio.keys.press(at_ms + 9_000 + 200 * k, OTHER)
    studio.until(at_ms + 12_000)
    assert studio.screen.reason is Reason.ASKED_FOR


@pytest.mark.parametrize(
    ("at_ms", "held"),
    [(60_000, False), (RINSED_MS - 6_000, True), (EXPOSED_MS + 6_000, True), (140_000, False)],
)
def test_water_and_the_exposure_can_be_held_and_no_bath_that_works(studio, at_ms, held):
    for late_ms in (0, 600):
        studio.keys.press(at_ms + late_ms, OTHER)
    studio.until(at_ms + 2_000)
    assert studio.conductor.state.held is held


def test_the_keys_say_where_a_run_can_be_held():
    assert "hold (in water, exposure or loading)" in KEYS_IN_BRIEF
    assert any("hold, in water, in an exposure" in line for line in KEYS)


@pytest.mark.parametrize("lost_ms", [TURNED_MS - 1_000, TURNED_MS - 500])
def test_a_turn_over_that_a_silence_hid_is_asked_for_when_sound_is_back(studio, lost_ms):
    """However late: a side that is never turned to the light stays a negative."""
    studio.until(lost_ms)
    studio.tape.playing = False
    studio.until(TURNED_MS + 1_000)
    studio.tape.back(1_000)
    studio.until(10**6)
    turns = [e.at_ms for e in studio.notes.events if e.meaning == meanings.REVERSE]
    assert any(TURNED_MS < at_ms < TURNED_MS + 5_000 for at_ms in turns)


def test_light_that_is_put_off_by_a_hold_comes_as_much_later(studio):
    for at_ms, key in ((78_000, OTHER), (78_600, OTHER), (98_600, SPACE)):
        studio.keys.press(at_ms, key)
    studio.until(10**6)
    (told,) = (e for e in studio.notes.events if e.meaning == meanings.LIGHT_SAFE)
    assert told.at_ms - cue(studio, meanings.LIGHT_SAFE) == pytest.approx(20_000, abs=1_000)


def test_light_in_doubt_is_waited_for_before_the_exposure(studio):
    """Off for 40 s by the wall clock alone: light-safe comes 40 s later, in the exposure, which is
    held until it was heard.
    """
    doubt_ms = 40_000
    studio.clock.advance(70_000)
    kept = studio.conductor.state.kept() | {"doubt_ms": doubt_ms}
    origin = Reading(1_900_000_000_000, 0, "a start")
    line, heard = studio.conductor.timeline, frozenset[tuple[str, int]]()
    begun = CutOff(RUN, line, origin, kept, {}, 30_000, heard, "it may be wrong", dark=True)
    studio.session.take_up(begun)
    studio.tape.back(500)
    for at_ms in (EXPOSED_MS + 6_000, EXPOSED_MS + 6_600):
        studio.keys.press(at_ms, OTHER)
    studio.until(EXPOSED_MS + 8_000)
    assert studio.conductor.state.held
    assert studio.screen.dark
    studio.until(RINSED_MS + doubt_ms + 30_000)
    (safe,) = (e for e in studio.notes.events if e.meaning == meanings.LIGHT_SAFE)
    assert safe.at_ms >= RINSED_MS + doubt_ms
    studio.keys.press(150_000, SPACE)
    studio.until(10**7)
    assert studio.screen.reason is Reason.SAFE
    turned = [e.at_ms for e in studio.notes.events if e.meaning == meanings.REVERSE]
    assert turned[0] > 150_000


def test_the_lit_screen_says_what_hands_do_with_film_that_is_exposed():
    studio = Studio(REVERSED, Waits.TRANSFERS, dark=False)
    for gate in studio.conductor.state.gates[:-3]:
        studio.until(studio.conductor.state.time_map.stops_ms + 1_000)
        studio.keys.press(studio.tape.position_ms() + 1_500, SPACE)
        if gate.loading:
            studio.keys.press(studio.tape.position_ms() + 6_000, SPACE)
            studio.until(studio.tape.position_ms() + 7_000)
        studio.until(studio.tape.position_ms() + 2_500)
    studio.until(studio.conductor.state.time_map.stops_ms - 1_000)
    assert Scene(studio.session, cue_set()).hands == "Out of the bath, into the light"
    studio.until(studio.conductor.state.time_map.stops_ms + 1_000)
    assert Scene(studio.session, cue_set()).hands == "Press space when the film is in the light"
    studio.keys.press(studio.tape.position_ms() + 500, SPACE)
    studio.until(studio.tape.position_ms() + 5_000)
    scene = Scene(studio.session, cue_set())
    assert scene.step.startswith("Expose (")
    assert scene.hands == "Leave it in the light; turn it over half way"


def test_a_closed_vessel_is_lit_from_its_loading_on():
    text = REVERSED.replace("{kind: tub, light: open", "{kind: drum, light: closed")
    dark = [step.kind for step in timeline(text).steps if step.dark]
    assert dark == ["load"]
    studio = Studio(text)
    studio.keys.press(60_000, OTHER)
    studio.until(61_000)
    assert studio.screen.reason is Reason.SAFE


def test_killed_before_and_after_its_light_it_is_taken_up_dark_and_lit(
    server: Server, tmp_path: Path
) -> None:
    """Nothing hangs on how fast a process begins: what it came too late for is told after all."""
    plan, sounds, home = tmp_path / "quick.yaml", tmp_path / "sounds.yaml", tmp_path / "home"
    plan.write_text(QUICK)
    shipped = (ROOT / "sounds" / "standard.yaml").read_text()
    sounds.write_text(shipped.replace("vast: 2600 ms", "vast: 300 ms"))
    begins = ("run", str(plan), "--cues", str(sounds), "--no-gates", "--start-in", "0.1 s")
    rooms: list[DarkRoom] = []

    def led(*words: str) -> DarkRoom:
        rooms.append(DarkRoom(server, home, *words, faults=tmp_path))
        return rooms[-1]

    def killed(room: DarkRoom, until_ms: int) -> None:
        room.signal(signal.SIGKILL)
        room.ended()
        room.sleep_until(until_ms)

    try:
        begun = led(*begins)
        begun.wait_for(b"\x1b[?25l")
        begun.wait_until(QUICK_DARK_MS + 500)
        killed(begun, QUICK_SAFE_MS - 4_000)
        assert begun.since_black == b""
        dark = led("run", "--resume")
        dark.wait_for(BLACK_FROM_THE_FIRST_BYTE)
        dark.press(b"x")
        dark.wait_for_cue("light-safe", since_ms=0, limit_s=20)
        assert dark.written == BLACK_FROM_THE_FIRST_BYTE, "a key before light-safe gives no light"
        (safe,) = (e for e in dark.happened() if e.meaning == "light-safe")
        assert safe.at_ms >= QUICK_SAFE_MS
        dark.press(b"x")
        dark.wait_for(b"\x1b[?1049l")
        killed(dark, QUICK_TURNED_MS - 2_500)
        lit = led("run", "--resume")
        lit.wait_for(b"Leave it in the light")
        lit.wait_for_cue("reverse", since_ms=QUICK_SAFE_MS)
        assert b"\x1b[?1049h" not in lit.written, "light was safe: nothing is made black"
        told = [(e.meaning, e.planned_ms) for e in lit.happened() if e.kind == "cue"]
        assert told.count(("reverse", QUICK_TURNED_MS)) == 1, "late where the machine is slow"
        assert sum(meaning == "light-safe" for meaning, _ in told) == 1
        lit.press(b"\x03")
        assert lit.ended() == 4
    finally:
        for room in rooms:
            room.kill()
