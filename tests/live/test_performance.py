"""A run put together: the speaker first, then the dark, and all taken down on every way out."""

import gc
from collections.abc import Callable
from typing import Any

import pytest

from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.errors import OutputError
from darktimer.live.session import Session
from darktimer.output.speakers import Speakers
from darktimer.process import meanings
from darktimer.process.timeline import Cue
from tests.live.plans import cue_set
from tests.live.studio import RATE, Keys, Notes, Screen, Studio
from tests.output.recording import ManualClock


class Theatre:
    """A stage whose speaker, screen and session only tell in which order they were called."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, *, wait_for_device: bool = False) -> None:
        self.happened: list[str] = []
        self.refused: OutputError | None = None
        theatre = self

        class Speaker:
            buffer_ms = 400
            playing = True

            def start(self, *, wait_for_device: bool) -> None:
                theatre.happened.append("start, waiting" if wait_for_device else "start")
                if theatre.refused:
                    raise theatre.refused

            def close(self) -> None:
                theatre.happened.append("closed")

            def position_ms(self) -> int:
                return theatre.clock.boot_ns() // 1_000_000

            heard_ms = filled_ms = position_ms

            def trouble(self) -> list[Any]:
                return []

        class Curtain(Screen):
            def out(self) -> None:
                theatre.happened.append("dark")
                super().out()

        self.stream = Speaker()
        self.clock, self.screen = ManualClock(), Curtain(dark=False)
        self.wait_for_device = wait_for_device

    def run(self, monkeypatch: pytest.MonkeyPatch, instead: Callable[[Session], None]) -> None:
        def run(session: Session, watch: Callable[[Session], None]) -> None:
            self.happened.append("run")
            instead(session)

        monkeypatch.setattr(Session, "run", run)

    def perform(self) -> Session:
        def start(session: Session) -> None:
            self.happened.append("begun")

        conductor = Studio().conductor
        line = Score(conductor.timeline, cue_set(), RATE, SPEAKERS["none"])
        keys, parts = Keys(self.clock), (self.screen, Notes(), self.clock)
        session = Session(conductor, line, self.stream, keys, *parts)
        session.perform(start, lambda _: None, wait_for_device=self.wait_for_device)
        return session


def test_the_speaker_is_there_before_it_is_dark_and_closed_after_the_run(monkeypatch) -> None:
    theatre = Theatre(monkeypatch)
    theatre.run(monkeypatch, lambda session: None)
    theatre.perform()
    assert theatre.happened == ["start", "dark", "begun", "run", "closed"]


def test_without_a_speaker_it_never_gets_dark(monkeypatch) -> None:
    theatre = Theatre(monkeypatch)
    theatre.refused = OutputError("a name", "it takes no sound", "choose another")
    with pytest.raises(OutputError):
        theatre.perform()
    assert theatre.happened == ["start", "closed"]
    assert not theatre.screen.dark


def test_a_patient_stage_needs_no_speaker_to_begin_with(monkeypatch) -> None:
    theatre = Theatre(monkeypatch, wait_for_device=True)
    theatre.run(monkeypatch, lambda session: None)
    theatre.perform()
    assert theatre.happened[:2] == ["start, waiting", "dark"]


def test_a_run_that_fails_leaves_no_speaker_and_gives_no_light(monkeypatch) -> None:
    theatre = Theatre(monkeypatch)

    def fail(session: Session) -> None:
        raise RuntimeError("a fault of the program's own")

    theatre.run(monkeypatch, fail)
    with pytest.raises(RuntimeError):
        theatre.perform()
    assert theatre.happened[-1] == "closed"
    assert theatre.screen.dark
    assert gc.isenabled()


def test_nothing_is_collected_while_it_runs(monkeypatch) -> None:
    theatre, collects = Theatre(monkeypatch), []
    theatre.run(monkeypatch, lambda session: collects.append(gc.isenabled()))
    theatre.perform()
    assert (collects, gc.isenabled(), gc.get_freeze_count()) == ([False], True, 0)


def test_every_answer_is_there_before_it_is_wanted(monkeypatch) -> None:
    theatre, told = Theatre(monkeypatch), [meanings.BACK, meanings.CONFIRM, meanings.REFUSE]
    told += [meanings.HOLD, "here-develop"]

    def late(*_: object) -> None:
        raise AssertionError("made in the midst of a run")

    def answer(session: Session) -> None:
        monkeypatch.setattr("darktimer.cues.score.tone", late)
        cues = [Cue(at * 1000, 500, meaning, 0) for at, meaning in enumerate(told)]
        session._line.exchange(cues)
        assert session._line.fill(0, RATE).any()

    theatre.run(monkeypatch, answer)
    theatre.perform()


@pytest.mark.parametrize(("buffer_ms", "lead_ms"), [(60, 2_000), (500, 2_000), (5_000, 11_000)])
def test_a_long_buffer_is_started_sooner(buffer_ms: int, lead_ms: int) -> None:
    assert Speakers(buffer_ms=buffer_ms).lead_ms == lead_ms
