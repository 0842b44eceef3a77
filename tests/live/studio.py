"""A session without a device: a clock turned by hand, keys from a list, a stream that can fail."""

from typing import Any

from darktimer.cues.score import Score
from darktimer.cues.speaker import SPEAKERS
from darktimer.journal import Event
from darktimer.live.conductor import Conductor
from darktimer.live.gates import Waits
from darktimer.live.gestures import Key
from darktimer.live.lights import Reason
from darktimer.live.scribe import Scribe
from darktimer.live.session import Session
from darktimer.live.signals import Signals
from darktimer.output.clock import ManualClock
from darktimer.output.recording import RecordingStream
from darktimer.output.trouble import Trouble
from tests.live.plans import OPEN, cue_set, timeline

RATE = 8000
BUFFER_MS = 300


class Keys:
    """A keyboard whose presses are known beforehand; reading it lets time pass."""

    def __init__(self, clock: ManualClock) -> None:
        self.gone = False
        self._clock = clock
        self._coming: list[tuple[int, Key]] = []

    def press(self, at_ms: int, key: Key) -> None:
        self._coming = sorted([*self._coming, (at_ms, key)])

    def read(self, wait_s: float) -> list[Key]:
        self._clock.advance(wait_s * 1000)
        now_ms = self._clock.boot_ns() // 1_000_000
        due = [key for at, key in self._coming if at <= now_ms]
        self._coming = self._coming[len(due) :]
        return due

    def __enter__(self) -> "Keys":
        return self

    def __exit__(self, *_: Any) -> None: ...


class Tape:
    """A stream that records what it is given, a buffer ahead; ``playing`` may be turned off."""

    def __init__(self, line: Score, clock: ManualClock) -> None:
        self.playing = True
        self.troubles: list[Trouble] = []
        self._clock = clock
        self._stream = RecordingStream(line, clock=clock, begin_ns=-BUFFER_MS * 1_000_000)
        self._stream.start()
        self.recording = self._stream.recording

    def position_ms(self) -> int:
        return self._clock.boot_ns() // 1_000_000

    def filled_ms(self) -> int:
        self._stream.trouble()  # which takes what is due
        return self.position_ms() + BUFFER_MS * self.playing

    def trouble(self) -> list[Trouble]:
        taken, self.troubles = self.troubles, []
        return taken


class Screen:
    """A screen that only knows whether it is dark."""

    def __init__(self, dark: bool) -> None:
        self.dark = dark
        self.reason: Reason | None = None
        self.woken_times = 0

    def out(self) -> None:
        self.dark = True

    def woken(self) -> None:
        self.woken_times += 1

    def on(self, reason: Reason) -> None:
        self.dark, self.reason = False, reason


class Notes(Scribe):
    """A journal in a list."""

    def __init__(self) -> None:
        super().__init__(None)
        self.events: list[Event] = []

    def write(self, event: Event) -> None:
        self.events.append(event)

    def told(self, kind: str) -> list[str]:
        return [event.meaning for event in self.events if event.kind == kind]


class Studio:
    """A session with all of these; ``until`` lets it run."""

    def __init__(self, text: str = OPEN, waits: Waits = Waits.NOWHERE, dark: bool = True) -> None:
        self.clock = ManualClock(wall_ns=1_900_000_000_000_000_000)
        self.keys, self.screen, self.notes = Keys(self.clock), Screen(dark), Notes()
        self.conductor = Conductor(timeline(text), cue_set(), waits)
        self.line = Score(timeline(text), cue_set(), RATE, SPEAKERS["none"])
        self.tape = Tape(self.line, self.clock)
        self.signals = Signals()
        self.session = Session(
            self.conductor,
            self.line,
            self.tape,
            self.keys,
            self.signals,
            self.screen,
            self.notes,
            self.clock,
        )

    def until(self, ms: int) -> None:
        while self.tape.position_ms() < ms and not self.session.over():
            self.session.tick()
