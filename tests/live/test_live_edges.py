"""The edges of what a run decides, to the millisecond, on plans of a few cues made by hand."""

import pytest

from darktimer.live import transitions
from darktimer.live.conductor import Conductor
from darktimer.live.cue_queue import CueQueue, acts, guarded
from darktimer.live.gates import Gate, Waits, gates, waits_of
from darktimer.live.gestures import Gesture, Gestures, Key
from darktimer.live.missed import worth_asking
from darktimer.live.plan_index import PlanIndex, Position
from darktimer.live.planning import follow, hurrying, performed
from darktimer.live.state import TIME, Now, Phase, Prompt, State, Trigger
from darktimer.live.telling import answer, ask, confirmed, remind, say, tell_again
from darktimer.live.time_map import Segment, TimeMap
from darktimer.live.transitions import (
    abort,
    film_in,
    hold,
    leave,
    make_up,
    mark,
    refuse,
    resume,
    wait_no_more,
)
from darktimer.process import meanings
from darktimer.process.timeline import Cue, Span, Step, Timeline

SPACE, OTHER = Key("space", True), Key("x", False)
LENGTH_MS = 400
STEPS = (
    Step("load", "load", 0, 30_000, True, sign="load"),
    Step("develop", "develop", 30_000, 150_000, True, sign="develop"),
    Step("fix", "fix", 150_000, 210_000, True, sign="fix"),
    Step("fix", "fix", 210_000, 270_000, False, sign="fix"),
    Step("wash", "wash", 270_000, 300_000, False, sign="wash"),
)
SPANS = (
    Span(0, "hand", 0, 30_000),
    Span(1, "transfer", 30_000, 40_000),
    Span(1, "agitate", 40_000, 150_000),
    Span(2, "stand", 150_000, 210_000),
    Span(3, "stand", 210_000, 270_000),
    Span(4, "agitate", 270_000, 300_000),
)


def cue(at_ms: int, meaning: str = meanings.MOVE, length_ms: int = LENGTH_MS) -> Cue:
    step = max((n for n, each in enumerate(STEPS) if each.start_ms <= at_ms), default=0)
    return Cue(at_ms, length_ms, meaning, step)


def plan(*cues: Cue) -> PlanIndex:
    return PlanIndex(Timeline("made", 300_000, STEPS, SPANS, cues, ()), lambda _: LENGTH_MS)


def state(*cues: Cue, ms: int = 0, gates: tuple[Gate, ...] = (), skip: bool = False) -> State:
    """All heard up to ``ms``, and all handed over; the plan stops at the first gate."""
    begun = follow(State(plan(*cues), TimeMap(), gates, skip).stopping(_first(gates)))
    return begun.at(Now(ms, ms, ms))


def _first(gates: tuple[Gate, ...]) -> int | None:
    return gates[0].plan_ms if gates else None


def said(state: State) -> list[tuple[int, str]]:
    return [(each.at_ms, each.meaning) for each in state.queue.said]


# Keys


def gestures(*moments_ms: int, key: Key = OTHER) -> list[Gesture]:
    hands = Gestures()
    return [hands.read(key, ms) for ms in moments_ms]


@pytest.mark.parametrize(
    ("key", "moments_ms", "last"),
    [
        (OTHER, (0, 79), Gesture.NOTHING),
        (OTHER, (0, 80), Gesture.HOLD),
        (OTHER, (0, 700), Gesture.HOLD),
        (OTHER, (0, 701), Gesture.WHERE),
        (OTHER, (0, 500, 1_000), Gesture.NOTHING),
        (OTHER, (0, 500, 1_201), Gesture.WHERE),
        (SPACE, (0, 399), Gesture.NOTHING),
        (SPACE, (0, 400), Gesture.GO_ON),
        (OTHER, (0, 500, 1_000, 1_500, 2_000), Gesture.ABORT),
        (OTHER, (0, 500, 1_000, 1_500, 2_001), Gesture.HOLD),
        (OTHER, (0, 500, 1_000, 1_500), Gesture.WHERE),
    ],
)
def test_a_press_means_what_its_moment_makes_of_it(key, moments_ms, last):
    assert gestures(*moments_ms, key=key)[-1] is last


def test_the_first_press_of_all_asks_where_one_is_or_goes_on():
    assert gestures(0) == [Gesture.WHERE]
    assert gestures(0, key=SPACE) == [Gesture.GO_ON]


def test_after_an_abort_five_presses_more_are_needed():
    assert gestures(*range(0, 900, 100))[4:] == [
        Gesture.ABORT,
        *[Gesture.NOTHING] * 3,
        Gesture.ABORT,
    ]


def test_keys_of_two_kinds_are_not_one_key_five_times():
    hands = Gestures()
    read = [hands.read((OTHER, SPACE)[n % 2], 300 * n) for n in range(6)]
    assert Gesture.ABORT not in read


def test_where_am_i_after_go_on_is_no_hold():
    hands = Gestures()
    assert hands.read(SPACE, 0) is Gesture.GO_ON
    assert hands.read(OTHER, 300) is Gesture.WHERE


@pytest.mark.parametrize(("rest_ms", "began_ms"), [(699, 0), (700, 5_000)])
def test_a_gesture_begins_after_a_rest(rest_ms, began_ms):
    hands = Gestures()
    hands.rest(700)
    hands.read(SPACE, 0)
    hands.rest(rest_ms)
    hands.read(SPACE, 5_000)
    assert hands.began_ms == began_ms


def test_without_a_rest_no_gesture_has_begun_and_each_press_ends_a_rest():
    hands = Gestures()
    hands.read(SPACE, 10)
    assert hands.began_ms == -1_000_000
    hands.rest(400)
    hands.read(OTHER, 20)
    hands.rest(400)
    hands.read(OTHER, 30)
    assert hands.began_ms == -1_000_000


def test_a_run_begins_without_a_rest_and_a_bounce_is_counted_from_the_last_press():
    hands = Gestures()
    hands.rest(699)
    assert hands.read(SPACE, 0) is Gesture.GO_ON
    assert hands.began_ms == -1_000_000
    assert hands.read(OTHER, 500) is Gesture.WHERE
    assert hands.read(OTHER, 570) is Gesture.NOTHING


@pytest.mark.parametrize(("name", "ends"), [("03", True), ("SIGTERM", True), ("x", False)])
def test_what_ends_a_program_is_known(name, ends):
    assert Key(name, False).ends is ends


# Gates


def test_gates_lie_at_the_end_of_loading_and_of_transfers():
    made = plan().timeline
    loading, transfer = Gate(30_000, 0, 0, True), Gate(40_000, 30_000, 1, False)
    assert gates(made, Waits.NOWHERE) == ()
    assert gates(made, Waits.LOADING) == (loading,)
    assert gates(made, Waits.TRANSFERS) == (loading, transfer)
    assert [waits_of(each) for each in (None, True, False)] == [
        Waits.LOADING, Waits.TRANSFERS, Waits.NOWHERE,
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("pips_ms", "gate_ms"),
    [
        ((20_000,), 30_000),
        ((20_001,), 19_501),
        ((20_000, 27_000, 28_000, 29_000), 26_500),
    ],
)
def test_loading_waits_before_its_own_countdown(pips_ms, gate_ms):
    pips = (cue(ms, meanings.PIP) for ms in pips_ms)
    elsewhere = cue(21_000, meanings.PIP)._replace(step=1), cue(22_000)
    made = plan(*sorted([*pips, *elsewhere])).timeline
    assert [gate.plan_ms for gate in gates(made, Waits.LOADING)] == [gate_ms]


def test_no_time_to_transfer_and_nothing_to_transfer_to_make_no_gate():
    spans = (*SPANS[:1], Span(1, "transfer", 30_000, 30_000), Span(5, "transfer", 300_000, 301_000))
    steps = (*STEPS, Step("done", "done", 300_000, 301_000, False))
    made = Timeline("made", 301_000, steps, spans, (), ())
    assert gates(made, Waits.TRANSFERS) == (Gate(30_000, 0, 0, True),)


# How plan and run lie on each other

PAUSED = TimeMap((Segment(0, 10_000, 0), Segment(10_000, None, 20_000)))
JUMPED = TimeMap((Segment(0, 5_000, 0), Segment(8_000, None, -2_000)))
THRICE = TimeMap((*JUMPED.stopping(10_000).segments, Segment(20_000, None, 10_000)))


@pytest.mark.parametrize(
    ("time_map", "plan_ms", "at_ms"),
    [
        (PAUSED, -5, -5),
        (PAUSED, 9_999, 9_999),
        (PAUSED, 10_000, 30_000),
        (JUMPED, 4_999, 4_999),
        (JUMPED, 5_000, 6_000),
        (JUMPED, 7_999, 6_000),
        (JUMPED, 8_001, 6_001),
        (THRICE, 7_000, 6_000),
        (THRICE, 15_000, 30_000),
        (TimeMap((Segment(0, 10_000, 0),)), 12_000, 12_000),
    ],
)
def test_when_a_moment_of_the_plan_comes(time_map, plan_ms, at_ms):
    assert time_map.at_ms(plan_ms) == at_ms


@pytest.mark.parametrize(
    ("time_map", "at_ms", "plan_ms"),
    [
        (PAUSED, -5, -5),
        (PAUSED, 29_999, 10_000),
        (PAUSED, 30_001, 10_001),
        (JUMPED, 4_999, 4_999),
        (JUMPED, 5_999, 5_000),
        (JUMPED, 6_000, 8_000),
    ],
)
def test_which_moment_of_the_plan_it_is(time_map, at_ms, plan_ms):
    assert time_map.plan_ms(at_ms) == plan_ms


def test_what_is_waited_at_twice_comes_with_the_last_going_on():
    twice = TimeMap().stopping(10_000).going_on(10_000, 20_000, 10_000)
    assert twice.going_on(10_000, 30_000, None).at_ms(10_000) == 30_000


# Where a plan is


@pytest.mark.parametrize(
    ("plan_ms", "step", "kind", "span", "left_ms"),
    [
        (-5, 0, "load", "hand", 30_005),
        (0, 0, "load", "hand", 30_000),
        (29_999, 0, "load", "hand", 1),
        (30_000, 1, "develop", "transfer", 120_000),
        (40_000, 1, "develop", "agitate", 110_000),
        (150_000, 2, "fix", "stand", 120_000),
        (210_000, 3, "fix", "stand", 60_000),
        (300_500, 4, "wash", "agitate", 0),
    ],
)
def test_a_place_in_the_plan(plan_ms, step, kind, span, left_ms):
    """The two parts of the fix, of which light divides one, are one bath."""
    assert plan().position(plan_ms) == Position(
        plan_ms, step, kind, span, left_ms, "", STEPS[step].sign
    )


def test_two_baths_of_a_kind_that_no_light_divides_are_two():
    steps = (Step("a", "rinse", 0, 10, True), Step("b", "rinse", 10, 30, True))
    made = PlanIndex(Timeline("", 30, steps, (), (), ()), len)
    assert made.position(0) == Position(0, 0, "rinse", "", 10, "")


def test_two_rinses_with_another_bath_between_are_two():
    steps = (
        Step("a", "rinse", 0, 10, True),
        Step("b", "fix", 10, 30, True),
        Step("c", "rinse", 30, 60, False),
    )
    assert PlanIndex(Timeline("", 60, steps, (), (), ()), len).position(0).left_ms == 10


# Acts that were missed


@pytest.mark.parametrize(
    ("meaning", "asked_ms", "planned", "worth"),
    [
        (meanings.MOVE, 19_999, (), True),
        (meanings.MOVE, 20_000, (), False),
        (meanings.LIGHT_SAFE, 900_000, (), True),
        (meanings.END, 900_000, (), True),
        (meanings.MOVE, 12_000, (cue(15_400, meanings.STAND),), True),
        (meanings.MOVE, 12_000, (cue(15_399, meanings.STAND),), False),
        (meanings.MOVE, 12_000, (cue(10_001, meanings.LIFT),), False),
        (meanings.MOVE, 12_000, (cue(10_000, meanings.LIFT),), True),
        (meanings.MOVE, 12_000, (cue(11_000, meanings.MOVE),), True),
        (meanings.STAND, 12_000, (cue(11_000, meanings.MOVE),), False),
        (meanings.STAND, 12_000, (cue(11_000, "enter-fix"),), False),
        (meanings.LIFT, 12_000, (cue(11_000, meanings.STAND),), True),
        (meanings.LIFT, 12_000, (cue(11_000, "enter-fix"),), False),
        ("enter-fix", 12_000, (cue(11_000, meanings.LIFT),), False),
        ("enter-fix", 12_000, (cue(11_000, "enter-wash"),), False),
        ("enter-fix", 12_000, (cue(11_000, meanings.MOVE),), True),
        (meanings.MOVE, 12_000, (cue(15_400, meanings.PIP), cue(15_500, meanings.STAND)), True),
        (meanings.REVERSE, 900_000, (), True),
        (meanings.REVERSE, 900_000, (cue(903_399, "enter-develop"),), False),
        (meanings.REVERSE, 25_000, (cue(40_000, meanings.REVERSE),), True),
        (meanings.REVERSE, 25_000, (cue(20_000, meanings.REVERSE),), False),
    ],
)
def test_an_act_due_at_ten_seconds_is_asked_for_again_as_long_as_it_is_right(
    meaning, asked_ms, planned, worth
):
    assert worth_asking(meaning, 10_000, cue(asked_ms, meaning), planned) is worth


# Where there is room


def test_what_keeps_its_place_is_kept_clear_by_half_a_second():
    queue = CueQueue(filled_ms=0).planning((cue(2_000), cue(4_000, "tally-1")), (cue(8_000),))
    assert queue.room_ms(1_100, 400, guarded) == 1_100, "it ends half a second before"
    assert queue.room_ms(1_101, 400, guarded) == 2_900
    assert queue.room_ms(2_900, 400, guarded) == 2_900
    assert queue.room_ms(3_500, 400, guarded) == 3_500, "a count gives way"
    assert queue.room_ms(7_101, 400, guarded) == 8_900, "so does nothing after the next gate"


def test_the_first_free_moment_is_clear_of_what_goes_on():
    queue = CueQueue(filled_ms=0).planning((cue(1_000, length_ms=3_000), cue(9_000)), ())
    assert queue.free_ms() == 0
    assert queue._replace(filled_ms=1_000).free_ms() == 1_000, "what begins then is not handed over"
    assert queue._replace(filled_ms=1_001).free_ms() == 4_500
    assert queue._replace(filled_ms=4_500).free_ms() == 4_500
    assert queue.free_ms((cue(5_000),)) == 5_900
    assert queue._replace(broken_ms=300).free_ms() == 800
    assert queue.end_ms == 9_400
    assert CueQueue().end_ms == 0


def test_a_long_sound_goes_on_below_seven_that_begin_later():
    row = (cue(0, length_ms=60_000), *(cue(1_000 * n, "tally-1") for n in range(1, 8)))
    queue = CueQueue(filled_ms=0).planning(row, ())
    assert queue.end_ms == 60_000
    assert queue._replace(filled_ms=9_000).free_ms() == 60_500
    assert queue.room_ms(9_000, 400, guarded) == 60_500


def test_what_was_not_heard_is_in_nobodys_way():
    queue = CueQueue(filled_ms=0).planning((cue(1_000, length_ms=3_000),), ())
    cut = queue._replace(filled_ms=1_700)
    assert cut.without(cut.cues) == cut._replace(cues=(), broken_ms=1_700)
    ended = queue._replace(filled_ms=6_000)
    assert ended.without(ended.cues).broken_ms == 4_000
    assert ended.without(()) is ended


def test_what_is_said_takes_the_place_of_company_and_an_act_that_of_all_but_acts():
    row = (cue(1_000, "tally-1"), cue(2_000, meanings.PIP), cue(3_000))
    queue = CueQueue(filled_ms=0).planning(row, ())
    answered = queue.saying(cue(1_899, "left-60"))
    assert [each.meaning for each in answered.cues] == ["left-60", meanings.PIP, meanings.MOVE]
    clear = queue.saying(cue(1_900, "left-60"))
    assert clear.cues[0].meaning == "tally-1"
    again = queue.saying(cue(2_500, meanings.LIFT))
    assert [each.meaning for each in again.cues] == ["tally-1", meanings.LIFT, meanings.MOVE]


def test_only_what_was_not_handed_over_is_taken_back():
    queue = CueQueue(filled_ms=0).saying(cue(1_000, "left-60")).saying(cue(5_000, "left-50"))
    assert queue.taking_back().said == ()
    assert queue._replace(filled_ms=1_000).taking_back().said == ()
    assert queue._replace(filled_ms=1_001).taking_back().said == (cue(1_000, "left-60"),)
    assert queue._replace(filled_ms=5_001).taking_back().said == queue.said


def test_what_was_said_and_is_over_is_forgotten():
    queue = CueQueue(filled_ms=0).saying(cue(1_000, "left-60"))
    over, goes_on = queue._replace(filled_ms=1_400), queue._replace(filled_ms=1_399)
    assert over.saying(cue(2_000, "left-50")).said == (cue(2_000, "left-50"),)
    assert len(goes_on.saying(cue(2_000, "left-50")).said) == 2


def test_which_cues_are_acts_and_which_are_guarded():
    assert all(map(acts, (cue(0), cue(0, "enter-fix"), cue(0, meanings.LIGHTS_OUT))))
    assert not any(map(acts, (cue(0, meanings.PIP), cue(0, "tally-2"))))
    assert all(map(guarded, (cue(0), cue(0, meanings.PIP), cue(0, meanings.SHEET))))
    assert not guarded(cue(0, "tally-2"))


# What is said beside the plan


def test_what_is_said_waits_no_longer_than_it_may():
    row = tuple(cue(40_000 + 1_000 * n) for n in range(20))
    busy = state(*row, ms=40_000)
    assert said(say(busy, "left-60", 19_899)) == []
    assert said(say(busy, "left-60", 19_900)) == [(59_900, "left-60")]
    assert said(say(busy, "left-60")) == [(59_900, "left-60")]
    assert say(busy, "left-60", 5_000) is busy


@pytest.mark.parametrize(("length_ms", "is_said"), [(19_500, True), (19_501, False)])
def test_what_nobody_waits_for_is_said_within_twenty_seconds(length_ms, is_said):
    busy = state(cue(50_000, length_ms=length_ms), ms=50_000)
    assert said(say(busy, "left-60")) == [(70_000, "left-60")] * is_said


@pytest.mark.parametrize(("length_ms", "is_said"), [(7_500, True), (7_501, False)])
def test_time_left_is_told_within_eight_seconds(length_ms, is_said):
    """The signature has room until 50.4 s, so that what is left could be told from 50.9 s on."""
    answered = answer(state(cue(50_900, length_ms=length_ms), ms=50_000))
    assert said(answered)[1:] == [(58_900, "left-90")] * is_said


@pytest.mark.parametrize(("ms", "left"), [(59_250, "left-90"), (59_251, "left-80")])
def test_a_short_signature_is_followed_after_three_quarters_of_a_second(ms, left):
    """Develop ends at 150 s; at 60 s just 90 s of it are left, a millisecond later less."""
    short = PlanIndex(plan().timeline, lambda _: 200)
    answered = answer(State(short, TimeMap(), (), False).at(Now(ms, ms, ms)))
    assert said(answered) == [(ms, "here-develop"), (ms + 750, left)]


def test_a_pause_is_kept_and_so_is_what_was_said_before():
    quiet = say(state(ms=50_000), "left-60", pause_ms=750)
    assert said(quiet) == [(50_750, "left-60")]
    assert said(say(quiet, "left-50"))[1:] == [(51_650, "left-50")]


def test_an_answer_is_the_signature_and_after_a_pause_what_is_left_then():
    """0.75 s for a second press, and not before the signature has been over for half a second."""
    assert said(answer(state(ms=50_000))) == [(50_000, "here-develop"), (50_900, "left-90")]
    assert said(answer(state(ms=150_000))) == [(150_000, "here-fix"), (150_900, "left-110")]


def test_a_long_bath_has_no_more_left_than_a_cue_can_say():
    steps = (Step("develop", "develop", 0, 9_000_000, True, sign="develop"),)
    made = PlanIndex(Timeline("", 9_000_000, steps, (), (), ()), lambda _: LENGTH_MS)
    begun = State(made, TimeMap(), (), False).at(Now(0, 0, 0))
    assert said(answer(begun))[1] == (900, "left-5990")


@pytest.mark.parametrize(
    ("now_ms", "asked_again"), [(55_000, False), (55_001, True), (60_000, True), (60_001, True)]
)
def test_the_same_question_is_asked_again_after_five_seconds(now_ms, asked_again):
    begun = ask(state(ms=50_000), Gesture.GO_ON)
    assert begun.prompt == Prompt(Gesture.GO_ON, 50_000)
    later = ask(begun.at(Now(now_ms, now_ms, now_ms)), Gesture.GO_ON)
    assert (later.prompt != begun.prompt) is asked_again


@pytest.mark.parametrize(("now_ms", "asked"), [(60_000, Gesture.ABORT), (60_001, Gesture.GO_ON)])
def test_leaving_the_film_gives_way_to_no_other_question_for_ten_seconds(now_ms, asked):
    begun = ask(state(ms=50_000), Gesture.ABORT).at(Now(now_ms, now_ms, now_ms))
    assert ask(begun, Gesture.GO_ON).prompt.what == asked
    other = ask(state(ms=50_000), Gesture.GO_ON).at(Now(51_000, 51_000, 51_000))
    assert ask(other, Gesture.ABORT).prompt.what == Gesture.ABORT


@pytest.mark.parametrize(
    ("now_ms", "heard_ms", "from_ms", "what", "is_meant"),
    [
        (51_000, 51_000, 50_000, Gesture.ABORT, True),
        (51_000, 51_000, 49_999, Gesture.ABORT, False),
        (51_000, 49_999, 50_500, Gesture.ABORT, False),
        (51_000, 50_000, 50_500, Gesture.ABORT, True),
        (51_000, 51_000, 50_500, Gesture.GO_ON, False),
        (60_000, 60_000, 50_500, Gesture.ABORT, True),
        (60_001, 60_001, 50_500, Gesture.ABORT, False),
    ],
)
def test_a_question_is_answered_by_what_began_after_it_was_heard(
    now_ms, heard_ms, from_ms, what, is_meant
):
    asked = ask(state(ms=50_000), Gesture.ABORT).at(Now(now_ms, heard_ms, now_ms))
    assert confirmed(asked, Trigger(what, from_ms)) is is_meant


@pytest.mark.parametrize(("filled_ms", "is_open"), [(50_000, False), (50_001, True)])
def test_a_question_that_was_not_handed_over_is_taken_back(filled_ms, is_open):
    asked = ask(state(ms=50_000), Gesture.ABORT)
    back = asked.at(Now(filled_ms, 50_000, filled_ms)).taking_back()
    assert (back.prompt == asked.prompt) is is_open
    assert bool(back.queue.said) is is_open


def test_nothing_is_confirmed_that_was_not_asked():
    assert not confirmed(state(ms=50_000), Trigger(Gesture.ABORT, 50_000))


def test_a_plan_that_waits_says_so_every_twenty_seconds_two_minutes_ahead():
    gate = Gate(40_000, 30_000, 1, False)
    waiting = remind(state(cue(39_900), ms=45_000, gates=(gate,)))
    held = [each.at_ms for each in waiting.queue.reminders]
    assert held == [40_800, 60_800, 80_800, 100_800, 120_800, 140_800, 160_800]
    assert [each.step for each in waiting.queue.reminders] == [1] * 7
    on = remind(waiting.at(Now(60_801, 60_801, 60_801)))
    assert [each.at_ms for each in on.queue.reminders][7:] == [180_800]
    assert (
        remind(waiting.at(Now(60_800, 60_800, 60_800))).queue.reminders == waiting.queue.reminders
    )


def test_nobody_is_reminded_more_than_two_minutes_ahead_or_where_nothing_is_waited_for():
    gate = Gate(130_000, 30_000, 1, False)
    far, near = state(ms=10_000, gates=(gate,)), state(ms=10_001, gates=(gate,))
    assert remind(far) is far
    assert [each.at_ms for each in remind(near).queue.reminders] == [130_000]
    assert remind(state(ms=50_000)).queue.reminders == ()


def test_missed_acts_are_asked_for_one_after_the_other_and_once():
    begun = state(cue(50_000), cue(51_000, meanings.LIGHTS_OUT), ms=52_000)
    begun = begun._replace(queue=begun.queue.without(begun.cues))
    asked = tell_again(begun, [cue(50_000), cue(51_000, meanings.LIGHTS_OUT)])
    assert [(each.at_ms, each.meaning) for each in asked.queue.again] == [
        (52_000, meanings.MOVE), (52_900, meanings.LIGHTS_OUT),
    ]  # fmt: skip
    assert [each.detail["late_ms"] for each in asked.happened] == [2_000, 1_000]
    twice = tell_again(asked, [cue(50_000)])
    assert twice.queue.again == asked.queue.again


def test_what_grows_old_is_asked_for_before_what_is_right_at_any_time():
    missed = [cue(49_000, meanings.LIGHT_SAFE), cue(50_000)]
    asked = tell_again(state(ms=52_000), missed)
    assert [(each.at_ms, each.meaning) for each in asked.queue.again] == [
        (52_000, meanings.MOVE), (52_900, meanings.LIGHT_SAFE),
    ]  # fmt: skip


# What triggers do


@pytest.mark.parametrize(("free_ms", "is_told"), [(2_000, True), (2_001, False)])
def test_a_mark_waits_for_two_seconds(free_ms, is_told):
    """The act that is in its way ends half a second before it would have room."""
    busy = cue(50_000, length_ms=free_ms - 500)
    marked = mark(state(busy, ms=50_000), Trigger(Gesture.GO_ON))
    assert said(marked) == [(50_000 + free_ms, meanings.MARKED)] * is_told


@pytest.mark.parametrize(
    ("ms", "is_held"), [(10_000, True), (35_000, False), (100_000, False), (280_000, True)]
)
def test_a_plan_is_held_where_that_does_the_film_no_harm(ms, is_held):
    assert hold(state(ms=ms), Trigger(Gesture.HOLD)).held is is_held


def test_what_is_refused_takes_the_place_of_what_was_to_be_said():
    refused = refuse(say(state(ms=50_000), "left-60", pause_ms=100), Trigger(Gesture.HOLD))
    assert said(refused) == [(50_000, meanings.REFUSE)]


@pytest.mark.parametrize(("to_ms", "is_told"), [(50_999, False), (51_000, True)])
def test_a_silence_of_a_second_is_told_and_a_shorter_one_that_hid_nothing_is_not(to_ms, is_told):
    silent = make_up(state(ms=52_000), Trigger("silence", 50_000, to_ms))
    assert (meanings.BACK in [each for _, each in said(silent)]) is is_told


@pytest.mark.parametrize(
    ("from_ms", "to_ms", "is_missed"),
    [
        (50_399, 50_500, True),
        (50_400, 50_500, False),
        (49_900, 50_000, False),
        (49_900, 50_001, True),
    ],
)
def test_an_act_is_missed_where_any_of_it_was(from_ms, to_ms, is_missed):
    after = make_up(state(cue(50_000), ms=51_000), Trigger("silence", from_ms, to_ms))
    assert bool(after.queue.again) is is_missed


def test_a_question_that_was_not_heard_was_not_asked():
    asked = ask(state(ms=50_000), Gesture.ABORT).at(Now(52_000, 50_000, 52_000))
    assert make_up(asked, Trigger("silence", 50_000, 52_000)).prompt is None
    assert make_up(asked, Trigger("silence", 50_400, 52_000)).prompt == asked.prompt


def notes(state: State) -> list[tuple[str, str, int | None, int | None]]:
    return [(e.kind, e.meaning, e.step, e.detail.get("late_ms")) for e in state.happened]


TRANSFER = Gate(40_000, 30_000, 1, False)
WASHING = Gate(280_000, 270_000, 4, False)


@pytest.mark.parametrize(
    ("ms", "segment"),
    [
        (45_000, (Segment(0, 40_000, 0), Segment(40_000, 280_000, 5_000))),
        (35_000, (Segment(0, 35_000, 0), Segment(40_000, 280_000, -5_000))),
    ],
)
def test_a_gate_is_left_at_once_and_how_late_that_is_noted(ms, segment):
    left = leave(state(ms=ms, gates=(TRANSFER, WASHING)), Trigger(Gesture.GO_ON))
    assert left.time_map.segments == segment
    assert left.gates == (WASHING,)
    assert notes(left) == [("gate", "went on", 1, ms - 40_000)]


def test_a_gate_is_left_as_soon_as_no_sound_is_in_the_way():
    """The answer goes on to 45.3 s; half a second later is 45.8 s."""
    speaking = state(ms=44_900, gates=(TRANSFER,))
    speaking = say(speaking, "left-60").at(Now(45_000, 45_000, 45_000))
    left = leave(speaking, Trigger(Gesture.GO_ON))
    assert left.time_map.segments[1] == Segment(40_000, None, 5_800)
    assert notes(left) == [("gate", "went on", 1, 5_800)]


def test_a_film_that_is_in_early_opens_its_gate_only():
    opened = film_in(state(ms=35_000, gates=(TRANSFER, WASHING)), Trigger(Gesture.GO_ON))
    assert (opened.gates, opened.time_map.stops_ms) == ((WASHING,), 280_000)
    assert notes(opened) == [("gate", "passed", 1, None)]


@pytest.mark.parametrize("ms", [0, 10_000])
def test_a_plan_that_was_held_goes_on_where_it_stood(ms):
    held = hold(state(ms=ms), Trigger(Gesture.HOLD))
    assert notes(held) == [("hold", "held", 0, None)]
    later = ms + 25_000
    on = resume(held.at(Now(later, later, later)), Trigger(Gesture.GO_ON))
    assert (on.held, on.time_map.stops_ms) == (False, None)
    assert on.time_map.segments == (Segment(0, ms, 0), Segment(ms, None, 25_000))
    assert notes(on) == [("hold", "went on", 0, 25_000)]
    assert said(on)[-1] == (later, meanings.MARKED)


@pytest.mark.parametrize(("ms", "is_answered"), [(50_399, False), (50_400, True)])
def test_a_second_answer_comes_once_the_first_is_over(ms, is_answered):
    first = say(state(ms=50_000), "left-60").at(Now(ms, ms, ms))
    again = transitions.answer(first, Trigger(Gesture.WHERE))
    assert (again is not first) is is_answered


@pytest.mark.parametrize(("filled_ms", "is_told"), [(55_000, False), (55_001, True)])
def test_an_abort_takes_back_what_was_not_handed_over(filled_ms, is_told):
    """One act asked for again lies at 55 s; the end is told as soon as there is room."""
    asked = ask(state(cue(58_000), cue(280_000), ms=50_000), Gesture.ABORT)
    asked = asked._replace(queue=asked.queue.saying(cue(55_000, meanings.LIFT)))
    now = Now(54_000, 54_000, filled_ms)
    over = abort(asked.at(now), Trigger(Gesture.ABORT, 51_000))
    told = [each.meaning for each in over.cues]
    assert told == [meanings.CONFIRM, *[meanings.LIFT] * is_told, meanings.END]
    assert (over.aborted_ms, over.time_map.stops_ms) == (filled_ms, filled_ms)
    assert notes(over) == [("note", "aborted", 1, None)]


def test_without_keys_only_loading_goes_on_waiting():
    loading = Gate(29_000, 0, 0, True)
    end = Trigger("no more keys")
    waiting = wait_no_more(state(ms=31_000, gates=(loading, TRANSFER)), end)
    assert (waiting.gates, waiting.time_map.stops_ms) == ((loading,), 29_000)
    assert notes(waiting) == [("gate", "waits no more", 0, None)]
    coming = wait_no_more(state(ms=35_000, gates=(TRANSFER, WASHING)), end)
    assert (coming.gates, coming.time_map.stops_ms) == ((), None)
    awaited = wait_no_more(state(ms=45_000, gates=(TRANSFER, WASHING)), end)
    assert awaited.time_map.segments[1] == Segment(40_000, None, 5_000)
    held = hold(state(ms=10_000), Trigger(Gesture.HOLD)).at(Now(20_000, 20_000, 20_000))
    assert not wait_no_more(held, end).held


def test_what_begins_with_the_plan_is_told():
    begun = state(cue(0), cue(10))
    assert begun.cues == (cue(0), cue(10))


# Silence that is skipped


@pytest.mark.parametrize(("quiet_ms", "is_skipped"), [(2_500, False), (2_501, True)])
def test_quiet_of_more_than_two_and_a_half_seconds_is_cut_to_what_is_left_of_it(
    quiet_ms, is_skipped
):
    """0.7 s are left of it; what is handed over ends at 51 s, the sound before at 50.4 s."""
    row = (cue(50_000), cue(50_400 + quiet_ms))
    begun = state(*row, ms=50_900, skip=True)
    after = hurrying(begun)
    assert (after is not begun) is is_skipped
    if is_skipped:
        assert [each.at_ms for each in after.cues] == [50_000, 50_900 + 700]


def test_nothing_is_skipped_while_a_sound_goes_on_or_up_to_a_gate():
    begun = state(cue(50_000), cue(90_000), ms=50_899, skip=True)
    assert hurrying(begun) is begun
    gate = Gate(60_000, 50_500, 1, False)
    stopped = hurrying(state(cue(50_000), cue(90_000), ms=50_900, gates=(gate,), skip=True))
    assert stopped.time_map.stops_ms == 50_900 + 700


def test_what_begins_right_now_is_not_skipped():
    begun = state(cue(50_000), cue(90_000), ms=50_000, skip=True)
    assert hurrying(begun) is begun


@pytest.mark.parametrize(("next_ms", "is_skipped"), [(2_500, False), (2_501, True)])
def test_quiet_at_the_very_beginning_is_skipped_as_any_other(next_ms, is_skipped):
    begun = state(cue(next_ms), ms=0, skip=True)
    assert (hurrying(begun) is not begun) is is_skipped


# What falls where


def test_what_comes_after_the_next_gate_is_beyond_unless_the_plan_is_held():
    row = (cue(35_000), cue(45_000), cue(150_000, "enter-fix"))
    pair = (Gate(40_000, 30_000, 1, False), Gate(150_000, 149_000, 1, False))
    begun = state(*row, gates=pair)
    assert (begun.cues, begun.queue.beyond) == (row[:1], row[1:])
    assert follow(begun._replace(held=True)).queue.beyond == ()


def test_what_falls_on_a_gate_comes_after_it():
    begun = state(cue(39_999), cue(40_000), gates=(TRANSFER,))
    assert (begun.cues, begun.queue.beyond) == ((cue(39_999),), (cue(40_000),))


def test_light_safe_waits_for_what_is_uncertain_and_moves_with_it():
    begun = state(cue(210_000, meanings.LIGHT_SAFE), cue(220_000), ms=205_000)
    unsure = follow(begun._replace(uncertain_ms=40_000))
    assert [each.at_ms for each in unsure.cues] == [220_000, 250_000]
    asked = unsure._replace(queue=unsure.queue.saying(cue(230_000)))
    more = follow(asked._replace(uncertain_ms=50_000))
    assert [each.at_ms for each in more.cues] == [220_000, 230_000, 260_000]
    due = follow(unsure.at(Now(250_000, 250_000, 250_000))._replace(uncertain_ms=50_000))
    assert [each.at_ms for each in due.cues] == [220_000, 260_000], "not handed over yet"
    gone = follow(unsure.at(Now(250_001, 250_001, 250_001))._replace(uncertain_ms=50_000))
    assert [each.at_ms for each in gone.cues] == [220_000, 250_000]


# States


@pytest.mark.parametrize(
    ("ms", "gate", "phase", "waits"),
    [
        (29_999, Gate(40_000, 30_000, 1, False), Phase.GOING, ""),
        (30_000, Gate(40_000, 30_000, 1, False), Phase.FILM_COMING, ""),
        (39_999, Gate(40_000, 30_000, 1, False), Phase.FILM_COMING, ""),
        (40_000, Gate(40_000, 30_000, 1, False), Phase.FILM_AWAITED, "film is in"),
        (0, Gate(30_000, 0, 0, True), Phase.LOADING, ""),
        (30_000, Gate(30_000, 0, 0, True), Phase.LOADING, "loading"),
    ],
)
def test_the_phase_of_a_run_that_comes_to_a_gate(ms, gate, phase, waits):
    begun = state(ms=ms, gates=(gate,))
    assert (begun.phase(begun.now), begun.waits(ms)) == (phase, waits)
    assert begun.end_ms is None


def test_what_is_waited_for_is_the_next_of_several_gates():
    pair = (Gate(30_000, 0, 0, True), Gate(40_000, 30_000, 1, False))
    assert state(ms=30_000, gates=pair).waits(30_000) == "loading"


@pytest.mark.parametrize(("ms", "phase"), [(299_999, Phase.GOING), (300_000, Phase.OVER)])
def test_a_run_is_over_with_its_plan(ms, phase):
    assert state(ms=ms).phase(Now(ms, ms, ms)) is phase
    assert state(cue(299_900), ms=ms).end_ms == 300_300, "or with the last sound"


@pytest.mark.parametrize(("ms", "has_begun"), [(-1, False), (0, True)])
def test_the_dark_begins_with_its_first_step(ms, has_begun):
    assert state(ms=ms).dark_begun(ms) is has_begun


@pytest.mark.parametrize(("heard_ms", "is_safe"), [(210_399, False), (210_400, True)])
def test_light_is_safe_once_that_was_heard_to_its_end(heard_ms, is_safe):
    assert state(cue(210_000, meanings.LIGHT_SAFE)).light_safe(heard_ms) is is_safe
    assert not state(cue(210_000)).light_safe(heard_ms)


def test_what_is_kept_is_taken_up_again():
    gate = Gate(40_000, 30_000, 1, False)
    begun = state(ms=10_000, gates=(gate,))._replace(uncertain_ms=7)
    assert begun.kept() == {
        "course": (Segment(0, 40_000, 0),), "gates": [40_000], "held": False, "doubt_ms": 7,
    }  # fmt: skip
    kept = begun.kept() | {"course": [[0, 5_000, 1]], "gates": [], "held": True}
    again = begun.taken_up(kept)
    assert (again.time_map, again.gates) == (TimeMap((Segment(0, 5_000, 1),)), ())
    assert (again.held, again.uncertain_ms) == (True, 7)
    del kept["doubt_ms"]
    assert begun.taken_up(kept).uncertain_ms == 0, "as runs wrote it that knew none"


def test_what_happened_is_noted_in_its_step_and_gone_with_time():
    noted = state(ms=160_000).noting("note", "one").noting("note", "two", 0, more=1)
    assert [(each.at_ms, each.meaning, each.step, each.detail) for each in noted.happened] == [
        (160_000, "one", 2, {}), (160_000, "two", 0, {"more": 1}),
    ]  # fmt: skip
    assert [each.wall_utc_ms for each in noted.happened] == [0, 0], "filled in on writing"
    assert noted.at(Now(0, 0, 0)).happened == ()


def test_what_was_performed_ends_where_it_was_aborted():
    lived = performed(state(cue(50_000), ms=100_000)._replace(aborted_ms=100_000))
    assert (lived.duration_ms, lived.steps[1].end_ms, lived.steps[3].start_ms) == (100_000,) * 3
    assert lived.spans[2] == Span(1, "agitate", 40_000, 100_000)


# The conductor


class Lengths:
    """As much of a cue set as a conductor asks for."""

    def length_ms(self, meaning: str) -> int:
        return LENGTH_MS


def conductor(*cues: Cue, waits: Waits = Waits.NOWHERE) -> Conductor:
    return Conductor(plan(*cues).timeline, Lengths(), waits)


def keys(state: State) -> list[tuple[str, str]]:
    return [(each.meaning, each.detail["key"]) for each in state.happened if each.kind == "key"]


def test_a_key_is_noted_by_what_it_means_and_one_in_vain_is_not():
    led, now = conductor(), Now(50_000, 50_000, 50_000)
    assert keys(led.take(Trigger(Gesture.WHERE, 50_000, key="x"), now)) == [("where am I", "x")]
    assert keys(led.take(Trigger(Gesture.WHERE, 50_000, key="x"), now)) == []
    assert keys(led.take(Trigger(Gesture.GO_ON, 50_000, key="space"), now)) == [("marked", "space")]
    assert led.take(Trigger(TIME), now).happened == ()


def test_a_mark_that_has_no_room_is_noted_all_the_same():
    led = conductor(cue(50_000, length_ms=9_000))
    marked = led.take(Trigger(Gesture.GO_ON, 0, key="space"), Now(50_000, 50_000, 50_000))
    assert (said(marked), keys(marked)) == ([], [("marked", "space")])


@pytest.mark.parametrize(("plan_ms", "left"), [(30_000, 2), (30_001, 1), (40_001, 0)])
def test_a_run_that_begins_in_the_middle_waits_at_no_gate_before(plan_ms, left):
    led = conductor(waits=Waits.TRANSFERS)
    assert led.state.time_map.stops_ms == 30_000
    led.leave_gates_before(plan_ms)
    assert len(led.state.gates) == left
    assert led.state.time_map.stops_ms == {2: 30_000, 1: 40_000, 0: None}[left]


def test_a_run_taken_up_owes_the_acts_of_the_last_ten_seconds_and_those_that_never_grow_old():
    """Cut off at 60 s, sound again from 65 s on: what begins then is still to come."""
    safe, lift = cue(20_000, meanings.LIGHT_SAFE), cue(58_000, meanings.LIFT)
    row = (safe, cue(49_999), cue(50_000), cue(55_000, "tally-1"), lift, cue(65_000))
    led = conductor(*row)
    heard = {(meanings.LIFT, 58_000)}
    after = led.take_up(led.state.kept(), heard, 60_000, Now(64_000, 64_000, 65_000))
    assert after.owed == (safe, cue(50_000))
    assert after.cues == (lift, cue(65_000))


def test_light_safe_that_is_owed_and_put_off_meanwhile_is_told_once():
    """It was unheard at the cut; a hold, before there is sound again, puts it off anew."""
    led = conductor(cue(210_000, meanings.LIGHT_SAFE))
    kept = led.state.kept() | {"doubt_ms": 5_000}
    after = led.take_up(kept, set(), 216_000, Now(280_000, 280_000, 281_000))
    assert [(each.meaning, each.at_ms) for each in after.owed] == [(meanings.LIGHT_SAFE, 215_000)]
    held = led.take(Trigger(Gesture.HOLD, 282_000), Now(282_000, 282_000, 283_000))
    assert held.held
    back = led.take(Trigger("silence", 216_000, 283_000), Now(283_000, 283_000, 284_000))
    assert [each.meaning for each in back.cues].count(meanings.LIGHT_SAFE) == 1
