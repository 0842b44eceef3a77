"""Knocks as keys: what a run does with them, and what becomes of it where they are not heard."""

import json
import re
import threading
import time
import weakref
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from itertools import pairwise
from types import SimpleNamespace

import numpy as np
import pytest

from darktimer.errors import OutputError
from darktimer.knocks import detector
from darktimer.knocks.patterns import Knocked, meant
from darktimer.live import knocks as room
from darktimer.live.cue_queue import CueQueue
from darktimer.live.gates import Waits
from darktimer.live.gestures import KNOCK as NAME
from darktimer.live.gestures import Gesture, Gestures, Key
from darktimer.live.knocks import Knocks, News
from darktimer.live.trial import EXAMPLE, MARK, QUESTION, _played
from darktimer.live.trial import WHERE as WHERE_AM_I
from darktimer.output.devices import Device
from darktimer.pages import resuming
from darktimer.pages.pager import Pager
from darktimer.prepare.prepared import prepare
from darktimer.process import meanings
from darktimer.process.timeline import Cue
from tests.device.bench import GO_ON, RATE, WHERE, knocked
from tests.live.plans import OPEN, SPACE, cue_set
from tests.live.studio import Studio

WHOLE_MS = 10**7
KNOCK = Key(NAME, True, ago_ms=1_000)
ASKS = Key(NAME, False, ago_ms=1_000)
BENCH = Device(3, "bench", "ALSA", 1, RATE, False)


class Told:
    """Knocks of which only is known what becomes of their microphone."""

    def __init__(self) -> None:
        self.gone = False
        self.told: list[News] = []

    def news(self) -> Iterator[News]:
        told, self.told = self.told, []
        yield from told


@pytest.fixture
def studio() -> Studio:
    """A run that waits at each transfer and has no keyboard."""
    studio = Studio(OPEN, Waits.TRANSFERS)
    studio.keys.gone, studio.keys.knocks = True, Told()
    return studio


def heard(studio: Studio) -> list[str]:
    return studio.notes.told("cue")


def test_a_run_is_led_by_knocks_alone(studio):
    for at_ms in (30_000, 34_000):
        studio.keys.press(at_ms, KNOCK)
    studio.keys.press(60_000, ASKS)
    for at_ms in range(70_000, 900_000, 10_000):
        studio.keys.press(at_ms, KNOCK)
    studio.session.run()
    assert heard(studio).count(meanings.CONFIRM) == 1
    assert heard(studio).count(meanings.LIGHT_SAFE) == 1
    assert not studio.screen.dark
    pressed = [e for e in studio.notes.events if e.kind == "key"]
    assert {e.detail["key"] for e in pressed} == {"knock"}
    assert {e.meaning for e in pressed} >= {Gesture.GO_ON, Gesture.WHERE, meanings.MARKED}
    assert "fault" not in [e.kind for e in studio.notes.events]


def test_knocks_that_were_begun_before_the_question_are_no_answer(studio):
    studio.keys.press(30_000, KNOCK)
    studio.until(30_500)
    asked_ms = next(c.at_ms for c in studio.conductor.state.cues if c.meaning == meanings.CONFIRM)
    studio.keys.press(asked_ms + 900, KNOCK)
    studio.until(asked_ms + 5_000)
    assert studio.conductor.state.gates[0].loading
    studio.keys.press(asked_ms + 6_200, KNOCK)
    studio.until(asked_ms + 7_000)
    assert not studio.conductor.state.gates[0].loading


@pytest.mark.parametrize(
    ("from_ms", "to_ms", "heard"),
    [(900, 1_000, False), (900, 1_001, True), (1_699, 1_800, True), (1_700, 1_800, False)],
)
def test_a_cue_is_heard_until_it_has_rung(from_ms: int, to_ms: int, heard: bool) -> None:
    queue = CueQueue(cues=(Cue(1_000, 500, meanings.MARKED, 0), Cue(9_000, 500, "stand", 0)))
    assert queue.heard_between(from_ms, to_ms) is heard


@pytest.mark.parametrize("sure", [True, False])
@pytest.mark.parametrize("over_own", [True, False])
def test_what_may_be_the_programs_own_sound_is_no_knock(
    studio: Studio, over_own: bool, sure: bool
) -> None:
    cues = studio.conductor.state.cues
    quiet = next(e for e, later in pairwise(cues) if later.at_ms > e.end_ms + 2_000)
    read_ms = quiet.end_ms + (600 if over_own else 1_600)
    studio.keys.press(read_ms, KNOCK._replace(sure=sure))
    studio.until(read_ms + 500)
    pressed = [event for event in studio.notes.events if event.kind == "key"]
    assert bool(pressed) is (sure or not over_own)
    assert studio.session._logbook.keys == (not pressed)


def test_patterns_of_knocks_never_hold_and_never_abort():
    gestures = Gestures()
    found = [gestures.read(each, at_ms) for at_ms in range(0, 9_000, 800) for each in (ASKS,)]
    assert set(found) == {Gesture.WHERE}


def test_a_microphone_that_is_lost_is_told_by_the_alarm_and_written_down(studio):
    studio.until(30_000)
    studio.keys.knocks.told = [News("knocks are not heard: bench: it went away", alarms=True)]
    studio.until(40_000)
    assert heard(studio).count(meanings.ALARM) == 1
    assert [found for _, found in studio.session.troubles] == [
        "knocks are not heard: bench: it went away"
    ]
    studio.keys.knocks.told = [News("knocks are heard again", alarms=False)]
    studio.until(50_000)
    assert heard(studio).count(meanings.ALARM) == 1
    assert "knocks are heard again" in studio.notes.told("note")


def test_with_neither_keys_nor_knocks_only_loading_goes_on_waiting(studio):
    for at_ms in (30_000, 34_000):
        studio.keys.press(at_ms, KNOCK)
    studio.until(50_000)
    studio.keys.knocks.gone = True
    studio.session.run()
    gone = "no more keys can come: terminal and microphone are gone"
    assert gone in [found for _, found in studio.session.troubles]
    assert heard(studio).count(meanings.LIGHT_SAFE) == 1


def test_a_keyboard_that_goes_away_is_no_matter_while_knocks_are_heard():
    studio = Studio(OPEN, Waits.TRANSFERS)
    studio.keys.knocks = Told()
    studio.until(5_000)
    studio.keys.gone = True
    studio.until(60_000)
    assert studio.session.troubles == []
    assert studio.conductor.state.gates[0].loading


# The microphone itself


class Hands:
    """Whoever knocks where a microphone is: gives it sound block by block, and takes it away."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.device: Device | None = BENCH
        self.streams: list[Hands.Stream] = []
        hands = self

        class Stream:
            def __init__(self, device, rate, take, latency_s) -> None:
                self.name, self.rate, self.take, self.finished = device.name, rate, take, False
                hands.streams.append(self)

            def __enter__(self):
                return self

            def __exit__(self, *_) -> None: ...

        self.Stream = Stream
        monkeypatch.setattr(room, "Microphone", Stream)
        monkeypatch.setattr(room, "microphone", lambda name, otherwise: self._chosen(name))
        monkeypatch.setattr(room, "look_again", lambda ours: True)
        monkeypatch.setattr(room, "_PAUSE_S", 0.01)
        monkeypatch.setattr(room, "_BEGINS_S", 0.5)
        monkeypatch.setattr(room, "_CLOSES_S", 0.01)
        monkeypatch.setattr(room, "_REPORTED_S", 0.4)
        monkeypatch.setattr(room, "_GONE_S", 0.8)

    def _chosen(self, name: str | None) -> Device | None:
        if name == "nobody":
            raise OutputError(name, "there is no such microphone", "write one of: bench")
        return self.device

    def sound(self, wave: np.ndarray) -> list[weakref.ref]:
        """Gives it all at once; returns the blocks, held by nobody."""
        within(lambda: bool(self.streams))
        given = []
        for start in range(0, len(wave), 1200):
            block = (np.clip(wave[start : start + 1200], -1, 1) * 32_767).astype(np.int16)
            given.append(weakref.ref(block))
            self.streams[-1].take(block)
        return given


def within(true: Callable[[], object], seconds: float = 3) -> None:
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end
        time.sleep(0.01)


def quiet(seconds: float) -> np.ndarray:
    return np.random.default_rng(1).normal(0, 0.0005, round(seconds * RATE))


@pytest.fixture
def hands(monkeypatch) -> Hands:
    return Hands(monkeypatch)


@pytest.fixture
def listening(hands) -> Iterator[Callable[..., Knocks]]:
    with ExitStack() as stack:
        yield lambda *about: stack.enter_context(Knocks(*about))


def knock(hands: Hands, knocks: Knocks, rests_s: tuple[float, float]) -> Key:
    hands.sound(np.concatenate((quiet(1.2), knocked(rests_s) + quiet(2)[: len(knocked(rests_s))])))
    hands.sound(quiet(0.6))
    found: list[Key] = []
    within(lambda: found.extend(knocks.read()) or found)
    (key,) = found
    return key


def test_each_pattern_is_a_key_that_was_begun_when_its_first_knock_was(hands, listening):
    knocks = listening("bench")
    goes_on = knock(hands, knocks, GO_ON)
    assert (goes_on.name, goes_on.goes_on) == ("knock", True)
    assert sum(GO_ON) * 1000 < goes_on.ago_ms < sum(GO_ON) * 1000 + 900
    assert not knock(hands, knocks, WHERE).goes_on


@pytest.mark.parametrize(("limit", "sure"), [(17.0, True), (-1.0, False)])
def test_a_key_is_as_sure_as_its_pattern(
    hands: Hands,
    listening: Callable[[str], Knocks],
    limit: float,
    sure: bool,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(detector, "_SURE", limit)
    assert knock(hands, listening("bench"), GO_ON).sure is sure


def test_a_persons_own_knock_is_learnt_and_taken_up_again(hands, listening):
    knocks = listening("bench")
    for _ in range(3):
        knock(hands, knocks, GO_ON)
    knocks.learn()
    assert knock(hands, knocks, GO_ON).goes_on
    kept = json.loads(json.dumps(knocks.kept()))
    again = Knocks.taken_up(kept)
    assert again.kept() == kept
    assert again.knock is not None
    assert Knocks.taken_up({"microphone": "bench", "knock": "{}"}).knock is None
    hands.sound(np.concatenate((quiet(1.2), 0.004 * knocked(GO_ON) / 0.1, quiet(0.8))))
    time.sleep(0.1)
    assert knocks.read() == [], "somebody else's, far away"


@pytest.mark.parametrize(
    ("name", "device", "says"),
    [("nobody", BENCH, "nobody: there is no such microphone; write one of: bench"),
     (None, None, "microphone: there is none; plug one in, or leave --knocks out"),
     ("bench", BENCH._replace(rate=8000),
      "bench: it gives 8000 samples a second, knocks take 16000; choose another with")],
)  # fmt: skip
def test_a_microphone_that_will_not_do_is_refused(hands, listening, name, device, says):
    hands.device = device
    with pytest.raises(OutputError) as refused:
        listening(name).prove()
    assert str(refused.value).startswith(says)


@pytest.mark.parametrize(
    ("given", "says"),
    [(np.zeros(RATE), "bench: it gives only silence; unmute it"),
     (np.zeros(0), "the sound system does not answer")],
)  # fmt: skip
def test_so_is_one_that_is_muted_or_gives_nothing(hands, listening, given, says):
    knocks = listening("bench")
    hands.sound(given)
    with pytest.raises(OutputError, match=says):
        knocks.prove()


def test_one_that_goes_away_is_told_once_and_sought_until_it_is_back(hands, listening):
    knocks = listening("bench")
    hands.sound(quiet(0.1))
    knocks.prove()
    assert list(knocks.news()) == []
    hands.streams[-1].finished = True
    hands.device = None
    hands.sound(quiet(0.1))
    told: list[News] = []
    within(lambda: told.extend(knocks.news()) or told)
    assert told == [
        News("knocks are not heard: microphone: there is none; plug one in, or leave --knocks out "
             "and go by keys", alarms=True)
    ]  # fmt: skip
    within(lambda: knocks.gone)
    assert list(knocks.news()) == []
    before = len(hands.streams)
    hands.device = BENCH
    within(lambda: len(hands.streams) > before)
    hands.sound(quiet(0.1))
    within(lambda: told.extend(knocks.news()) or len(told) > 1)
    assert told[-1] == News("knocks are heard again", alarms=False)
    assert not knocks.gone
    assert knock(hands, knocks, GO_ON).goes_on


def test_one_that_is_set_too_high_is_told_once(hands, listening):
    knocks = listening("bench")
    for _ in range(2):
        hands.sound(np.random.default_rng(2).normal(0, 2, 2 * RATE))
        within(lambda: knocks.clips)
    assert [each.alarms for each in knocks.news()] == [True]
    assert list(knocks.news()) == []


def test_whatever_fails_in_the_thread_ends_nothing(hands, listening, monkeypatch):
    def failing(*_):
        raise RuntimeError("no detector")

    monkeypatch.setattr(room, "KnockDetector", failing)
    knocks = listening("bench")
    with pytest.raises(OutputError, match="no detector"):
        knocks.prove()
    monkeypatch.undo()
    assert any(thread.name == "knocks" for thread in threading.enumerate())


def test_nothing_of_what_is_heard_is_kept(hands, listening):
    knocks = listening("bench")
    hands.sound(quiet(0.1))
    knocks.prove()
    blocks = hands.sound(quiet(10))
    hands.sound(quiet(0.1))  # the last block is still in the thread's hands
    within(lambda: not any(block() is not None for block in blocks))


# Before the dark, and after a cut


class Learnt:
    """Knocks that can be learnt; what is heard is in the keys."""

    clips = False

    def __init__(self) -> None:
        self.learnt = 0
        self.knock = None

    def learn(self) -> None:
        self.learnt += 1
        self.knock = "this person's"


class Player:
    """A trial that only remembers what it played."""

    def __init__(self) -> None:
        self.played: list[tuple[str, ...]] = []

    def answer(self, told: tuple[str, ...]) -> None:
        self.played.append(told)

    def wait(self) -> None: ...


class Script:
    """A keyboard that is pressed, or knocked beside, whenever it is asked."""

    gone = False

    def __init__(self, *pressed: Key) -> None:
        self.knocks = Learnt()
        self._pressed = list(pressed)

    def read(self, wait_s: float) -> list[Key]:
        return [self._pressed.pop(0)] if self._pressed else []


#: Begun just before it is read, and so after the example.
AFTER = Key(NAME, True)


def turned(
    keys: Script, capsys: pytest.CaptureFixture[str], start_in_ms: int | None = None
) -> tuple[str, Player]:
    player = Player()
    Pager(keys, start_in_ms).turn(prepare("open-tub-half-agitation", "standard", None), player, [])
    return capsys.readouterr().out, player


def test_a_persons_knock_is_learnt_and_tried_before_the_dark(capsys):
    nothing = Key("nothing", False)
    keys = Script(SPACE, AFTER, AFTER, AFTER, ASKS, KNOCK, nothing, KNOCK, KNOCK)
    page, player = turned(keys, capsys)
    assert keys.knocks.learnt == 1
    assert player.played == [EXAMPLE, WHERE_AM_I, QUESTION, MARK]
    assert "go on, 3 of 3\n  Your knock is learnt.\n" in page
    assert "knock: where am I" in page


def test_the_example_is_nobodys_knock(capsys):
    """Its tones have a knock's rhythm: a microphone beside the speaker hears one."""
    keys = Script(SPACE, KNOCK, AFTER, AFTER, SPACE, SPACE, ASKS, SPACE, SPACE)
    page, _ = turned(keys, capsys)
    assert re.findall(r"\d of 3", page) == ["1 of 3", "2 of 3"]
    assert keys.knocks.learnt == 0


def test_a_key_leaves_the_learning_out(capsys):
    keys = Script(SPACE, AFTER, SPACE, SPACE, ASKS, SPACE, SPACE)
    page, _ = turned(keys, capsys)
    assert keys.knocks.learnt == 0
    assert "learnt" not in page


def test_where_nobody_reads_a_page_a_knock_is_learnt_by_sound_and_begins_nothing(capsys):
    keys = Script(KNOCK, ASKS, KNOCK, KNOCK, KNOCK)
    page, player = turned(keys, capsys, start_in_ms=50)
    assert player.played == [MARK, WHERE_AM_I, MARK, QUESTION, MARK]
    assert "Three quick knocks and, after a longer rest, one more: go on" in page
    assert "go on three times within 15 s, and your own knock" in " ".join(page.split())
    assert page.endswith("\nIt begins by itself in 0:00.05; space begins it now.\n")
    assert keys.knocks.learnt == 1


def test_where_there_are_no_keys_none_is_asked_for(capsys):
    """A log of a service said that space begins it now, and starts the countdown."""
    keys = Script()
    keys.gone, keys.knocks = True, None
    page, _ = turned(keys, capsys, start_in_ms=90)
    assert page.endswith("\nIt begins by itself in 0:00.09.\n")
    assert "pace" not in page
    assert "a countdown of 0:30, in sounds; then the dark." in page


def test_knocks_far_apart_are_not_learnt_as_one_persons(capsys, monkeypatch):
    monkeypatch.setattr("darktimer.pages.pager._SOON_S", -1)
    keys = Script(KNOCK, KNOCK, KNOCK, KNOCK)
    _, player = turned(keys, capsys, start_in_ms=50)
    assert player.played == 4 * [MARK]
    assert keys.knocks.learnt == 0


def test_a_run_is_taken_up_with_the_knocks_that_it_began_with():
    kept = {"microphone": "bench", "knock": None}
    begun, silent = SimpleNamespace(begun={"knocks": kept}), SimpleNamespace(begun={})
    assert resuming._knocks(silent, None) is None
    assert resuming._knocks(begun, None).name == "bench"
    assert resuming._knocks(begun, Knocks("another")).name == "another"
    assert resuming._knocks(silent, Knocks("another")).name == "another"


def test_a_microphone_alone_is_wrong_usage(run):
    ran = run("run", "long-stand", "--microphone", "bench")
    assert ran.exit_code == 2
    assert "--microphone is for knocks: write --knocks as well" in ran.output


def test_the_example_is_in_the_rhythm_that_it_teaches() -> None:
    moments_s = [cue.at_ms / 1000 for cue in _played(cue_set(), EXAMPLE).cues]
    assert meant([b - a for a, b in pairwise(moments_s)]) is Knocked.GO_ON
