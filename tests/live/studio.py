"""A session without a device: a clock turned by hand, keys from a list, a stream that can fail."""

from bisect import bisect_left
from collections import Counter
from typing import Any

from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.journal.events import Event
from darktimer.live.conductor import Conductor
from darktimer.live.gates import Waits
from darktimer.live.gestures import Key
from darktimer.live.journal_writer import JournalWriter
from darktimer.live.keyboard import Keyboard
from darktimer.live.lights import Reason
from darktimer.live.session import Session
from darktimer.output.trouble import Trouble
from darktimer.process.timeline import Cue, Timeline
from tests.live.plans import OPEN, cue_set, timeline
from tests.output.recording import ManualClock, RecordingStream

RATE = 8000
BUFFER_MS = 300


class Keys:
    """A keyboard whose presses are known beforehand; reading it lets time pass."""

    def __init__(self, clock: ManualClock) -> None:
        self.gone = False
        self.knocks: Any = None
        self._clock = clock
        self._coming: list[tuple[int, Key]] = []

    def press(self, at_ms: int, key: Key) -> None:
        self._coming = sorted([*self._coming, (at_ms, key)])

    silent = Keyboard.silent

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
        self._heard_ms = 0
        self.recording = RecordingStream(line, clock=clock, begin_ns=-BUFFER_MS * 1_000_000)

    def position_ms(self) -> int:
        return self._clock.boot_ns() // 1_000_000

    def heard_ms(self) -> int:
        self._heard_ms = self.position_ms() if self.playing else self._heard_ms
        return self._heard_ms

    def filled_ms(self) -> int:
        self.recording.keep_up()
        return self.position_ms() + BUFFER_MS * self.playing

    def back(self, gap_ms: int) -> None:
        """Sound is back from now on, after so long a silence."""
        self.playing = True
        self.troubles.append(Trouble("back", self.position_ms(), "a speaker", gap_ms))

    def trouble(self) -> list[Trouble]:
        taken, self.troubles = self.troubles, []
        return taken


class CueLine:
    """A line that holds cues and no samples."""

    def __init__(self) -> None:
        self.cues: tuple[Cue, ...] = ()

    def exchange(self, cues: tuple[Cue, ...]) -> None:
        self.cues = cues


class Air:
    """A speaker of cues that can fall silent, and what was really heard of each of them.

    As a device does, it takes what will be heard, block by block, a buffer ahead. What it was given
    and did not sound was not heard.
    """

    BLOCK_MS = 100

    def __init__(self, line: CueLine, clock: ManualClock) -> None:
        self.troubles: list[Trouble] = []
        self._line = line
        self._clock = clock
        self._taken: list[tuple[int, int, tuple[Cue, ...]]] = []
        self._filled_ms = 0
        self._playing = True
        self._heard_ms = self._silent_ms = 0

    def position_ms(self) -> int:
        return self._clock.boot_ns() // 1_000_000

    def heard_ms(self) -> int:
        self._take()
        return self._heard_ms

    def filled_ms(self) -> int:
        self._take()
        return self._filled_ms if self._playing else self.position_ms()

    def trouble(self) -> list[Trouble]:
        taken, self.troubles = self.troubles, []
        return taken

    def begin_silent(self) -> None:
        """There is no device yet, as where a run is taken up."""
        self._playing = False
        self._heard_ms = self._silent_ms = self._filled_ms = self.position_ms()

    def lose(self) -> None:
        """The device is gone, with all that it was given and has not sounded."""
        self._take()
        self._playing = False
        self._silent_ms = self.position_ms()
        self._drop_from(self._silent_ms)

    def return_(self) -> None:
        """The device is back, and sounds a buffer later."""
        self._silent_until(self.position_ms() + BUFFER_MS)
        self._playing = True

    def stand_still(self, ms: int) -> None:
        """Nothing of the program runs for so long; the device sounds what it has, then is dry."""
        self._take()
        self._clock.advance(ms)
        self._silent_ms = self._filled_ms
        if self.position_ms() > self._filled_ms:
            self._silent_until(self.position_ms() + BUFFER_MS)

    def _silent_until(self, ms: int) -> None:
        gap_ms = ms - self._silent_ms
        self._filled_ms = ms
        self.troubles.append(Trouble("back", ms, "a speaker", gap_ms))

    def _drop_from(self, ms: int) -> None:
        self._taken = [(begin, min(end, ms), c) for begin, end, c in self._taken if begin < ms]

    def _take(self) -> None:
        now_ms = self.position_ms()
        if not self._playing:
            return
        while self._filled_ms < now_ms + BUFFER_MS:
            end_ms = max(now_ms, self._filled_ms + self.BLOCK_MS)
            self._taken.append((self._filled_ms, end_ms, self._line.cues))
            self._filled_ms = end_ms
        self._heard_ms = max(self._heard_ms, now_ms)

    def whole(self) -> Counter[tuple[int, str]]:
        """How often each cue was heard from its beginning to its end, by moment and meaning."""
        heard_ms: Counter[Cue] = Counter()
        for begin, end, cues in self._taken:
            first = bisect_left(cues, begin - 30_000, key=lambda cue: cue.at_ms)
            for cue in cues[first:]:
                if cue.at_ms >= end:
                    break
                heard_ms[cue] += max(0, min(end, cue.end_ms) - max(begin, cue.at_ms))
        return Counter((c.at_ms, c.meaning) for c, ms in heard_ms.items() if ms == c.length_ms)


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


class Notes(JournalWriter):
    """A journal in a list."""

    def __init__(self) -> None:
        super().__init__(None)
        self.events: list[Event] = []

    def write(self, event: Event) -> None:
        self.events.append(event)

    def told(self, kind: str) -> list[str]:
        return [event.meaning for event in self.events if event.kind == kind]


class Studio:
    """A session with all of these; ``until`` lets it run.

    With ``samples`` it plays a score into a recording, else cues into the air.
    """

    def __init__(
        self,
        text: str = OPEN,
        waits: Waits = Waits.NOWHERE,
        dark: bool = True,
        *,
        line: Timeline | None = None,
        samples: bool = True,
        skip_silence: bool = False,
    ) -> None:
        self.clock = ManualClock(wall_ns=1_900_000_000_000_000_000)
        self.keys, self.screen, self.notes = Keys(self.clock), Screen(dark), Notes()
        led = line or timeline(text)
        self.conductor = Conductor(led, cue_set(), waits, skip_silence=skip_silence)
        self.line: Any = Score(led, cue_set(), RATE, SPEAKERS["none"]) if samples else CueLine()
        self.tape: Any = (Tape if samples else Air)(self.line, self.clock)
        self.session = Session(
            self.conductor,
            self.line,
            self.tape,
            self.keys,
            self.screen,
            self.notes,
            self.clock,
        )

    def until(self, ms: int) -> None:
        while self.tape.position_ms() < ms and not self.session.over():
            self.session.tick()

    def leap(self, ms: int) -> None:
        """To a moment in which nothing has happened; the session sees it as one tick."""
        self.session.tick()
        self.clock.advance(ms - self.tape.position_ms())
        self.session.tick()
