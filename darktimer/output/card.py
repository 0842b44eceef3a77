"""One stream of PortAudio's, from its opening to its end, fed with a sound at the right place.

The library calls back in a thread of its own. There, samples are sliced and copied and nothing
else: an error becomes a silent block and a record. Opening and closing may block for as long as a
sound server is frozen, so closing is left to a thread that nobody waits for longer than a limit.
"""

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import Any, Final

from darktimer.cues.tone import BED_PEAK, Samples
from darktimer.errors import OutputError
from darktimer.output.clock import Clock
from darktimer.output.devices import RENDER_INSTEAD, Device, portaudio
from darktimer.output.pace import Change, Pace, Request
from darktimer.output.precedence import take_precedence
from darktimer.output.protocol import Sound
from darktimer.output.trouble import Kind
from darktimer.units import frames

#: Told of what goes wrong, from the device's thread: kind, detail, gap_ms, and the frame that it
#: is about, where it is not about now.
Report = Callable[[Kind, str, int, int | None], None]

_TURN: Final = threading.Lock()
_TURN_S: Final = 1.0
_CATCH_UP_S: Final = 0.03
#: Sound servers work in steps of this; they ask for a whole number of them at even times.
_TICK_MS: Final = 20
#: Streams whose closing has not come back; their callbacks must outlive it.
_closing: Final[set["Card"]] = set()


@contextmanager
def turn() -> Iterator[None]:
    """PortAudio's lists take one caller at a time; a caller that hangs is not waited for."""
    mine = _TURN.acquire(timeout=_TURN_S)
    try:
        yield
    finally:
        if mine:
            _TURN.release()


def closing() -> int:
    """How many streams are being closed right now."""
    return len(_closing)


class Card:
    """A playing device. Raises `OutputError` where it cannot be opened.

    Three blocks make up the buffer, one being filled and two waiting. So long a block needs the
    interpreter seldom: other threads may hold it for a third of the buffer at a time, again and
    again, and nothing is lost.

    ``heard_ns`` is the boot clock at the last request that was answered with sound in its place:
    until then all that was handed over was heard, and what was not has been reported.
    """

    def __init__(
        self,
        sound: Sound,
        device: Device,
        buffer_ms: int,
        clock: Clock,
        begin_ns: int,
        report: Report,
    ) -> None:
        self.name = device.name
        self.finished = False
        self.first_frame: int | None = None
        self.last_asked_ns = clock.monotonic_ns()
        self.heard_ns: int | None = None
        self._sound = sound
        self._clock = clock
        self._report = report
        self._retired = False
        self._goes_first = False
        self._failing = False
        self._end: int | None = None
        self._library = portaudio()
        block_ms = max(buffer_ms // 3 // _TICK_MS, 1) * _TICK_MS
        self._stream = self._opened(device, block_ms)
        latency_s: float = self._stream.latency
        self.buffer_ms = block_ms + round(latency_s * 1000)
        self._pace = Pace(sound.rate, begin_ns, latency_s, self._quiet)
        self._start()

    @property
    def next_frame(self) -> int | None:
        """The first frame not yet handed over; None while the card is settling."""
        return self._pace.next_frame

    def retire(self, limit_s: float = 0.0) -> None:
        """Ends the sound at once and closes the stream, waiting no longer than the limit."""
        self._retired = True
        _closing.add(self)
        thread = threading.Thread(target=self._close, name="closing a speaker", daemon=True)
        thread.start()
        thread.join(limit_s)

    def _opened(self, device: Device, block_ms: int) -> Any:
        """A stream of one channel, or of two where the device takes no single one."""
        fault: Exception | None = None
        for channels in (1, 2)[: device.channels]:
            try:
                return self._library.OutputStream(
                    samplerate=self._sound.rate,
                    device=device.number,
                    channels=channels,
                    dtype="int16",
                    latency=2 * block_ms / 1000,
                    blocksize=frames(block_ms, self._sound.rate),
                    callback=self._answer,
                    finished_callback=self._finish,
                )
            except (self._library.PortAudioError, ValueError) as error:
                fault = error
        raise self._unopened(device, fault)

    def _start(self) -> None:
        try:
            self._stream.start()
            self._pace.compare(*self._both_clocks())
        except self._library.PortAudioError as error:
            self.retire()
            raise self._unopened(None, error) from None

    def _both_clocks(self) -> tuple[int, float]:
        """Ours and the card's, closest to one moment of a few readings: one may be interrupted."""
        readings = [(self._clock.monotonic_ns(), self._stream.time) for _ in range(5)]
        return max(readings, key=lambda reading: reading[0] - round(reading[1] * 1e9))

    def _unopened(self, device: Device | None, fault: Exception | None) -> OutputError:
        mend = f"choose another speaker, {RENDER_INSTEAD}"
        reason = f"it cannot be opened ({fault})"
        if device and device.rate != self._sound.rate and "rate" in str(fault):
            reason = f"it takes {device.rate} samples a second, not {self._sound.rate}"
        return OutputError(self.name, reason, mend)

    def _close(self) -> None:
        with suppress(Exception), turn():
            self._stream.abort()
            self._stream.close()
        _closing.discard(self)

    def _finish(self) -> None:
        self.finished = True

    def _answer(self, out: Any, count: int, times: Any, status: Any) -> None:
        """The library's callback; its buffer comes uncleared and in any size."""
        out.fill(0)
        if self._retired:
            raise self._library.CallbackAbort
        if not self._goes_first:
            self._goes_first = True
            take_precedence()
        try:
            self._play(out, count, times, status)
        except Exception as error:
            out.fill(0)
            self._fail(error)
        self.last_asked_ns = self._clock.monotonic_ns()

    def _fail(self, error: Exception) -> None:
        """Told once, not block by block."""
        if not self._failing:
            self._failing = True
            self._report("callback-error", repr(error), 0, None)

    def _play(self, out: Any, count: int, times: Any, status: Any) -> None:
        request = Request(
            count,
            self._clock.boot_ns(),
            self._clock.monotonic_ns(),
            times.currentTime,
            times.outputBufferDacTime,
            status.output_underflow,
        )
        start, change = self._pace.place(request)
        if start is None:
            if self.first_frame is not None:  # stood still: the sound system must catch up first
                time.sleep(_CATCH_UP_S)
            return
        out[:] = self._sound.fill(start, count).reshape(-1, 1)
        self._tell(start, change)
        if self.first_frame is None:
            self.first_frame = start
        self._end = start + count
        self.heard_ns = request.boot_ns

    def _tell(self, start: int, change: Change | None) -> None:
        """What was left out before this block, to the frame, or put right by it."""
        hidden_ms = 0 if self._end is None else (start - self._end) * 1000 // self._sound.rate
        if self._failing and self._end is not None:
            self._report("back", f"on {self.name}", hidden_ms, start)
        elif change:
            kind: Kind = "stalled" if change.lost and hidden_ms > 0 else "corrected"
            moved = f"{change.moved_ms:+.1f} ms on {self.name}"
            moved_ms = hidden_ms if kind == "stalled" else round(change.moved_ms)
            self._report(kind, moved, moved_ms, start)
        self._failing = False

    def _quiet(self, start: int, count: int) -> bool:
        samples: Samples = self._sound.fill(start, count)
        return bool(samples.min() >= -BED_PEAK and samples.max() <= BED_PEAK)
