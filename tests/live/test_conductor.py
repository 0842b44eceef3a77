"""The conductor with a clock turned by hand: whole lists of presses, and laws that always hold."""

from collections.abc import Iterable
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from darktimer.journal.events import Event
from darktimer.live.conductor import Conductor
from darktimer.live.cue_queue import acts, guarded
from darktimer.live.gates import Waits
from darktimer.live.gestures import Gesture, Gestures, Key
from darktimer.live.missed import LATE_MS
from darktimer.live.planning import performed
from darktimer.live.state import SILENCE, TIME, Now, Phase, Trigger
from darktimer.process import meanings
from darktimer.process.timeline import Cue, Timeline
from tests.live.plans import CLOSED, OPEN, OTHER, SPACE, TRAY, cue_set, timeline

BUFFER_MS = 300


class Run(Conductor):
    """A conductor with hands at its keys, and everything that has happened."""

    def __init__(self, text: str = OPEN, waits: Waits = Waits.LOADING) -> None:
        super().__init__(timeline(text), cue_set(), waits)
        self.hands = Gestures()
        self.log: list[Event] = []

    def take(self, event, now):
        state = super().take(event, now)
        self.log += state.happened
        return state

    @property
    def cues(self) -> tuple[Cue, ...]:
        return self.state.cues

    def advance(self, ms: int) -> None:
        self.take(Trigger(TIME), now(ms))

    def press(self, key: Key, ms: int) -> None:
        self.advance(ms)
        gesture = self.hands.read(key, ms)
        if gesture is not Gesture.NOTHING:
            self.take(Trigger(gesture, self.hands.began_ms, key=key.name), now(ms))

    def silent(self, from_ms: int, to_ms: int, ms: int | None = None) -> None:
        """Nothing was heard from one moment to the other, as is known at ``ms``."""
        self.take(Trigger(SILENCE, from_ms, to_ms), now(to_ms - BUFFER_MS if ms is None else ms))


conductor = Run


def now(ms: int) -> Now:
    return Now(ms, ms, ms + BUFFER_MS)


def press(run: Run, key: Key, *moments_ms: int) -> None:
    """Presses after a rest, and with those between them that there is time for."""
    run.hands.rest(1_000)
    for ms, following_ms in pairwise((*moments_ms, moments_ms[-1])):
        run.press(key, ms)
        run.hands.rest(following_ms - ms)


def told(run: Run, from_ms: int, to_ms: int) -> list[str]:
    return [cue.meaning for cue in run.cues if from_ms <= cue.at_ms < to_ms]


def moment(line: Timeline, meaning: str, nth: int = 0) -> int:
    return [cue.at_ms for cue in line.cues if cue.meaning == meaning][nth]


@pytest.fixture
def running() -> Run:
    """The open plan, loaded and in its first bath at once, so that its own times hold."""
    return conductor(waits=Waits.NOWHERE)


@pytest.mark.parametrize("text", [OPEN, CLOSED])
def test_alone_it_gives_the_timeline(text):
    assert performed(conductor(text, Waits.NOWHERE).state) == timeline(text)


def test_where_am_i_is_the_signature_then_the_time_left(running):
    begin = moment(running.timeline, "enter-develop")
    press(running, OTHER, begin + 20_000)
    answer = [c for c in running.cues if begin + 20_000 <= c.at_ms < begin + 26_000]
    assert [cue.meaning for cue in answer] == ["here-develop", "left-100"]
    assert answer[0].at_ms == begin + 20_000 + BUFFER_MS, "at once, as far as the buffer lets it"


def test_where_am_i_is_the_place_of_the_bath_where_the_order_tells_it():
    run = conductor(OPEN.replace("baths told by: signature", "baths told by: order"), Waits.NOWHERE)
    begin = moment(run.timeline, "enter", 2)  # after lights out and the first bath
    press(run, OTHER, 8_000, begin + 20_000)
    assert told(run, 8_000, 20_000)[0].startswith("left"), "by hand, in no vessel"
    assert told(run, begin + 20_000, begin + 26_000) == ["here-2", "left-100"]


def test_an_answer_waits_for_an_act_and_takes_the_place_of_company(running):
    move = moment(running.timeline, meanings.STAND, 1)
    press(running, OTHER, move - 500)
    assert told(running, move, move + 6_000) == ["stand", "here-develop", "left-100"]
    assert list(running.cues) == sorted(running.cues)


@pytest.mark.parametrize("before_ms", range(200, 4_000, 400))
def test_an_answer_that_waits_for_the_next_bath_tells_that_one(before_ms):
    """What was true when the key was pressed would be a wrong answer after the change."""
    line = timeline(OPEN)
    change_ms = moment(line, "enter-develop")
    run = Run(waits=Waits.NOWHERE)
    press(run, OTHER, change_ms - before_ms)
    for cue in run.state.queue.said:
        if cue.meaning.startswith("here-"):
            assert cue.meaning == f"here-{'soak' if cue.at_ms < change_ms else 'develop'}"


def test_no_second_answer_while_one_is_under_way(running):
    begin = moment(running.timeline, "enter-develop") + 20_000
    press(running, OTHER, begin, begin + 1_500)
    assert told(running, begin, begin + 8_000).count("here-develop") == 1


def test_going_on_where_nothing_waits_marks_the_moment(running):
    begin = moment(running.timeline, "enter-develop") + 20_000
    before = running.state.time_map
    press(running, SPACE, begin)
    assert told(running, begin, begin + 2_000) == ["marked"]
    assert running.state.time_map == before


def test_loading_waits_says_so_and_goes_on_when_told_twice():
    run = conductor()
    gate = run.state.time_map.stops_ms
    run.advance(gate - 1_000)
    run.advance(gate + 50_000)
    assert told(run, gate, gate + 50_000) == ["hold"] * 3
    press(run, SPACE, gate + 50_000)
    assert told(run, gate + 50_000, gate + 53_000) == ["confirm"]
    press(run, SPACE, gate + 52_000)
    assert told(run, gate + 52_000, gate + 57_000) == ["pip", "pip", "pip", "enter-soak"]
    late = run.log[-1].detail["late_ms"]
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
    gate = run.state.time_map.stops_ms
    press(run, SPACE, gate + 500, gate + 3_000)
    entered = moment(performed(run.state), "enter-soak")
    run.advance(entered + 25_000)
    assert run.state.position(entered + 25_000).waits == "film is in"
    press(run, SPACE, entered + 25_000)
    assert run.state.position(entered + 26_000).waits == ""
    soak, planned = performed(run.state).steps[2], run.timeline.steps[2]
    begun = next(s for s in performed(run.state).spans if s.step == 2 and s.kind != "transfer")
    meant = next(s for s in run.timeline.spans if s.step == 2 and s.kind != "transfer")
    assert soak.end_ms - begun.start_ms == planned.end_ms - meant.start_ms
    assert soak.end_ms - soak.start_ms > planned.end_ms - planned.start_ms + 15_000


def test_a_transfer_that_was_told_of_in_time_waits_for_nobody():
    run = conductor(waits=Waits.TRANSFERS)
    gate = run.state.time_map.stops_ms
    press(run, SPACE, gate + 500, gate + 3_000)
    entered = moment(performed(run.state), "enter-soak")
    stop = run.state.time_map.stops_ms
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
    assert running.state.position(rinse + 5_000).waits == "hold"
    assert "enter-fix" not in told(running, rinse, 10**9)
    press(running, SPACE, rinse + 30_000)
    assert told(running, rinse + 30_000, rinse + 31_000) == ["marked"]
    assert "enter-fix" in told(running, rinse, 10**9)


def test_abort_is_asked_for_by_five_presses_and_confirmed_by_five_more(running):
    begin = moment(running.timeline, "enter-develop") + 20_000
    presses = [begin + 300 * k for k in range(5)]
    press(running, SPACE, *presses)
    assert running.state.aborted_ms is None
    press(running, SPACE, *[ms + 5_000 for ms in presses])
    assert running.state.aborted_ms is not None
    assert running.cues[-1].meaning == "end"
    assert meanings.LIGHT_SAFE not in told(running, 0, 10**9)


def test_a_key_that_something_lies_on_does_not_abort(running):
    begin = moment(running.timeline, "enter-develop") + 20_000
    press(running, OTHER, begin, *range(begin + 500, begin + 60_000, 33))
    assert running.state.aborted_ms is None


def test_a_question_that_was_not_heard_is_not_answered(running):
    """Five presses, a silence that hides the question, five more: that is asking, not answering."""
    begin = moment(running.timeline, "enter-develop") + 20_000
    presses = [begin + 300 * k for k in range(5)]
    press(running, SPACE, *presses)
    asked = next(cue.at_ms for cue in running.cues if cue.meaning == meanings.CONFIRM)
    running.silent(asked - 100, asked + 900)
    press(running, SPACE, *[ms + 5_000 for ms in presses])
    assert running.state.aborted_ms is None


def test_a_question_that_was_taken_back_is_not_answered(running):
    """An act that must be asked for again takes the room of a question that has not sounded yet."""
    move = next(cue for cue in running.cues if cue.meaning == meanings.MOVE)
    presses = [move.end_ms + 2_000 + 300 * k for k in range(5)]
    press(running, OTHER, *presses)
    assert meanings.CONFIRM in told(running, presses[-1] + BUFFER_MS, 10**9)
    running.silent(move.at_ms, move.end_ms, presses[-1] + 1)
    assert meanings.CONFIRM not in told(running, presses[0], 10**9)
    press(running, OTHER, *[ms + 5_000 for ms in presses])
    assert running.state.aborted_ms is None


def test_a_question_asked_while_nothing_is_heard_is_not_answered(running):
    begin = moment(running.timeline, "enter-develop") + 20_000
    for late_ms in (0, 5_000):
        running.hands.rest(1_000)
        for ms in range(begin + late_ms, begin + late_ms + 1_500, 300):
            gesture = running.hands.read(SPACE, ms)
            if gesture is not Gesture.NOTHING:
                event = Trigger(gesture, running.hands.began_ms, key="space")
                running.take(event, Now(ms, begin - 500, ms + 10))
    assert running.state.prompt
    assert running.state.aborted_ms is None


def test_leaving_the_film_is_not_confused_with_having_loaded_it():
    """Twice five presses while loading: the sixth does not answer what the first has asked."""
    run = conductor(CLOSED)
    begin = run.timeline.steps[1].start_ms + 3_000
    press(run, SPACE, *[begin + 300 * k for k in range(5)])
    press(run, SPACE, *[begin + 5_000 + 300 * k for k in range(5)])
    assert run.state.aborted_ms is not None
    assert meanings.LIGHT_SAFE not in told(run, 0, 10**9)


def test_nothing_that_was_owed_is_told_after_an_abort(running):
    safe = moment(running.timeline, meanings.LIGHT_SAFE)
    running.silent(safe - 1_000, safe + 2_000)
    assert meanings.LIGHT_SAFE in told(running, safe + 2_000, 10**9)
    running.state = running.state._replace(prompt=None)
    presses = [safe - 3_000 + 300 * k for k in range(5)]
    press(running, OTHER, *presses)
    press(running, OTHER, *[ms + 4_900 for ms in presses])
    if running.state.aborted_ms is not None:
        after = told(running, running.state.aborted_ms, 10**9)
        assert meanings.LIGHT_SAFE not in after


# What was not heard


@pytest.mark.parametrize("hidden_ms", [1, 200, 460])
def test_an_act_cut_off_is_asked_for_again_once(running, hidden_ms):
    move = moment(running.timeline, meanings.MOVE, 1)
    running.silent(move + 460 - hidden_ms, move + 460 - hidden_ms + 900)
    heard = [c for c in running.cues if move <= c.at_ms < move + 8_000]
    assert [c.meaning for c in heard[:3]] == ["move", "back", "here-develop"]
    assert heard[0].at_ms <= move + 460 - hidden_ms + 900 + 500, "as soon as it can be told apart"
    running.silent(heard[0].at_ms + 100, heard[0].at_ms + 700)
    again = [c for c in running.cues if c.meaning == "move" and move <= c.at_ms < move + 8_000]
    assert len(again) == 1


@pytest.mark.parametrize(("from_ms", "to_ms"), [(-900, 0), (510, 900)])
def test_an_act_heard_whole_beside_a_silence_is_not_asked_for_again(running, from_ms, to_ms):
    """Also where it was known only once the act had begun: what was heard is not in doubt."""
    move = moment(running.timeline, meanings.MOVE, 1)
    running.silent(move + from_ms, move + to_ms, ms=move + 700)
    assert told(running, move - 1_000, move + 6_000).count("move") == 1
    assert not running.log


def test_what_is_left_of_an_act_is_told_apart_from_the_act_asked_for_again(running):
    """Its first half was hidden, of its second some is on its way to the speaker."""
    lift = moment(running.timeline, meanings.LIFT)
    running.silent(lift - 500, lift + 200, ms=lift + 100)
    (again,) = (c for c in running.cues if c.meaning == "lift" and abs(c.at_ms - lift) < 5_000)
    assert again.at_ms == lift + 100 + BUFFER_MS + 500


def test_an_act_asked_for_again_keeps_clear_of_the_next_one(running):
    """There is no room before the film is in; so the bath is told of after that."""
    enter = moment(running.timeline, "enter-develop")
    first = next(c for c in running.cues if c.meaning == "move" and c.at_ms > enter)
    running.silent(enter - 200, first.at_ms - 1_500)
    assert told(running, enter, first.at_ms + 3_000)[:2] == ["move", "enter-develop"]
    assert uncovered(running.cues)


def test_light_safe_is_not_repeated_for_a_silence_that_hid_nothing_of_it(running):
    safe = moment(running.timeline, meanings.LIGHT_SAFE)
    running.silent(safe - 3_000, safe, ms=safe + 200)
    assert told(running, safe, 10**9).count(meanings.LIGHT_SAFE) == 1
    assert running.cues[[c.meaning for c in running.cues].index("light-safe")].at_ms == safe


def test_an_act_missed_by_little_is_asked_for_at_once(running):
    move = moment(running.timeline, meanings.MOVE, 1)
    running.silent(move - 1_000, move + 4_300)
    heard = told(running, move + 4_000, move + 12_000)
    assert heard[:3] == ["move", "back", "here-develop"]
    assert heard[3].startswith("left-")
    assert running.log[-1].meaning == "late move"


def test_an_act_missed_by_much_is_replaced_by_an_answer(running):
    lift = moment(running.timeline, meanings.LIFT, 1)
    back = lift + LATE_MS + 6_000
    running.silent(lift - 1_000, back)
    assert told(running, back, back + 1_000)[0] in ("back", "enter-rinse")
    assert "lift" not in told(running, lift, back + 5_000)
    assert next(h.meaning for h in running.log if h.kind == "fault") == "missed lift"


QUICK = OPEN.replace("agitation: 1/2", "agitation: {share: 1/2, cycle: 10 s}")


@pytest.mark.parametrize(
    ("before_ms", "asks"), [(-50, False), (200, False), (3_400, False), (3_800, True)]
)
def test_no_act_is_told_right_before_the_one_that_undoes_it(before_ms, asks):
    run = conductor(QUICK, Waits.NOWHERE)
    stand = moment(run.timeline, meanings.STAND, 2)
    move = next(c.at_ms for c in run.cues if c.meaning == "move" and c.at_ms > stand)
    assert move - stand < 6_000
    run.silent(stand - 100, move - before_ms)
    assert ("stand" in told(run, stand, move + 3_000)) is asks
    assert told(run, move, move + 4_000).count("move") == 1


def test_of_two_acts_missed_the_one_that_was_undone_is_not_told(running):
    stand = moment(running.timeline, meanings.STAND, 1)
    move = next(c.at_ms for c in running.cues if c.meaning == "move" and c.at_ms > stand)
    running.silent(stand - 500, move + 700)
    assert "stand" not in told(running, move, move + 5_000)
    assert told(running, move + 700, move + 1_500)[0] == "move"


@pytest.mark.parametrize("late_ms", [500, 20_000, 60_000])
def test_light_safe_is_told_however_late(running, late_ms):
    safe = moment(running.timeline, meanings.LIGHT_SAFE)
    running.silent(safe - 1_000, safe + late_ms)
    assert meanings.LIGHT_SAFE in told(running, safe + late_ms, 10**9)
    assert meanings.LIGHT_SAFE not in told(running, 0, safe + late_ms)


def test_light_safe_takes_the_place_of_all_but_acts():
    """In a tray a sheet is asked for every few seconds: beside those there is no room."""
    run = conductor(TRAY, Waits.NOWHERE)
    safe = moment(run.timeline, meanings.LIGHT_SAFE)
    run.silent(safe + 5_000, safe + 6_000)
    again = next(c for c in run.cues if c.meaning == meanings.LIGHT_SAFE)
    assert again.at_ms < safe + 8_000
    assert uncovered(run.cues)


# Taken up again


def test_a_run_taken_up_again_stands_where_it_stood():
    run = conductor()
    gate = run.state.time_map.stops_ms
    press(run, SPACE, gate + 50_000, gate + 52_000)
    heard = {(cue.meaning, run.state.planned_ms(cue)) for cue in run.cues}
    again = conductor()
    again.take_up(run.log[-1].detail, heard, gate + 59_000, now(gate + 60_000))
    assert again.state.time_map == run.state.time_map
    later = [cue for cue in run.cues if cue.at_ms > gate + 60_000]
    assert [cue for cue in again.cues if cue.at_ms > gate + 60_000] == later


def test_what_was_not_heard_before_a_kill_is_asked_for_when_there_is_sound_again():
    """Light-safe was due long before, and was to be told when the run was cut off once more."""
    run = conductor(waits=Waits.NOWHERE)
    safe = moment(run.timeline, meanings.LIGHT_SAFE)
    heard = {(c.meaning, c.at_ms) for c in run.cues if c.at_ms < safe}
    at_ms = safe + 40_000
    run.take_up(run.state.kept(), heard, safe + 30_000, now(at_ms))
    assert not run.state.light_safe(at_ms)
    run.silent(safe + 30_000, at_ms + 1_000)
    cue = next(c for c in run.cues if c.meaning == meanings.LIGHT_SAFE)
    assert cue.at_ms >= at_ms + 1_000
    assert run.state.light_safe(cue.end_ms)
    assert not run.state.light_safe(cue.end_ms - 1)


def test_light_safe_waits_for_what_is_in_doubt_and_nothing_else_does():
    run = conductor(waits=Waits.NOWHERE)
    safe, begin = moment(run.timeline, meanings.LIGHT_SAFE), moment(run.timeline, "enter-fix")
    heard = {(c.meaning, c.at_ms) for c in run.cues if c.at_ms < begin - 5_000}
    before = [c for c in run.cues if c.at_ms > begin and c.meaning not in ("light-safe", "tally-1")]
    run.take_up(run.state.kept() | {"doubt_ms": 70_000}, heard, begin - 5_000, now(begin - 4_000))
    (cue,) = (c for c in run.cues if c.meaning == meanings.LIGHT_SAFE)
    assert safe + 70_000 <= cue.at_ms < safe + 90_000
    assert {c for c in before if acts(c)} <= set(run.cues)
    assert run.state.kept()["doubt_ms"] == 70_000, "so that it adds up if it is cut off once more"


def test_doubt_outlasts_a_key():
    run = conductor(waits=Waits.TRANSFERS)
    run.take_up(run.state.kept() | {"doubt_ms": 70_000}, set(), 0, now(10_000))
    gate = run.state.time_map.stops_ms
    press(run, SPACE, gate + 2_000, gate + 4_000)
    while run.state.gates:
        press(
            run,
            SPACE,
            run.state.gates[0].opens_ms + 2_000 + run.state.time_map.segments[-1].shift_ms,
        )
    (cue,) = (c for c in run.cues if c.meaning == meanings.LIGHT_SAFE)
    safe = run.state.time_map.at_ms(moment(run.timeline, meanings.LIGHT_SAFE))
    assert safe + 70_000 <= cue.at_ms < safe + 90_000


# The table


@pytest.mark.parametrize("kind", ["develop", "fix"])
def test_a_hold_in_a_bath_that_works_is_refused(running, kind):
    begin = moment(running.timeline, f"enter-{kind}") + 20_000
    press(running, OTHER, begin, begin + 600)
    assert "refuse" in told(running, begin, begin + 6_000)
    assert not running.state.held


@pytest.mark.parametrize("span", ["drain", "transfer"])
def test_a_hold_while_the_film_is_lifted_or_put_in_is_refused(running, span):
    steps = running.timeline.steps
    at_ms = next(
        s.end_ms - 1_200
        for s in running.timeline.spans
        if s.kind == span and steps[s.step].kind == "rinse" and s.end_ms - s.start_ms > 1_500
    )
    press(running, OTHER, at_ms - 600, at_ms)
    assert not running.state.held


def test_a_stop_bath_is_not_held():
    run = conductor(CLOSED, Waits.NOWHERE)
    begin = moment(run.timeline, "enter-stop") + 10_000
    press(run, OTHER, begin, begin + 600)
    assert not run.state.held


def test_the_phases_of_a_run():
    run = conductor(waits=Waits.TRANSFERS)
    gate = run.state.time_map.stops_ms
    phases = [run.state.phase(now(0)), run.state.phase(now(gate + 50_000))]
    press(run, SPACE, gate + 50_000, gate + 52_000)
    entered = next(c.at_ms for c in run.cues if c.meaning == "enter-soak")
    phases += [run.state.phase(now(entered + ms)) for ms in (500, 20_000)]
    press(run, SPACE, entered + 20_000)
    press(run, OTHER, entered + 35_000, entered + 35_500)
    phases.append(run.state.phase(now(entered + 36_000)))
    assert phases == ["going", "loading", "film coming", "film awaited", "held"]
    alone = conductor(waits=Waits.NOWHERE)
    assert alone.state.phase(now(alone.state.end_ms - 1)) is Phase.GOING
    assert alone.state.phase(now(alone.state.end_ms)) is Phase.OVER


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


def uncovered(cues: Iterable[Cue]) -> bool:
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
        run.hands.rest(wait_ms)
        run.press(key, at_ms)
        assert [cue for cue in run.cues if cue.at_ms < at_ms + BUFFER_MS] == before
        while silences and silences[0][0] < at_ms:
            run.silent(at_ms - silences.pop(0)[1], at_ms + BUFFER_MS)
        assert uncovered(run.cues)
        assert list(run.cues) == sorted(run.cues)
    _acts_are_all_there(run)
    _dark_has_done_its_work(run)


def _acts_are_all_there(run: Run) -> None:
    """Every act of the plan stands where its moment falls, up to where the plan stands.

    One that was broken off by a fault was asked for again, or is told of as missed.
    """
    told = {h.meaning.partition(" ")[2] for h in run.log if h.kind == "fault"}
    if run.state.aborted_ms is not None:
        return
    stops = run.state.time_map.segments[-1].to_ms
    for cue in filter(acts, run.timeline.cues):
        if stops is None or cue.at_ms < stops:
            due_ms = run.state.time_map.at_ms(cue.at_ms)
            assert cue._replace(at_ms=due_ms) in run.cues or cue.meaning in told
            if cue.meaning in (meanings.LIGHT_SAFE, meanings.END):
                assert any(c.meaning == cue.meaning and c.at_ms >= due_ms for c in run.cues)


def _dark_has_done_its_work(run: Run) -> None:
    was = performed(run.state)
    if run.state.aborted_ms is None:
        for planned, real in zip(run.timeline.steps, was.steps, strict=True):
            if planned.kind != "load":
                assert real.end_ms - real.start_ms >= planned.end_ms - planned.start_ms
    dark_until = max(step.end_ms for step in was.steps if step.dark)
    for cue in run.cues:
        if cue.meaning == meanings.LIGHT_SAFE:
            assert cue.at_ms >= dark_until
