"""One stream of PortAudio's, from its opening to its end, fed with a sound at the right place.

The library's own thread only copies samples and reads clocks; an error there becomes a silent block
and a note. All that takes thought is done by who tends the device.
"""

from collections.abc import Callable
from functools import partial
from typing import Any, Final

from darktimer.output.clock import Clock
from darktimer.output.devices import Device
from darktimer.output.playback_clock import BlockRequest, Correction, PlaybackClock
from darktimer.output.portaudio import Stream, portaudio
from darktimer.output.protocol import Sound, is_quiet
from darktimer.output.thread_priority import raise_priority
from darktimer.output.trouble import Kind
from darktimer.output.watchdog import Watchdog
from darktimer.units import frames

#: Sound servers work in steps of this, or of 512 frames at 48 kHz: they ask at even times for
#: blocks that are a whole number of steps, and those of the second length are so for both kinds.
_TICKS_MS: Final = 20, 160
_CLOCK_READINGS: Final = 5


class DeviceStream(Stream):
    """A device that plays one sound. Raises `OutputError` where it cannot be opened.

    ``first_frame`` is the first that was handed over, None until then. Until ``heard_ns`` of the
    boot clock all that was handed over was heard, or ``report`` was given it, in the device's
    thread: kind, detail, gap_ms, and the frame that it is about, None for now.

    Three blocks make up the buffer, one being filled and two waiting: other threads may hold the
    interpreter for a third of the buffer at a time, again and again, and nothing is lost.
    """

    def __init__(
        self,
        sound: Sound,
        device: Device,
        buffer_ms: int,
        clock: Clock,
        begin_ns: int,
        report: Callable[[Kind, str, int, int | None], None],
    ) -> None:
        self.name = device.name
        self.finished = False
        self.first_frame: int | None = None
        self.heard_ns: int | None = None
        self._sound = sound
        self._clock = clock
        self._report = report
        self._closing = False
        self._failing = False
        self._end: int | None = None
        self._taken = 0
        self._asked_ns = clock.monotonic_ns()
        self._abort = portaudio().CallbackAbort
        block_ms = _block_ms(buffer_ms)
        self._watchdog = Watchdog(block_ms, self._asked_ns)
        super().__init__(
            "output",
            device,
            sound.rate,
            2 * block_ms / 1000,
            blocksize=frames(block_ms, sound.rate),
            callback=self._answer,
            finished_callback=self._finish,
        )
        self.buffer_ms = block_ms + round(self.stream.latency * 1000)
        quiet = partial(is_quiet, sound)
        self._playback = PlaybackClock(sound.rate, begin_ns, self.stream.latency, quiet)
        self.start()
        self._playback.compare(*self._both_clocks())

    @property
    def next_frame(self) -> int | None:
        """The first frame not yet handed over; None while that is not known."""
        return self._playback.next_frame

    def tend(self, now_ns: int) -> str:
        """Looks how it does, now and then; why it is of no use any more, "" while it is."""
        if self.finished:
            return "the device went away"
        self._playback.judge()
        taken_ms, plays = self._taken * 1000 / self._sound.rate, self.first_frame is not None
        return self._watchdog.fault(now_ns, taken_ms, self._asked_ns, plays=plays)

    def proven(self, now_ns: int) -> bool:
        """Whether it has taken sound as fast as that is heard for long enough to rely on."""
        return self.first_frame is not None and self._watchdog.proven(now_ns)

    def close(self, limit_s: float = 0.0) -> None:
        self._closing = True
        super().close(limit_s)

    def _both_clocks(self) -> tuple[int, float]:
        """Ours and the device's, read most nearly at once: a reading may be interrupted."""
        readings = [(self._clock.monotonic_ns(), self.stream.time) for _ in range(_CLOCK_READINGS)]
        return max(readings, key=lambda reading: reading[0] - round(reading[1] * 1e9))

    def _finish(self) -> None:
        self.finished = True

    def _answer(self, out: Any, count: int, times: Any, status: Any) -> None:
        """The library's callback; its buffer comes uncleared and in any size."""
        out.fill(0)
        if self._closing:
            raise self._abort
        if not self._taken:
            raise_priority()
        try:
            self._play(out, count, times, status)
        except Exception as error:
            out.fill(0)
            if not self._failing:  # told once, not block by block
                self._failing = True
                self._report("callback-error", repr(error), 0, None)
        self._taken += count
        self._asked_ns = self._clock.monotonic_ns()

    def _play(self, out: Any, count: int, times: Any, status: Any) -> None:
        ours = self._clock.boot_ns(), self._clock.monotonic_ns()
        theirs = times.currentTime, times.outputBufferDacTime
        request = BlockRequest(count, *ours, *theirs, status.output_underflow)
        start, change = self._playback.place(request)
        if start is None:
            return
        out[:] = self._sound.fill(start, count).reshape(-1, 1)
        self._tell(start, change)
        if self.first_frame is None:
            self.first_frame = start
        self._end = start + count
        self.heard_ns = request.boot_ns

    def _tell(self, start: int, change: Correction | None) -> None:
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


def _block_ms(buffer_ms: int) -> int:
    """A third of a buffer, in whole steps."""
    tick_ms = max(each for each in _TICKS_MS if 3 * each <= max(buffer_ms, 3 * _TICKS_MS[0]))
    return max(buffer_ms // 3 // tick_ms, 1) * tick_ms
