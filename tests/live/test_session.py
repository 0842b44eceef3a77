"""A session on a clock turned by hand: what reaches the journal, the screen and the line."""

import pytest

from darktimer.cues.score import Score
from darktimer.cues.speaker import SPEAKERS
from darktimer.live.gates import Waits
from darktimer.live.gestures import Key
from darktimer.live.lights import Reason
from darktimer.live.session import Session
from darktimer.output.trouble import Trouble
from darktimer.process import meanings
from tests.live.plans import OPEN, OTHER, SPACE, cue_set
from tests.live.studio import RATE, Studio

WHOLE_MS = 10**7


@pytest.fixture
def studio() -> Studio:
    return Studio()


def safe_ms(studio: Studio) -> int:
    cues = studio.conductor.timeline.cues
    return next(cue.at_ms for cue in cues if cue.meaning == meanings.LIGHT_SAFE)


def test_every_cue_of_the_plan_is_written_down_once_and_before_it_is_heard(studio):
    studio.keys.gone = True
    studio.until(WHOLE_MS)
    planned = [(cue.at_ms, cue.meaning) for cue in studio.conductor.timeline.cues]
    written = [e for e in studio.notes.events if e.kind == "cue"]
    assert [(e.planned_ms, e.meaning) for e in written] == planned
    begun = [e for e in studio.notes.events if e.kind == "step-begun"]
    assert [e.step for e in begun] == list(range(len(studio.conductor.timeline.steps)))


def test_the_screen_stays_dark_until_a_key_after_light_safe(studio):
    safe = safe_ms(studio)
    studio.keys.press(safe - 5_000, OTHER)
    studio.until(safe + 30_000)
    assert studio.screen.dark
    assert studio.screen.woken_times == 1
    studio.keys.press(safe + 30_000, OTHER)
    studio.until(safe + 31_000)
    assert not studio.screen.dark


def test_a_key_a_moment_before_light_safe_gives_no_light(studio):
    safe = safe_ms(studio)
    studio.keys.press(safe - 200, OTHER)
    studio.until(safe + 10_000)
    assert studio.screen.dark
    studio.keys.press(safe + 10_000, OTHER)
    studio.until(safe + 11_000)
    assert studio.screen.reason is Reason.SAFE


def test_a_run_without_keys_is_lit_when_it_is_over_if_light_is_safe_then(studio):
    studio.keys.gone = True
    studio.session.run()
    assert studio.screen.reason is Reason.SAFE


def test_a_plan_that_never_makes_light_safe_runs_out_in_the_dark():
    never = Studio(OPEN.replace("    light after: 60 s\n", "").replace("fix: 90 s", "stop: 90 s"))
    assert not [c for c in never.conductor.cues if c.meaning == meanings.LIGHT_SAFE]
    never.keys.gone = True
    never.session.run()
    assert never.screen.dark


def test_a_run_that_is_over_stays_dark_until_a_key(studio):
    end = studio.conductor.end_ms
    studio.until(end + 60_000)
    assert studio.screen.dark
    assert not studio.session.over()
    studio.keys.press(end + 60_000, OTHER)
    studio.until(WHOLE_MS)
    assert studio.session.over()
    assert studio.tape.position_ms() < end + 60_500, "with nothing more to say"
    assert not studio.session.aborted


def test_after_an_abort_in_the_dark_only_the_same_gesture_lights_the_screen(studio):
    for k in range(5):
        studio.keys.press(80_000 + 200 * k, OTHER)
        studio.keys.press(100_000 - 12_000 + 200 * k, OTHER)
    studio.until(110_000)
    assert studio.conductor.aborted_ms is not None
    studio.keys.press(120_000, OTHER)
    studio.until(125_000)
    assert studio.screen.dark
    for k in range(5):
        studio.keys.press(130_000 + 200 * k, OTHER)
    studio.until(135_000)
    assert studio.screen.reason is Reason.ASKED_FOR
    assert studio.session.aborted


@pytest.mark.parametrize("stall_ms", [750, 1_500, 5_000])
def test_a_key_held_while_the_program_stands_still_aborts_nothing(studio, stall_ms):
    """What a terminal kept of a held key meanwhile comes all at once; nobody had let go of it."""
    stalls = [85_000, 90_000, 95_000]
    held = range(80_000, 110_000, 33)
    for at_ms in held:
        studio.keys.press(at_ms, OTHER)
    for at_ms in stalls:
        studio.until(at_ms)
        studio.clock.advance(stall_ms)
    studio.until(120_000)
    assert "confirm" in studio.notes.told("cue")
    assert studio.conductor.aborted_ms is None


def test_a_signal_in_the_dark_is_a_key_and_in_the_light_an_end(studio):
    studio.signals._arrived.append(Key("SIGTERM", False))
    studio.until(1_000)
    assert studio.notes.told("key") == ["where am I"]
    assert not studio.session.over()
    bright = Studio(dark=False)
    bright.keys.press(500, Key("03", False))
    bright.until(1_000)
    assert bright.session.over()


def test_no_more_keys_hold_up_nothing_but_loading():
    studio = Studio(waits=Waits.TRANSFERS)
    gate = studio.conductor.course.stops_ms
    studio.keys.press(gate + 2_000, SPACE)
    studio.keys.press(gate + 4_000, SPACE)
    studio.until(gate + 20_000)
    assert studio.conductor.place(gate + 20_000).waits == "film is in"
    studio.keys.gone = True
    studio.until(gate + 40_000)
    assert studio.conductor.end_ms is not None


def test_sound_that_is_back_says_so_and_where_one_is(studio):
    studio.until(80_000)
    studio.tape.playing = False
    studio.tape.troubles.append(Trouble("lost", studio.tape.position_ms(), "a speaker"))
    studio.until(84_000)
    studio.tape.playing = True
    now = studio.tape.position_ms()
    studio.tape.troubles.append(Trouble("back", now, "a speaker", now - 80_000))
    studio.until(95_000)
    heard = [e.meaning for e in studio.notes.events if e.kind == "cue" and e.at_ms > 80_000]
    assert heard[:2] == ["back", "here-develop"]
    assert [e.meaning for e in studio.notes.events if e.kind == "fault"] == ["lost", "back"]
    assert len(studio.session.troubles) == 2


def test_what_nothing_plays_is_not_written_down_as_heard(studio):
    move = next(c.at_ms for c in studio.conductor.timeline.cues if c.meaning == "move")
    studio.until(move - 2_000)
    studio.tape.playing = False
    studio.until(move + 2_000)
    assert "move" not in studio.notes.told("cue")


def test_a_machine_that_slept_goes_on_where_the_film_is(studio):
    studio.until(80_000)
    studio.clock.sleep(60_000)
    studio.tape.troubles.append(Trouble("slept", 140_000, "", 60_000))
    studio.until(146_000)
    heard = [e.meaning for e in studio.notes.events if e.kind == "cue" and e.at_ms >= 140_000]
    assert heard[:2] == ["back", "here-develop"]
    assert "slept" in studio.notes.told("fault")


def test_a_fault_of_its_own_ends_no_run_in_the_dark(studio, monkeypatch):
    calls = []

    def tick(session: Session) -> None:
        calls.append(session)
        if len(calls) == 2:
            raise RuntimeError("a fault of the program's own")
        if len(calls) == 4:
            session._screen.on(Reason.SAFE)
            session.left_early = True

    monkeypatch.setattr(Session, "tick", tick)
    studio.session.run()
    assert len(calls) == 4
    assert "a fault of the program's own" in studio.notes.told("fault")[0]


def test_a_run_taken_up_tells_what_was_missed(studio):
    studio.clock.advance(90_000)
    kept = studio.conductor.kept()
    studio.session.take_up(kept, 85_000, 0, "")
    studio.until(100_000)
    heard = [e.meaning for e in studio.notes.events if e.kind == "cue"]
    assert heard[:2] == ["back", "here-develop"]
    assert heard[2].startswith("left-")
    fault = next(e for e in studio.notes.events if e.kind == "fault")
    assert (fault.meaning, fault.detail) == ("cut off, taken up after 5.0 s", {})


def test_light_safe_waits_for_what_is_in_doubt(studio):
    safe = safe_ms(studio)
    studio.clock.advance(safe + 10_000)
    studio.session.take_up(studio.conductor.kept(), 90_000, 40_000, "the clock may be wrong")
    assert not studio.conductor.light_safe(safe + 30_000)
    assert studio.conductor.light_safe(safe + 70_000)
    cues = studio.conductor.cues
    assert next(c.at_ms for c in cues if c.meaning == meanings.LIGHT_SAFE) >= safe + 40_000


def test_the_line_plays_what_the_conductor_calls_for(studio):
    studio.keys.press(80_000, OTHER)
    studio.until(82_000)
    cue = next(c for c in studio.conductor.cues if c.meaning == "here-develop")
    block = studio.line.fill(cue.at_ms * RATE // 1000, cue.length_ms * RATE // 1000)
    assert block.any()
    quiet = studio.line.fill((cue.at_ms - 500) * RATE // 1000, RATE // 4)
    assert not quiet.any()


@pytest.mark.parametrize("waits", Waits)
def test_what_was_recorded_is_what_the_conductor_says_it_was(waits):
    """Every sample of a run with keys is that of the cues that were placed, and of no others."""
    studio = Studio(waits=waits, dark=False)
    for at_ms in range(22_000, 300_000, 9_000):
        studio.keys.press(at_ms, SPACE if at_ms % 4_000 else OTHER)
        studio.keys.press(at_ms + 2_000, SPACE)
    studio.until(400_000)
    performed = studio.conductor.performed()
    score = Score(performed, cue_set(), RATE, SPEAKERS["none"])
    recorded = studio.tape.recording.samples()
    assert (recorded == score.fill(0, len(recorded))).all()
