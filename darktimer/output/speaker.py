"""Plays a sound on a speaker for as long as a run lasts, at the place where real time is.

A watch looks four times a second whether the device still takes sound, and finds it again, or a
second choice, where it does not. Knows streams, threads and their faults; knows no cues. Nothing
here prints.
"""

import threading
import time
from collections import deque
from typing import Final

from darktimer.errors import OutputError
from darktimer.output.card import Card
from darktimer.output.clock import Clock, SystemClock
from darktimer.output.devices import RENDER_INSTEAD, Device, portaudio
from darktimer.output.protocol import Progress, Sound
from darktimer.output.search import Search
from darktimer.output.trouble import Kind, Trouble

_WATCH_S: Final = 0.25
#: While there is no sound, every moment counts.
_SEEK_S: Final = 0.05
#: A device that has played and asks for nothing for so long is lost.
_SILENT_MS: Final = 1000
#: A device that has not played yet is given longer to begin.
_BEGINS_MS: Final = 3000
#: The watch itself was held up if it comes so late.
_HELD_UP_MS: Final = 1000
_SLEPT_MS: Final = 500
_OPENS_S: Final = 5.0
_CLOSES_S: Final = 1.0
_LEAD_MS: Final = 1500
_TAIL_MS: Final = 300


class SpeakerStream:
    """One sound on one device; frame 0 is heard at ``begin_ns`` of the clock's boot time.

    ``sound.fill`` is called in the device's own thread, from any frame on (also before 0 and
    beyond its end); it must not block. ``device`` and ``second_choice`` are names or parts of
    names as ``darktimer speakers`` shows them; None is the system's default, or no second choice.
    Once the second choice plays it is kept, until it is lost itself.
    """

    def __init__(
        self,
        sound: Sound,
        *,
        device: str | None = None,
        second_choice: str | None = None,
        buffer_ms: int = 300,
        clock: Clock,
        begin_ns: int,
    ) -> None:
        self._sound = sound
        self._names = (device,) if second_choice is None else (device, second_choice)
        self._asked_ms = buffer_ms
        self._clock = clock
        self._begin_ns = begin_ns
        self._trouble: deque[Trouble] = deque()
        self._card: Card | None = None
        self._sounding = False
        self._heard_ms = -1_000_000
        self._silent_since_ms: int | None = None
        self._told: str | None = None
        self._ended = threading.Event()
        self._search = Search(self._names, self._opened)
        self._watch = threading.Thread(target=self._keep_watch, name="speaker watch", daemon=True)
        self._seen_ns = clock.monotonic_ns()
        self._lag_ns = clock.boot_ns() - self._seen_ns
        self._judge_from_ns = 0

    def start(self, *, patient: bool = False) -> None:
        """Opens the device and plays, silent until frame 0 is due. Raises `OutputError`.

        Start it a second or two before ``begin_ns``: the head of a stream may be lost. With
        ``begin_ns`` in the past it starts at the place where real time is. A patient start
        returns at once and looks for the device as after a loss; it fails only where PortAudio
        itself is missing.
        """
        portaudio()
        if patient:
            self._silent_since_ms = self.position_ms()
        else:
            self._card = self._first_card()
        self._watch.start()

    def close(self) -> None:
        """Ends the sound at once (the last ``buffer_ms`` of it are dropped); never hangs.

        It takes two seconds at most, also where the sound server is frozen.
        """
        self._ended.set()
        if self._watch.is_alive():
            self._watch.join(_CLOSES_S)
        self._search.stop()
        card, self._card, self._sounding = self._card, None, False
        if card:
            card.retire(_CLOSES_S)

    def position_ms(self) -> int:
        """Session time now, whether or not anything is heard; negative before the beginning.

        While `playing`, what is before it has been heard, but for a constant of the device's.
        """
        return (self._clock.boot_ns() - self._begin_ns) // 1_000_000

    def heard_ms(self) -> int:
        """Session time up to which all that was handed over was heard, or `trouble` tells of it.

        Never more than `position_ms`; it stands still while there is no sound.
        """
        card = self._card
        if card and self._sounding and card.heard_ns is not None:
            self._heard_ms = max(self._heard_ms, (card.heard_ns - self._begin_ns) // 1_000_000)
        return self._heard_ms

    def filled_ms(self) -> int:
        """Session time up to which the samples have been handed over and change no more.

        A cue added at or after it is heard whole. Never less than `position_ms`.
        """
        card = self._card
        frame = card.next_frame if card and not card.finished else None
        if frame is None:
            return self.position_ms()
        return max(self.position_ms(), frame * 1000 // self._sound.rate + 1)

    @property
    def buffer_ms(self) -> int:
        """How far ahead of what is heard the samples are handed over, at most."""
        card = self._card
        return card.buffer_ms if card else self._asked_ms

    @property
    def playing(self) -> bool:
        """Whether a device is taking the sound now."""
        card = self._card
        return card is not None and self._sounding and not card.finished

    def trouble(self) -> list[Trouble]:
        """Everything that went wrong, or right again, since the last call; in order."""
        return [self._trouble.popleft() for _ in range(len(self._trouble))]

    def _report(self, kind: Kind, detail: str, gap_ms: int, frame: int | None = None) -> None:
        at_ms = self.position_ms() if frame is None else frame * 1000 // self._sound.rate
        self._trouble.append(Trouble(kind, at_ms, detail, gap_ms))

    def _opened(self, device: Device) -> Card:
        return Card(self._sound, device, self._asked_ms, self._clock, self._begin_ns, self._report)

    def _first_card(self) -> Card:
        end = time.monotonic() + _OPENS_S
        while time.monotonic() < end:
            card = self._search.poll(self._clock.monotonic_ns())
            if card:
                if self._search.fault:
                    self._report("no-device", str(self._search.fault), 0)
                return card
            if self._search.exhausted and self._search.fault:
                break
            time.sleep(0.01)
        self._search.stop()
        raise self._search.fault or OutputError(
            self._names[0] or "speaker", "the sound system does not answer", RENDER_INSTEAD
        )

    def _keep_watch(self) -> None:
        while not self._ended.wait(_WATCH_S if self._sounding else _SEEK_S):
            try:
                self._look()
            except Exception as error:  # the watch must outlive whatever it finds
                self._report("callback-error", f"watch: {error!r}", 0)

    def _look(self) -> None:
        now_ns = self._clock.monotonic_ns()
        self._notice_sleep(now_ns)
        card = self._card
        if card is None:
            self._seek(now_ns)
        elif card.finished:
            self._lose(card, "the device went away")
        elif now_ns >= self._judge_from_ns and self._is_silent(card, now_ns):
            self._lose(card, "the device takes no sound")
        elif not self._sounding and card.first_frame is not None:
            self._welcome(card, card.first_frame)

    def _notice_sleep(self, now_ns: int) -> None:
        lag_ns = self._clock.boot_ns() - now_ns
        slept_ms = (lag_ns - self._lag_ns) // 1_000_000
        if slept_ms > _SLEPT_MS:
            self._report("slept", "", slept_ms)
        if slept_ms > _SLEPT_MS or now_ns - self._seen_ns > _HELD_UP_MS * 1_000_000:
            self._judge_from_ns = now_ns + _SILENT_MS * 1_000_000
        self._lag_ns, self._seen_ns = lag_ns, now_ns

    def _is_silent(self, card: Card, now_ns: int) -> bool:
        patience_ms = _SILENT_MS if self._sounding else _BEGINS_MS
        return now_ns - card.last_asked_ns > patience_ms * 1_000_000

    def _lose(self, card: Card, why: str) -> None:
        """The silence began when the device last took sound, by the clock that goes on in sleep."""
        if self._silent_since_ms is None:
            now_ms = self.position_ms()
            self._silent_since_ms = self.heard_ms() if self._sounding else now_ms
            self._report("lost", f"{card.name}: {why}", now_ms - self._silent_since_ms)
        self._card, self._sounding = None, False
        card.retire()
        self._search.restart()

    def _seek(self, now_ns: int) -> None:
        fault = str(self._search.fault or "") if self._search.exhausted else ""
        self._card = self._search.poll(now_ns)
        if self._card is None and fault not in ("", self._told):
            self._report("no-device", fault, 0)
            self._told = fault
            if self._silent_since_ms is None:
                self._silent_since_ms = self.position_ms()

    def _welcome(self, card: Card, first_frame: int) -> None:
        """Tells of the silence first, so that `heard_ms` never passes one that was not told."""
        if self._silent_since_ms is not None:
            gap_ms = first_frame * 1000 // self._sound.rate - self._silent_since_ms
            self._report("back", f"on {card.name}", gap_ms, first_frame)
        self._silent_since_ms = self._told = None
        self._sounding = True


class SpeakerOutput:
    """A speaker that takes a whole sound and plays it to its end."""

    def __init__(self, device: str | None = None) -> None:
        self._device = device

    def play(self, sound: Sound, progress: Progress | None = None) -> tuple[str, ...]:
        """Plays it once; returns what went wrong meanwhile. Raises `OutputError`."""
        clock = SystemClock()
        begin_ns = clock.boot_ns() + _LEAD_MS * 1_000_000
        stream = SpeakerStream(sound, device=self._device, clock=clock, begin_ns=begin_ns)
        stream.start()
        try:
            self._wait(stream, sound, progress)
        finally:
            stream.close()
        return tuple(f"{each.kind} {each.detail}".strip() for each in stream.trouble())

    def _wait(self, stream: SpeakerStream, sound: Sound, progress: Progress | None) -> None:
        end_ms = sound.frames * 1000 // sound.rate + _TAIL_MS
        while (now_ms := stream.position_ms()) < end_ms:
            if progress and now_ms > 0:
                progress(min(now_ms * sound.rate // 1000, sound.frames), sound.frames)
            time.sleep(0.05)
