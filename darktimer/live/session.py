"""A run while it runs: keys and troubles to the conductor, cues to the line, all to the journal.

One loop, twenty times a second, in the main thread; the sound and the journal have threads of their
own. Nothing that happens here ends a run in the dark. Knows no terminal and prints nothing.
"""

import time
import traceback
from bisect import bisect_left
from collections.abc import Callable
from typing import Any, Final, Protocol

from darktimer.cues.score import Score
from darktimer.journal import events as kinds
from darktimer.journal.events import Event
from darktimer.live.conductor import Conductor, Happening, Now
from darktimer.live.gestures import Gesture, Key
from darktimer.live.keys import Keyboard
from darktimer.live.lights import Reason
from darktimer.live.scribe import Scribe
from darktimer.live.signals import Signals
from darktimer.output.clock import Clock
from darktimer.output.trouble import Trouble
from darktimer.process import meanings
from darktimer.process.timeline import Cue

TICK_S: Final = 0.05
#: After the last sound, so that the speaker can end it.
_TAIL_MS: Final = 500
#: A key that ends a program everywhere else.
_CONTROL_C: Final = "03"
#: This often the journal is told that the run goes on, so that a kill leaves no longer doubt.
_ALIVE_MS: Final = 2_000
_GAPS: Final = ("back", "stalled", "slept")


class Stream(Protocol):
    """What is played on, in session time; `darktimer.live.stream` has it.

    What begins before ``filled_ms`` has been handed over, or may be before another can be added.
    """

    @property
    def playing(self) -> bool: ...
    def position_ms(self) -> int: ...
    def filled_ms(self) -> int: ...
    def trouble(self) -> list[Trouble]: ...


class Screen(Protocol):
    """What may shine; `darktimer.live.lights` has it."""

    @property
    def dark(self) -> bool: ...
    def out(self) -> None: ...
    def woken(self) -> None: ...
    def on(self, reason: Reason) -> None: ...


class Session:
    """One run on one stream. ``troubles`` is what a person must be told when it is over."""

    def __init__(
        self,
        conductor: Conductor,
        line: Score,
        stream: Stream,
        keyboard: Keyboard,
        signals: Signals,
        screen: Screen,
        scribe: Scribe,
        clock: Clock,
    ) -> None:
        self.conductor = conductor
        self.troubles: list[tuple[int, str]] = []
        self.log: list[Happening] = []
        self.left_early = False
        self._line = line
        self._stream = stream
        self._keyboard = keyboard
        self._signals = signals
        self._screen = screen
        self._scribe = scribe
        self._clock = clock
        self._planned = {(cue.at_ms, cue.meaning) for cue in conductor.timeline.cues}
        self._exchanged: list[Cue] = []
        self._written_ms = -1_000_000
        self._alive_ms = 0
        self._step: int | None = None
        self._silent_from_ms: int | None = None
        self._keys_gone = keyboard.gone

    def now(self) -> Now:
        """What is heard, and what can no longer be changed, at this moment."""
        return Now(self._stream.position_ms(), self._stream.filled_ms())

    def begin(self, **detail: Any) -> None:
        """Writes down what the run begins with, which is what it can be taken up again from."""
        self._write(0, kinds.NOTE, "begun", **detail, **self.conductor.kept())

    def take_up(self, kept: dict[str, Any], from_ms: int, doubt_ms: int, doubt: str) -> None:
        """The run goes on after it was killed, as soon as there is sound.

        What would have begun to sound from ``from_ms`` on was not heard; what was heard before is
        written down already. ``kept`` is the state, ``doubt_ms`` time that may not have gone by.
        """
        now = self.now()
        self.conductor.take_up(kept, now, doubt_ms)
        self._written_ms = now.filled_ms
        self._step = self.conductor.place(from_ms).step
        self._silent_from_ms = from_ms
        lasted = f"{(now.heard_ms - from_ms) / 1000:.1f} s"
        self._fault(f"cut off, taken up after {lasted}", now, **({"doubt": doubt} if doubt else {}))
        if doubt:
            self.troubles.append((now.heard_ms, doubt))

    def run(self, watch: Callable[["Session"], None] = lambda _: None) -> None:
        """Until it is over and the screen is lit; ``watch`` is called while that is lit."""
        while not self.over():
            try:
                self.tick()
            except Exception:
                if not self._screen.dark:
                    raise
                self._survive(traceback.format_exc())
            if not self._screen.dark:
                watch(self)
        if self._screen.dark:  # no key can come that would ask for it
            self._light(Gesture.NOTHING, self.now())

    def tick(self) -> None:
        """Waits for a key for a moment, then does all that time, keys and troubles ask for."""
        pressed = [*self._keyboard.read(TICK_S), *self._signals.taken()]
        if not pressed:
            self.conductor.rest(int(TICK_S * 1000))
        now = self.now()
        for trouble in self._stream.trouble():
            self._meet(trouble, now)
        if self._silent_from_ms is not None and self._stream.playing:
            self.conductor.returned(now, self._silent_from_ms)
            self._silent_from_ms = None
        for key in pressed:
            self._press(key, now)
        if self._keyboard.gone and not self._keys_gone:
            self._keys_gone = True
            self._fault("no more keys can come: the terminal is gone", now)
            self.conductor.wait_no_more(now)
        self.conductor.advance(now)
        self._catch_up(now)

    def over(self) -> bool:
        """Whether nothing more will sound and nothing is dark that a key could still light."""
        if self._screen.dark and not self._keyboard.gone:
            return False
        end_ms = self.conductor.end_ms
        done = end_ms is not None and self._stream.position_ms() > end_ms + _TAIL_MS
        return done or (self.left_early and not self._screen.dark)

    def light_is_safe(self) -> bool:
        """Whether white light harms nothing now, as far as the plan knows."""
        heard_ms = self._stream.position_ms()
        if self.conductor.light_safe(heard_ms):
            return True
        begun = (c.at_ms for c in self.conductor.cues if c.meaning == meanings.LIGHTS_OUT)
        return heard_ms < next(begun, heard_ms + 1)

    # Keys

    def _press(self, key: Key, now: Now) -> None:
        was_dark = self._screen.dark
        gesture = self.conductor.press(key, now)
        if was_dark:
            self._screen.woken()
            self._light(gesture, now)
        elif key.name == _CONTROL_C or key in self._signals.endings:
            self.left_early = True

    def _light(self, gesture: Gesture, now: Now) -> None:
        """Gives light, if there is a reason to."""
        if reason := self._reason_for_light(gesture, now):
            self._catch_up(now)
            self._write(now.heard_ms, kinds.NOTE, "light", reason=reason)
            self._screen.on(reason)

    def _reason_for_light(self, gesture: Gesture, now: Now) -> Reason | None:
        """Where light is not safe and never will be, the gesture that aborts asks for it."""
        if self.conductor.light_safe(now.heard_ms):
            return Reason.SAFE
        end_ms = self.conductor.end_ms
        if end_ms is None or now.heard_ms <= end_ms:
            return None
        if self.light_is_safe():
            return Reason.NOTHING_DARK
        return Reason.ASKED_FOR if gesture is Gesture.ABORT else None

    # Troubles

    def _meet(self, trouble: Trouble, now: Now) -> None:
        if trouble.kind == "corrected":
            self._write(trouble.at_ms, kinds.NOTE, trouble.kind, moved_ms=trouble.gap_ms)
            return
        lasted = f", {trouble.gap_ms / 1000:.1f} s" if trouble.gap_ms else ""
        about = f": {trouble.detail}" if trouble.detail else ""
        self.troubles.append((trouble.at_ms, f"{trouble.kind}{lasted}{about}"))
        self._write(
            trouble.at_ms, kinds.FAULT, trouble.kind, found=trouble.detail, gap_ms=trouble.gap_ms
        )
        if trouble.kind in _GAPS and self._stream.playing:
            self.conductor.returned(now, trouble.at_ms - trouble.gap_ms)

    def _fault(self, found: str, now: Now, **detail: Any) -> None:
        self.troubles.append((now.heard_ms, found))
        self._write(now.heard_ms, kinds.FAULT, found, **detail)

    def _survive(self, trace: str) -> None:
        """A fault of the program's own must not end a run in the dark: the sound goes on."""
        last = trace.strip().splitlines()[-1]
        if not any(found == last for _, found in self.troubles):
            self._fault(last, self.now(), trace=trace)
        time.sleep(TICK_S)  # it may come again at once

    # Cues and the journal

    def _catch_up(self, now: Now) -> None:
        """Hands the row of cues to the line and everything new to the journal."""
        if self.conductor.cues is not self._exchanged:
            self._exchanged = self.conductor.cues
            self._line.exchange(self._exchanged)
        for at_ms, kind, meaning, step, detail in self.conductor.happened:
            self._write(at_ms, kind, meaning, step, None, **detail)
            if kind == kinds.FAULT:
                self.troubles.append((at_ms, meaning))
        self.log += self.conductor.happened
        self.conductor.happened.clear()
        self._write_cues(now)
        self._write_steps(now)
        if now.heard_ms >= self._alive_ms + _ALIVE_MS:
            self._alive_ms = now.heard_ms
            self._write(now.heard_ms, kinds.NOTE, "alive")

    def _write_cues(self, now: Now) -> None:
        """Before they are heard; not those that nothing plays."""
        if self._stream.playing:
            moments = (self._written_ms, now.filled_ms)
            first, last = (bisect_left(self._exchanged, at, key=_at_ms) for at in moments)
            for cue in self._exchanged[first:last]:
                self._write_cue(cue)
        self._written_ms = max(self._written_ms, now.filled_ms)

    def _write_cue(self, cue: Cue) -> None:
        planned_ms = self.conductor.course.plan_ms(cue.at_ms)
        known = (planned_ms, cue.meaning) in self._planned
        self._write(cue.at_ms, kinds.CUE, cue.meaning, cue.step, planned_ms if known else None)

    def _write_steps(self, now: Now) -> None:
        if now.heard_ms < 0:
            return
        current = self.conductor.place(now.heard_ms).step
        steps, real_ms = self.conductor.timeline.steps, self.conductor.course.at_ms
        for index in range(0 if self._step is None else self._step + 1, current + 1):
            start_ms = steps[index].start_ms
            if index:
                self._write(real_ms(start_ms), kinds.STEP_ENDED, "", index - 1, start_ms)
            self._write(real_ms(start_ms), kinds.STEP_BEGUN, "", index, start_ms)
        self._step = current

    def end(self, exit_status: int) -> None:
        """Writes down how the run ended."""
        now = self.now()
        if self.conductor.end_ms is not None and self._step is not None:
            step = self.conductor.timeline.steps[self._step]
            self._write(
                min(now.heard_ms, self.conductor.end_ms),
                kinds.STEP_ENDED, "", self._step, step.end_ms,
            )  # fmt: skip
        self._scribe.finish(self.aborted, exit_status)

    @property
    def aborted(self) -> bool:
        """Whether the person ended the run before the plan did."""
        return self.conductor.aborted_ms is not None or self.left_early

    def _write(
        self,
        at_ms: int,
        kind: str,
        meaning: str,
        step: int | None = None,
        planned_ms: int | None = None,
        **detail: Any,
    ) -> None:
        now_ms = self._clock.wall_ns() // 1_000_000
        wall_ms = now_ms + at_ms - self._stream.position_ms()
        self._scribe.write(Event(at_ms, wall_ms, kind, meaning, step, planned_ms, detail))


def _at_ms(cue: Cue) -> int:
    return cue.at_ms
