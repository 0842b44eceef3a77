"""Plays a sound on a speaker for as long as it is wanted, at the place where real time is.

One thread supervises: it seeks a device, sees that it plays, and where it is lost seeks it again,
or a second choice.
"""

import threading
from collections import Counter, deque
from contextlib import suppress
from queue import Empty, SimpleQueue
from typing import Final

from darktimer.errors import OutputError
from darktimer.output import simple
from darktimer.output.clock import Clock
from darktimer.output.device_stream import DeviceStream
from darktimer.output.devices import RENDER_INSTEAD, Device
from darktimer.output.portaudio import give_back_error_stream
from darktimer.output.protocol import Sound
from darktimer.output.search import Playing, Search, Tried
from darktimer.output.speakers import Speakers
from darktimer.output.trouble import Kind, Trouble

#: Samples are taken while the row of cues is made anew, which takes 29 ms in a plan of a day.
_MARGIN_MS: Final = 50
_WATCH_S: Final = 0.25
#: While there is no sound, every moment counts.
_SEEK_S: Final = 0.05
_SLEPT_MS: Final = 500
_OPENS_S: Final = 5.0
_CLOSES_S: Final = 1.0
#: A device needs several buffers' time to show that it keeps it.
_PROVES_WITHIN: Final = 4


class SpeakerStream:
    """One sound on one device; frame 0 is heard at ``begin_ns`` of the clock's boot time.

    ``sound.fill`` is called in the device's own thread, from any frame on (also before 0 and
    beyond its end); it must not block. Once a second choice plays, it is kept until it is lost.
    """

    def __init__(self, sound: Sound, speakers: Speakers, clock: Clock, begin_ns: int) -> None:
        self._sound = sound
        self._speakers = speakers
        self._clock = clock
        self._begin_ns = begin_ns
        self._trouble: deque[Trouble] = deque()
        self._arrived: SimpleQueue[Tried | None] = SimpleQueue()
        names = (speakers.name, *({speakers.second_choice} - {None}))
        self._search = Search(names, self._opened, self._arrived.put)
        self._stream: Playing | None = None
        self._sounding = False
        self._heard_ms = -1_000_000
        self._silent_since_ms: int | None = None
        self._missed: Counter[tuple[Kind, str | None]] = Counter()
        self._lag_ns = clock.boot_ns() - clock.monotonic_ns()
        self._proven = False
        self._decided, self._ended = threading.Event(), threading.Event()
        self._thread = threading.Thread(target=self._supervise, name="speaker", daemon=True)

    def start(self, *, wait_for_device: bool = False) -> None:
        """Plays, silent until frame 0 is due. Raises `OutputError`.

        Returns when the device has taken sound for a second or more as fast as that is heard; one
        that takes it faster, more slowly or not at all is refused. Start it `Speakers.lead_ms`
        before ``begin_ns``, or in its past. To ``wait_for_device`` returns at once and cannot fail.
        """
        self._proven = wait_for_device
        self._silent_since_ms = self.position_ms() if wait_for_device else None
        self._thread.start()
        if wait_for_device:
            return
        self._decided.wait(_OPENS_S + _PROVES_WITHIN * self._speakers.buffer_ms / 1000)
        if not self._proven:
            self.close()
            give_back_error_stream()
            raise self._search.fault or OutputError(
                self._speakers.name or "speaker", "the sound system does not answer", RENDER_INSTEAD
            )

    def close(self) -> None:
        """Ends the sound at once, its buffer dropped; within two seconds on a frozen server too."""
        self._ended.set()
        self._arrived.put(None)
        if self._thread.is_alive():
            self._thread.join(2 * _CLOSES_S)

    def position_ms(self) -> int:
        """Session time now, whether or not anything is heard; negative before the beginning."""
        return (self._clock.boot_ns() - self._begin_ns) // 1_000_000

    def heard_ms(self) -> int:
        """Session time up to which all that was handed over was heard, or `trouble` tells of it.

        It stands still while there is no sound.
        """
        stream = self._stream
        if stream and self._sounding and stream.heard_ns is not None:
            self._heard_ms = max(self._heard_ms, (stream.heard_ns - self._begin_ns) // 1_000_000)
        return self._heard_ms

    def filled_ms(self) -> int:
        """Session time up to which nothing can be changed: a block may go out at any moment."""
        stream, position_ms, filled_ms = self._stream, self.position_ms(), 0
        if stream and not stream.finished and stream.next_frame is not None:
            filled_ms = stream.next_frame * 1000 // self._sound.rate + 1
        playing = self.playing or filled_ms > position_ms  # which shows there first
        return max(position_ms + self.buffer_ms * playing, filled_ms) + _MARGIN_MS

    @property
    def buffer_ms(self) -> int:
        """How far ahead of what is heard the samples are handed over, at most."""
        stream = self._stream
        return stream.buffer_ms if stream else self._speakers.buffer_ms

    @property
    def playing(self) -> bool:
        """Whether a device is taking the sound now."""
        stream = self._stream
        return stream is not None and self._sounding and not stream.finished

    def trouble(self) -> list[Trouble]:
        """Everything that went wrong, or right again, since the last call; in order."""
        return [self._trouble.popleft() for _ in range(len(self._trouble))]

    def _opened(self, device: Device) -> Playing:
        if device == simple.DEVICE:
            return simple.SimpleStream(self._sound, self._clock, self._begin_ns)
        return DeviceStream(
            self._sound, device, self._speakers.buffer_ms, self._clock, self._begin_ns, self._report
        )

    def _report(self, kind: Kind, detail: str, gap_ms: int = 0, frame: int | None = None) -> None:
        at_ms = self.position_ms() if frame is None else frame * 1000 // self._sound.rate
        self._trouble.append(Trouble(kind, at_ms, detail, gap_ms))

    # The supervisor's own thread, which alone touches the stream and the search

    def _supervise(self) -> None:
        while not self._ended.is_set():
            try:
                with suppress(Empty):
                    wait_s = _WATCH_S if self._sounding else _SEEK_S
                    self._take(self._arrived.get(timeout=wait_s))
                self._look(self._clock.monotonic_ns())
            except Exception as error:  # it must outlive whatever it finds
                self._miss("callback-error", "supervisor", f"supervisor: {error!r}")
        if self._stream:
            self._stream.close(_CLOSES_S)
        self._stream, self._sounding = None, False
        while self._search.running:  # whatever opens from now on is closed again
            self._take(self._arrived.get())

    def _take(self, tried: Tried | None) -> None:
        if tried is None:
            return
        self._search.take(tried)
        if tried.stream and (self._stream or self._ended.is_set()):
            tried.stream.close()
        else:
            self._stream = self._stream or tried.stream
        if tried.fault:
            self._miss("no-device", tried.name, str(tried.fault))

    def _miss(self, kind: Kind, about: str | None, fault: str) -> None:
        """What is told once for a speaker and kind; how often, when there is sound again."""
        self._missed[kind, about] += 1
        if self._missed[kind, about] == 1:
            self._report(kind, fault)

    def _look(self, now_ns: int) -> None:
        stream, lag_ns = self._stream, self._clock.boot_ns() - now_ns
        slept_ms, self._lag_ns = (lag_ns - self._lag_ns) // 1_000_000, lag_ns
        if slept_ms > _SLEPT_MS:
            self._report("slept", "", slept_ms)
        if stream is None:
            if self._search.exhausted and not self._proven:
                self._decided.set()  # nothing will do: who waits for it will close
            else:
                self._search.look(now_ns)
            return
        if fault := stream.tend(now_ns):
            self._lose(stream, fault)
            return
        if not self._sounding and stream.first_frame is not None:
            self._welcome(stream, stream.first_frame)
        if not self._proven and stream.proven(now_ns):
            self._proven = True
            self._decided.set()

    def _lose(self, stream: Playing, why: str) -> None:
        """The silence began when the device last took sound, by the clock that goes on in sleep."""
        if self._sounding and self._proven:
            self._silent_since_ms = self.heard_ms()
            silent_ms = self.position_ms() - self._silent_since_ms
            self._report("lost", f"{stream.name}: {why}", silent_ms)
            self._search.restart()
        else:  # it could be opened, and is of no use all the same
            fault = OutputError(stream.name, why, f"choose another speaker, {RENDER_INSTEAD}")
            self._search.refuse(fault)
            self._miss("no-device", stream.name, str(fault))
        self._stream, self._sounding = None, False
        stream.close()

    def _welcome(self, stream: Playing, first_frame: int) -> None:
        """Tells of the silence first, so that `heard_ms` never passes one that was not told."""
        if self._silent_since_ms is not None:
            gap_ms = first_frame * 1000 // self._sound.rate - self._silent_since_ms
            tried = sum(self._missed.values())
            after = f", tried {tried} times" if tried > 1 else ""
            self._report("back", f"on {stream.name}{after}", gap_ms, first_frame)
        self._silent_since_ms = None
        self._missed.clear()
        self._sounding = True
