"""The conductor with a clock turned by hand: whole lists of presses, and laws that always hold."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from darktimer.cues.score import Score
from darktimer.cues.speaker import SPEAKERS
from darktimer.live.conductor import LATE_MS, Conductor, Now
from darktimer.live.gates import Waits
from darktimer.live.gestures import Key
from darktimer.live.row import acts, guarded
from darktimer.process import meanings
from darktimer.process.timeline import Cue, Timeline
from tests.live.plans import CLOSED, OPEN, OTHER, SPACE, cue_set, timeline

BUFFER_MS = 300


def conductor(text: str = OPEN, waits: Waits = Waits.LOADING) -> Conductor:
    return Conductor(timeline(text), cue_set(), waits)


def now(ms: int) -> Now:
    return Now(ms, ms + BUFFER_MS)


def press(run: Conductor, key: Key, *moments_ms: int) -> None:
    """Presses after a rest, and with those between them that there is time for."""
    run.rest(1_000)
    for ms, following_ms in pairwise((*moments_ms, moments_ms[-1])):
        run.press(key, now(ms))
        run.rest(following_ms - ms)


def told(run: Conductor, from_ms: int, to_ms: int) -> list[str]:
    return [cue.meaning for cue in run.cues if from_ms <= cue.at_ms < to_ms]


def moment(line: Timeline, meaning: str, nth: int = 0) -> int:
    return [cue.at_ms for cue in line.cues if cue.meaning == meaning][nth]


@pytest.fixture
def running() -> Conductor:
    """The open plan, loaded and in its first bath at once, so that its own times hold."""
    return conductor(waits=Waits.NOWHERE)


@pytest.mark.parametrize("text", [OPEN, CLOSED])
def test_alone_it_gives_the_timeline_sample_for_sample(text):
    line = timeline(text)
    performed = conductor(text, Waits.NOWHERE).performed()
    assert performed == line
    whole = Score(line, cue_set(), 8000, SPEAKERS["wired"])
    live = Score(performed, cue_set(), 8000, SPEAKERS["wired"])
    assert np.array_equal(whole.fill(0, whole.frames), live.fill(0, live.frames))


def test_where_am_i_is_the_signature_then_the_time_left(running):
    begin = moment(running.timeline, "enter-develop")
    press(running, OTHER, begin + 20_000)
    answer = [c for c in running.cues if begin + 20_000 <= c.at_ms < begin + 26_000]
    assert [cue.meaning for cue in answer] == ["here-develop", "left-100"]
    assert answer[0].at_ms == begin + 20_000 + BUFFER_MS, "at once, as far as the buffer lets it"


def test_an_answer_waits_for_an_act_and_takes_the_place_of_company(running):
    move = moment(running.timeline, meanings.STAND, 1)
    press(running, OTHER, move - 500)
    assert told(running, move, move + 3_000) == ["stand", "here-develop", "left-100"]
    assert running.cues == sorted(running.cues)


def test_no_second_answer_while_one_is_under_way(running):
    begin = moment(running.timeline, "enter-develop") + 20_000
    press(running, OTHER, begin, begin + 1_500)
    assert told(running, begin, begin + 8_000).count("here-develop") == 1


def test_going_on_where_nothing_waits_marks_the_moment(running):
    begin = moment(running.timeline, "enter-develop") + 20_000
    before = running.course
    press(running, SPACE, begin)
    assert told(running, begin, begin + 2_000) == ["marked"]
    assert running.course == before


def test_loading_waits_says_so_and_goes_on_when_told_twice():
    run = conductor()
    gate = run.course.stops_ms
    run.advance(now(gate - 1_000))
    run.advance(now(gate + 50_000))
    assert told(run, gate, gate + 50_000) == ["hold"] * 3
    press(run, SPACE, gate + 50_000)
    assert told(run, gate + 50_000, gate + 53_000) == ["confirm"]
    press(run, SPACE, gate + 52_000)
    assert told(run, gate + 52_000, gate + 57_000) == ["pip", "pip", "pip", "enter-soak"]
    late = run.happened[-1].detail["late_ms"]
    entered = next(cue.at_ms for cue in run.cues if cue.meaning == "enter-soak")
    assert entered == moment(run.timeline, "enter-soak") + late


def test_loading_may_be_over_early_but_not_by_one_press():
    run = conductor()
    begin = run.timeline.steps[1].start_ms
    press(run, SPACE, begin + 3_000)
    assert "enter-soak" not in told(run, 0, begin + 15_000)
    press(run, SPACE, begin + 5_000)
    assert told(run, begin + 5_000, begin + 10_000)[-1] == "enter-soak"


def test_two_quick_presses_are_no_answer_to_a_question_not_heard_yet():
    run = conductor()
    begin = run.timeline.steps[1].start_ms
    press(run, SPACE, begin + 3_000, begin + 3_450)
    assert "enter-soak" not in told(run, 0, begin + 15_000)


def test_a_transfer_waits_and_the_steps_after_it_keep_their_length():
    run = conductor(waits=Waits.TRANSFERS)
    gate = run.course.stops_ms
    press(run, SPACE, gate + 500, gate + 3_000)
    entered = moment(run.performed(), "enter-soak")
    run.advance(now(entered + 25_000))
    assert run.place(entered + 25_000).waits == "film is in"
    press(run, SPACE, entered + 25_000)
    assert run.place(entered + 26_000).waits == ""
    soak, planned = run.performed().steps[2], run.timeline.steps[2]
    begun = next(s for s in run.performed().spans if s.step == 2 and s.kind != "transfer")
    meant = next(s for s in run.timeline.spans if s.step == 2 and s.kind != "transfer")
    assert soak.end_ms - begun.start_ms == planned.end_ms - meant.start_ms
    assert soak.end_ms - soak.start_ms > planned.end_ms - planned.start_ms + 15_000


def test_a_transfer_that_was_told_of_in_time_waits_for_nobody():
    run = conductor(waits=Waits.TRANSFERS)
    gate = run.course.stops_ms
    press(run, SPACE, gate + 500, gate + 3_000)
    entered = moment(run.performed(), "enter-soak")
    stop = run.course.stops_ms
    press(run, SPACE, entered + 2_000)
    assert next(c.at_ms for c in run.cues if c.meaning == "stand") == stop
    assert "hold" not in told(run, entered, stop + 10_000)


def test_hold_is_only_for_water(running):
    develop = moment(running.timeline, "enter-develop") + 20_000
    press(running, OTHER, develop, develop + 600)
    assert "refuse" in told(running, develop, develop + 3_000)
    rinse = moment(running.timeline, "enter-rinse") + 15_000
    press(running, OTHER, rinse, rinse + 600)
    assert "hold" in told(running, rinse, rinse + 3_000)
    assert running.place(rinse + 5_000).waits == "hold"
    assert "enter-fix" not in told(running, rinse, 10**9)
    press(running, SPACE, rinse + 30_000)
    assert told(running, rinse + 30_000, rinse + 31_000) == ["marked"]
    assert "enter-fix" in told(running, rinse, 10**9)


def test_abort_is_asked_for_by_five_presses_and_confirmed_by_five_more(running):
    begin = moment(running.timeline, "enter-develop") + 20_000
    presses = [begin + 300 * k for k in range(5)]
    press(running, SPACE, *presses)
    assert running.aborted_ms is None
    press(running, SPACE, *[ms + 5_000 for ms in presses])
    assert running.aborted_ms is not None
    assert running.cues[-1].meaning == "end"
    assert meanings.LIGHT_SAFE not in told(running, 0, 10**9)


def test_a_key_that_something_lies_on_does_not_abort(running):
    begin = moment(running.timeline, "enter-develop") + 20_000
    press(running, OTHER, begin, *range(begin + 500, begin + 60_000, 33))
    assert running.aborted_ms is None


def test_an_act_missed_by_little_is_asked_for_at_once(running):
    move = moment(running.timeline, meanings.MOVE, 1)
    running.returned(now(move + 4_000), silent_from_ms=move - 1_000)
    heard = told(running, move + 4_000, move + 12_000)
    assert heard[:3] == ["move", "back", "here-develop"]
    assert heard[3].startswith("left-")


def test_an_act_missed_by_much_is_replaced_by_an_answer():
    run = conductor(waits=Waits.NOWHERE)
    lift = moment(run.timeline, meanings.LIFT, 1)
    back = lift + LATE_MS + 6_000
    run.returned(now(back), silent_from_ms=lift - 1_000)
    assert told(run, back, back + 1_000)[0] in ("back", "enter-rinse")
    assert next(h.meaning for h in run.happened if h.kind == "fault") == "missed lift"


def test_light_safe_is_told_however_late(running):
    safe = moment(running.timeline, meanings.LIGHT_SAFE)
    running.returned(now(safe + 20_000), silent_from_ms=safe - 1_000)
    assert meanings.LIGHT_SAFE in told(running, safe + 1, safe + 40_000)


def test_a_run_taken_up_again_stands_where_it_stood():
    run = conductor()
    gate = run.course.stops_ms
    press(run, SPACE, gate + 50_000, gate + 52_000)
    again = conductor()
    again.take_up(run.happened[-1].detail, now(gate + 60_000))
    assert again.course == run.course
    later = [cue for cue in run.cues if cue.at_ms > gate + 60_000]
    assert [cue for cue in again.cues if cue.at_ms > gate + 60_000] == later


# Laws

KEYS = some.sampled_from([SPACE, OTHER, Key("y", False), Key("enter", True)])
#: Presses as (milliseconds after the one before, key): single ones, and every gesture of several.
SINGLE = some.tuples(some.one_of(some.integers(0, 900), some.integers(0, 60_000)), KEYS).map(
    lambda press: [press]
)
SEVERAL = some.builds(
    lambda wait, key, gap, times: [(wait, key), *[(gap, key)] * times],
    some.integers(0, 60_000),
    KEYS,
    some.sampled_from([200, 500, 1_500, 3_000]),
    some.integers(1, 9),
)
PRESSES = some.lists(some.one_of(SINGLE, SEVERAL), min_size=1, max_size=12).map(
    lambda rows: [press for row in rows for press in row]
)
RUNS = some.tuples(some.sampled_from([OPEN, CLOSED]), some.sampled_from(Waits))
GAPS = some.lists(some.tuples(some.integers(0, 500_000), some.integers(0, 40_000)), max_size=2)


def uncovered(cues: list[Cue]) -> bool:
    """Whether no sound lies over one that asks for something, in either direction."""
    asked_until = any_until = 0
    for cue in cues:
        if cue.at_ms < (any_until if guarded(cue) else asked_until):
            return False
        any_until = max(any_until, cue.end_ms)
        asked_until = max(asked_until, cue.end_ms) if guarded(cue) else asked_until
    return True


@settings(max_examples=200, deadline=None)
@given(RUNS, PRESSES, GAPS)
def test_whatever_is_pressed(which, presses, gaps):
    run = conductor(*which)
    at_ms = 0
    silences = sorted(gaps)
    for wait_ms, key in presses:
        at_ms += wait_ms
        before = [cue for cue in run.cues if cue.at_ms < at_ms + BUFFER_MS]
        run.press(key, now(at_ms))
        assert [cue for cue in run.cues if cue.at_ms < at_ms + BUFFER_MS] == before
        while silences and silences[0][0] < at_ms:
            run.returned(now(at_ms), at_ms - silences.pop(0)[1])
        assert uncovered(run.cues)
        assert run.cues == sorted(run.cues)
    _acts_are_all_there(run)
    _dark_has_done_its_work(run)


def _acts_are_all_there(run: Conductor) -> None:
    """Every act of the plan stands where its moment falls, up to where the plan stands.

    One that was broken off by a fault was asked for again, or is told of as missed.
    """
    told = {h.meaning.partition(" ")[2] for h in run.happened if h.kind == "fault"}
    if run.aborted_ms is not None:
        return
    stops = run.course.pieces[-1].to_ms
    for cue in filter(acts, run.timeline.cues):
        if stops is None or cue.at_ms < stops:
            stands = cue._replace(at_ms=run.course.at_ms(cue.at_ms)) in run.cues
            assert stands or cue.meaning in told
            if cue.meaning in (meanings.LIGHT_SAFE, meanings.END):
                due_ms = run.course.at_ms(cue.at_ms)
                assert any(c.meaning == cue.meaning and c.at_ms >= due_ms for c in run.cues)


def _dark_has_done_its_work(run: Conductor) -> None:
    performed = run.performed()
    if run.aborted_ms is None:
        for planned, real in zip(run.timeline.steps, performed.steps, strict=True):
            if planned.kind != "load":
                assert real.end_ms - real.start_ms >= planned.end_ms - planned.start_ms
    dark_until = max(step.end_ms for step in performed.steps if step.dark)
    for cue in run.cues:
        if cue.meaning == meanings.LIGHT_SAFE:
            assert cue.at_ms >= dark_until
