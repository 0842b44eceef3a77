"""A run while it runs: keys and troubles to the conductor, cues to the line, all to the journal.

One loop, twenty times a second, in the main thread. Nothing that happens here ends a run in the
dark. Prints nothing.
"""

import gc
import time
import traceback
from collections.abc import Callable, Iterator
from contextlib import suppress
from typing import TYPE_CHECKING, Any, Final

from darktimer.cues.score import Score
from darktimer.live.conductor import Conductor
from darktimer.live.gestures import Gesture, Gestures, Key
from darktimer.live.journal_writer import JournalWriter
from darktimer.live.keyboard import Keyboard
from darktimer.live.lights import Lights, Reason
from darktimer.live.logbook import Logbook
from darktimer.live.resume import CutOff
from darktimer.live.state import DEAF, NO_KEYS, SILENCE, TIME, Now, State, Trigger
from darktimer.output.clock import Clock
from darktimer.output.speaker import SpeakerStream
from darktimer.output.trouble import Trouble
from darktimer.process import meanings
from darktimer.process.timeline import Cue

if TYPE_CHECKING:
    from darktimer.live.knocks import Knocks

TICK_S: Final = 0.05
#: After the last sound, so that the speaker can end it.
_TAIL_MS: Final = 500
#: Troubles that tell of a silence that is over; a sleep shows in one of these.
_SILENCES: Final = ("back", "stalled")


Watch = Callable[["Session"], None]


class Session:
    """One run on one stream."""

    def __init__(
        self,
        conductor: Conductor,
        line: Score,
        stream: SpeakerStream,
        keyboard: Keyboard,
        screen: Lights,
        writer: JournalWriter,
        clock: Clock,
    ) -> None:
        self.conductor = conductor
        self.left_early = False
        self._line = line
        self._stream = stream
        self._keyboard = keyboard
        self._screen = screen
        self._gestures = Gestures()
        self._logbook = Logbook(conductor.timeline, writer, clock, stream.position_ms)
        self.log = self._logbook.log
        self._exchanged: tuple[Cue, ...] = ()
        self._silences: list[Trouble] = []
        self._cut_off_ms: int | None = None
        self._keys_gone = keyboard.silent

    def perform(self, start: Watch, watch: Watch, *, wait_for_device: bool = False) -> None:
        """The whole run; ``start`` is called when all is dark, ``watch`` while it is not.

        Raises `OutputError` where there is no speaker to begin with, unless it is waited for.
        """
        try:
            self._stream.start(wait_for_device=wait_for_device)
            self._line.prepare([*meanings.SINGLE, *self._heres()])
            gc.freeze()  # a run of minutes has nothing to collect, and no time for it
            gc.disable()
            self._screen.out()
            start(self)
            self.run(watch)
        finally:
            gc.enable()
            gc.unfreeze()
            self._stream.close()

    def _heres(self) -> Iterator[str]:
        """What tells each step, and each piece, to who asks where the run is."""
        timeline = self.conductor.timeline
        yield from (meanings.here(step.sign) for step in timeline.steps if step.sign)
        yield from (meanings.piece(piece.number) for piece in timeline.pieces)

    def now(self) -> Now:
        """The moment, what was heard, and what can no longer be changed."""
        heard_ms = self._stream.heard_ms()  # before the troubles that are to tell of the rest
        return Now(self._stream.position_ms(), heard_ms, self._stream.filled_ms())

    def begin(self, **detail: Any) -> None:
        """Writes down what the run begins with, which is what it can be taken up again from."""
        self._logbook.note(0, "begun", **detail, **self.conductor.state.kept())

    def take_up(self, found: CutOff) -> None:
        """The run goes on after it was killed, as soon as there is sound."""
        now = self.now()
        state = self.conductor.take_up(found.kept, found.heard, found.last_ms, now)
        ends_ms = (cue.end_ms for cue in state.cues if cue.at_ms <= found.last_ms)
        self._cut_off_ms = max([found.last_ms, *ends_ms])
        self._keys_gone = False
        self._logbook.take_up(found, state, now)
        # At once: a device that comes before the first tick would begin with the plan as written.
        self._exchange(state)

    def run(self, watch: Watch = lambda _: None) -> None:
        """Until it is over and the screen is lit; ``watch`` is called while that is lit."""
        while True:  # with nothing in it that could fail outside
            try:
                if self.over():
                    return self._light(Gesture.NOTHING, self.now())
                self.tick()
                if not self._screen.dark:
                    watch(self)
            except Exception:
                self._survive()

    def tick(self) -> None:
        """Waits for a key for a moment, then does all that time, keys and troubles ask for."""
        pressed = self._keyboard.read(TICK_S)
        if not pressed:
            self._gestures.rest(int(TICK_S * 1000))
        now = self.now()
        troubles = self._stream.trouble()
        self._safely(self._take, Trigger(TIME), now)
        self._silences += [each for each in troubles if each.kind in _SILENCES]
        self._safely(self._make_up, now)
        for trouble in troubles:
            self._safely(self._logbook.meet, trouble, now)
        for key in pressed:
            self._safely(self._press, key, now)
        if self._keyboard.silent and not self._keys_gone:
            self._keys_gone = True
            self._safely(self._wait_no_more, now)
        if self._keyboard.knocks:
            self._safely(self._mind, self._keyboard.knocks, now)
        self._catch_up(now)

    def over(self) -> bool:
        """Whether nothing more will sound and nothing is dark that a key could still light."""
        if self._screen.dark and not self._keyboard.gone:
            return False
        end_ms = self.conductor.state.end_ms
        done = end_ms is not None and self._stream.position_ms() > end_ms + _TAIL_MS
        return done or (self.left_early and not self._screen.dark)

    @property
    def aborted(self) -> bool:
        """Whether the person ended the run before the plan did."""
        return self.conductor.state.aborted_ms is not None or self.left_early

    @property
    def troubles(self) -> list[tuple[int, str]]:
        """What a person must be told when it is over, with its moments."""
        return self._logbook.troubles

    def fail(self, found: str) -> None:
        """Something failed outside, and the run goes on."""
        self._logbook.fault(self.now(), found)

    def end(self, exit_status: int) -> None:
        """Writes down how the run ended."""
        self._logbook.end(self.conductor.state, self.now(), self.aborted, exit_status)

    def _safely(self, call: Callable[..., None], *about: Any) -> None:
        """What fails by itself, so that all else goes on."""
        try:
            call(*about)
        except Exception:
            self._survive()

    def _survive(self) -> None:
        """A fault of the program's own ends no run in the dark, and in the light if it returns."""
        trace = traceback.format_exc()
        last = trace.strip().splitlines()[-1]
        if not any(found == last for _, found in self.troubles):
            with suppress(Exception):
                self._logbook.fault(self.now(), last, trace=trace)
        elif not self._screen.dark:
            raise
        time.sleep(TICK_S)  # it may come again at once

    def _take(self, trigger: Trigger, now: Now) -> None:
        """A trigger to the conductor, and what follows to the journal."""
        self._logbook.take(self.conductor.take(trigger, now))

    # Keys

    def _press(self, key: Key, now: Now) -> None:
        if self._may_be_own_sound(key, now):
            self._logbook.keys += 1
            return
        was_dark = self._screen.dark
        gesture = self._gestures.read(key, now.at_ms)
        if gesture is not Gesture.NOTHING:
            self._take(Trigger(gesture, self._gestures.began_ms, key=key.name), now)
        if gesture is Gesture.NOTHING or not self.conductor.state.happened:
            self._logbook.keys += 1
        if was_dark:
            self._screen.woken()
            self._light(gesture, now)
        elif key.ends:
            self.left_early = True

    def _may_be_own_sound(self, key: Key, now: Now) -> bool:
        """Whether the program's own sounds may have made a pattern of knocks."""
        begun_ms = now.at_ms - key.ago_ms
        return not key.sure and self.conductor.state.queue.heard_between(begun_ms, now.at_ms)

    def _light(self, gesture: Gesture, now: Now) -> None:
        """Gives light where there is none, if there is a reason to."""
        reason = self._reason_for_light(gesture, now)
        if self._screen.dark and reason:
            self._catch_up(now)
            self._logbook.note(now.at_ms, "light", reason=reason)
            self._screen.on(reason)

    def _reason_for_light(self, gesture: Gesture, now: Now) -> Reason | None:
        """Where light is not safe and never will be, the gesture that aborts asks for it."""
        state = self.conductor.state
        if state.light_safe(now.heard_ms):
            return Reason.SAFE
        if state.end_ms is None or now.at_ms <= state.end_ms:
            return None
        if not state.dark_begun(now.at_ms):
            return Reason.NOTHING_DARK
        return Reason.ASKED_FOR if gesture is Gesture.ABORT else None

    def _wait_no_more(self, now: Now) -> None:
        gone = "terminal and microphone are" if self._keyboard.knocks else "the terminal is"
        self._logbook.fault(now, f"no more keys can come: {gone} gone")
        self._take(Trigger(NO_KEYS), now)

    def _mind(self, knocks: "Knocks", now: Now) -> None:
        """Says that knocks are not heard, as nobody would know; that they are again is written."""
        for found, alarms in knocks.news():
            if alarms:
                self._logbook.fault(now, found)
                self._take(Trigger(DEAF), now)
            else:
                self._logbook.note(now.at_ms, found)

    # Troubles

    def _make_up(self, now: Now) -> None:
        """For each silence that is over; it stays noted until that is done, whatever fails."""
        while self._silences:
            _, to_ms, _, gap_ms = self._silences[0]
            from_ms = to_ms - gap_ms
            if self._cut_off_ms is not None:
                from_ms = min(from_ms, self._cut_off_ms)
            state = self.conductor.take(Trigger(SILENCE, from_ms, to_ms), now)
            self._cut_off_ms = None
            del self._silences[0]
            self._logbook.take(state)

    def _catch_up(self, now: Now) -> None:
        """Hands the queue to the line and everything new to the journal."""
        state = self.conductor.state
        self._exchange(state)
        self._logbook.keep_up(state, now)

    def _exchange(self, state: State) -> None:
        if state.cues is not self._exchanged:
            self._line.exchange(state.cues)
            self._exchanged = state.cues
