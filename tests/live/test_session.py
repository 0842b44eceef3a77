"""A session on a clock turned by hand: what reaches the journal, the screen and the line."""

from itertools import pairwise

import pytest

from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.journal.clocks import Reading
from darktimer.journal.events import Event
from darktimer.journal.runs import Run
from darktimer.live.gates import Waits
from darktimer.live.gestures import Key
from darktimer.live.lights import Reason
from darktimer.live.planning import performed
from darktimer.live.resume import CutOff
from darktimer.live.session import Session
from darktimer.output.trouble import Trouble
from darktimer.pages.closing import print_closing
from darktimer.process import meanings
from tests.live.plans import OPEN, OTHER, SPACE, cue_set
from tests.live.studio import RATE, Studio

WHOLE_MS = 10**7
RUN = Run._make([7, "key", *[None] * (len(Run._fields) - 2)])


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
    studio.until(safe + 12_000)
    assert studio.screen.dark
    studio.keys.press(safe + 12_000, OTHER)
    studio.until(safe + 13_000)
    assert studio.screen.reason is Reason.SAFE


def test_a_run_without_keys_is_lit_when_it_is_over_if_light_is_safe_then(studio):
    studio.keys.gone = True
    studio.session.run()
    assert studio.screen.reason is Reason.SAFE


def test_light_is_given_once(studio):
    studio.keys.press(safe_ms(studio) + 20_000, OTHER)
    studio.session.run()
    assert studio.notes.told("note").count("light") == 1


def test_a_plan_that_never_makes_light_safe_runs_out_in_the_dark():
    never = Studio(OPEN.replace("    light after: 60 s\n", "").replace("fix: 90 s", "stop: 90 s"))
    assert not [c for c in never.conductor.state.cues if c.meaning == meanings.LIGHT_SAFE]
    never.keys.gone = True
    never.session.run()
    assert never.screen.dark


def test_a_run_that_is_over_stays_dark_until_a_key(studio):
    end = studio.conductor.state.end_ms
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
    assert studio.conductor.state.aborted_ms is not None
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
    assert studio.conductor.state.aborted_ms is None


def test_a_signal_in_the_dark_is_a_key_and_in_the_light_an_end(studio):
    studio.keys.press(0, Key("SIGTERM", False))
    studio.until(1_000)
    assert studio.notes.told("key") == ["where am I"]
    assert not studio.session.over()
    bright = Studio(dark=False)
    bright.keys.press(500, Key("03", False))
    bright.until(1_000)
    assert bright.session.over()


def test_no_more_keys_hold_up_nothing_but_loading():
    studio = Studio(waits=Waits.TRANSFERS)
    gate = studio.conductor.state.time_map.stops_ms
    studio.keys.press(gate + 2_000, SPACE)
    studio.keys.press(gate + 4_000, SPACE)
    studio.until(gate + 20_000)
    assert studio.conductor.state.position(gate + 20_000).waits == "film is in"
    studio.keys.gone = True
    studio.until(gate + 40_000)
    assert studio.conductor.state.end_ms is not None


def test_sound_that_is_back_says_so_and_where_one_is(studio):
    studio.until(80_000)
    studio.tape.playing = False
    studio.tape.troubles.append(Trouble("lost", studio.tape.position_ms(), "a speaker"))
    studio.until(84_000)
    studio.tape.back(studio.tape.position_ms() - 80_000)
    studio.until(95_000)
    heard = [e.meaning for e in studio.notes.events if e.kind == "cue" and e.at_ms > 80_000]
    assert heard[:2] == ["back", "here-develop"]
    assert [e.meaning for e in studio.notes.events if e.kind == "fault"] == ["lost", "back"]
    (told,) = studio.session.troubles
    assert told[1].startswith("sound lost: a speaker; put right: sound back at 1:2")
    assert told[1].endswith(" s of silence, a speaker")


def test_what_was_not_heard_is_not_written_down_as_heard(studio):
    """A cue is written down when it was heard to its end: not before, not in a silence."""
    move = next(c for c in studio.conductor.timeline.cues if c.meaning == "move")
    studio.until(move.end_ms - 100)
    assert "move" not in studio.notes.told("cue")
    studio.tape.playing = False
    studio.until(move.at_ms + 2_000)
    assert "move" not in studio.notes.told("cue")
    studio.tape.back(2_100)
    studio.until(move.at_ms + 5_000)
    (told,) = (e for e in studio.notes.events if (e.kind, e.meaning) == ("cue", "move"))
    assert told.at_ms > move.at_ms + 2_000
    assert told.planned_ms == move.at_ms, "so that it is known which act it was"


def test_a_machine_that_slept_goes_on_where_the_film_is(studio):
    """The sleep itself is a word in the journal; what it hid shows in the sound."""
    studio.until(80_000)
    studio.clock.sleep(60_000)
    studio.tape.troubles.append(Trouble("slept", 140_000, "", 60_000))
    studio.tape.troubles.append(Trouble("stalled", 140_300, "", 60_000))
    studio.until(146_000)
    heard = [e.meaning for e in studio.notes.events if e.kind == "cue" and e.at_ms >= 140_000]
    assert heard.count("back") == 1
    assert "here-develop" in heard
    assert "slept" in studio.notes.told("fault")


def test_nothing_is_written_down_of_what_is_still_to_come(studio):
    """A run that is cut off is taken up from the last moment that is written down."""
    studio.until(80_000)
    studio.tape.troubles.append(Trouble("stalled", 80_500, "", 300))
    studio.until(80_100)
    assert max(event.at_ms for event in studio.notes.events) <= 80_100


@pytest.mark.parametrize("before_ms", [200, 1])
def test_a_press_just_before_light_safe_was_heard_lights_nothing(studio, before_ms):
    cue = next(c for c in studio.conductor.timeline.cues if c.meaning == meanings.LIGHT_SAFE)
    for at_ms in (cue.at_ms - before_ms, cue.at_ms + before_ms, cue.end_ms - 200 - before_ms):
        studio.keys.press(at_ms, OTHER)
        studio.until(at_ms + 100)
        assert studio.screen.dark
    studio.keys.press(cue.end_ms + 50, OTHER)
    studio.until(cue.end_ms + 200)
    assert studio.screen.reason is Reason.SAFE


def test_light_safe_that_nobody_heard_lights_nothing(studio):
    safe = safe_ms(studio)
    studio.until(safe - 2_000)
    studio.tape.playing = False
    for at_ms in range(safe - 1_000, safe + 40_000, 5_000):
        studio.keys.press(at_ms, OTHER)
    studio.until(safe + 41_000)
    assert studio.screen.dark
    studio.tape.back(43_000)
    studio.until(safe + 70_000)
    studio.keys.press(safe + 70_000, OTHER)
    studio.until(safe + 71_000)
    assert studio.screen.reason is Reason.SAFE


def test_that_a_run_goes_on_is_written_down_every_two_seconds(studio):
    studio.until(21_000)
    alive = [e.at_ms for e in studio.notes.events if e.meaning == "alive"]
    assert len(alive) == 10
    assert all(2_000 <= two - one <= 2_100 for one, two in pairwise(alive))


def test_keys_that_mean_nothing_are_counted(studio):
    """One that is held sends thirty a second."""
    for at_ms in range(10_000, 19_900, 33):
        studio.keys.press(at_ms, OTHER)
    studio.until(25_000)
    counted = sum(e.detail.get("keys", 0) for e in studio.notes.events if e.meaning == "alive")
    assert counted + len(studio.notes.told("key")) == 300
    assert len(studio.notes.told("key")) < 30


def test_loading_waits_though_no_key_can_come():
    studio = Studio(waits=Waits.TRANSFERS)
    gate = studio.conductor.state.time_map.stops_ms
    studio.until(gate + 5_000)
    studio.keys.gone = True
    studio.until(gate + 600_000)
    assert studio.conductor.state.position(gate + 600_000).waits == "loading"
    assert "enter-soak" not in studio.notes.told("cue")
    assert studio.screen.dark


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


def cut_off(studio: Studio, last_ms: int, **kept) -> CutOff:
    """As it is found after a kill, in which all until then was heard."""
    state, line = studio.conductor.state, studio.conductor.timeline
    heard = frozenset((c.meaning, c.at_ms) for c in line.cues if c.end_ms <= last_ms)
    origin = Reading(1_900_000_000_000, 0, "a start")
    doubt = "the clock may be wrong" if kept else ""
    return CutOff(RUN, line, origin, state.kept() | kept, {}, last_ms, heard, doubt, True)


def test_a_run_taken_up_tells_what_was_missed(studio):
    studio.clock.advance(90_000)
    studio.session.take_up(cut_off(studio, 85_000))
    studio.tape.back(500)
    studio.until(100_000)
    heard = [e.meaning for e in studio.notes.events if e.kind == "cue"]
    assert heard[:2] == ["back", "here-develop"]
    assert heard[2].startswith("left-")
    fault = next(e for e in studio.notes.events if e.kind == "fault")
    assert fault.meaning == "cut off, resumed after 5.0 s"
    assert fault.detail["origin"]["boot_id"] == "a start"
    assert "doubt" not in fault.detail


def test_the_end_of_a_run_that_was_taken_up_tells_of_all_of_it(studio, capsys):
    """A leak that was marked before a kill is no less a leak; a doubt is told once."""
    before = (
        Event(40_000, 0, "key", "marked", 1, None, {"key": "space"}),
        Event(50_000, 0, "fault", "full-disk"),
        Event(60_000, 0, "cue", "marked", 1),
    )
    studio.clock.advance(90_000)
    begun = cut_off(studio, 85_000, doubt_ms=10)._replace(happened=before)
    studio.session.take_up(begun)
    studio.tape.back(500)
    studio.until(100_000)
    print_closing(studio.session, 7, [])
    page = " ".join(capsys.readouterr().out.split())
    marks, faults = page.partition("Marks:")[2], page.partition("Faults:")[2]
    assert "0:40" in marks
    assert "1:00" not in marks.partition("Write down")[0]
    assert "0:50 full-disk" in faults
    assert page.count("the clock may be wrong") == 1


@pytest.mark.parametrize("before_ms", [50, 450, 1_200])
def test_killed_before_light_safe_it_is_told_and_lights_nothing_until_then(studio, before_ms):
    safe = next(c for c in studio.conductor.timeline.cues if c.meaning == meanings.LIGHT_SAFE)
    studio.clock.advance(safe.at_ms + 2_000)
    studio.session.take_up(cut_off(studio, safe.at_ms - before_ms))
    studio.keys.press(safe.at_ms + 2_500, OTHER)
    studio.until(safe.at_ms + 3_000)
    assert studio.screen.dark
    studio.tape.back(1_000)
    studio.until(safe.at_ms + 30_000)
    assert "light-safe" in studio.notes.told("cue")
    studio.keys.press(safe.at_ms + 30_100, OTHER)
    studio.until(safe.at_ms + 31_000)
    assert studio.screen.reason is Reason.SAFE


def test_light_safe_waits_for_what_is_in_doubt(studio):
    safe = safe_ms(studio)
    studio.clock.advance(safe + 10_000)
    studio.session.take_up(cut_off(studio, 90_000, doubt_ms=40_000))
    studio.tape.back(1_000)
    studio.until(safe + 100_000)
    (told,) = (e for e in studio.notes.events if e.meaning == meanings.LIGHT_SAFE)
    assert told.at_ms >= safe + 40_000
    assert any("may be wrong" in found for _, found in studio.session.troubles)


def test_a_run_taken_up_without_keys_waits_for_loading_only(studio):
    studio = Studio(waits=Waits.TRANSFERS)
    gates = [gate.plan_ms for gate in studio.conductor.state.gates[1:]]
    kept = {"course": [[0, gates[0], 0]], "gates": gates}
    studio.keys.gone = True
    studio.clock.advance(gates[0] + 5_000)
    studio.session.take_up(cut_off(studio, gates[0] + 4_000, **kept))
    studio.until(gates[0] + 6_000)
    assert studio.conductor.state.time_map.stops_ms is None


def test_the_line_plays_what_the_conductor_calls_for(studio):
    studio.keys.press(80_000, OTHER)
    studio.until(82_000)
    cue = next(c for c in studio.conductor.state.cues if c.meaning == "here-develop")
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
    score = Score(performed(studio.conductor.state), cue_set(), RATE, SPEAKERS["none"])
    recorded = studio.tape.recording.samples()
    assert (recorded == score.fill(0, len(recorded))).all()
