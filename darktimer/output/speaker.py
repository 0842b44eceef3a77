"""Plays a sound on a speaker for as long as a run lasts, at the place where real time is.

Knows streams, threads and their faults; knows no cues. Nothing here prints.
"""

from darktimer.output.clock import Clock
from darktimer.output.protocol import Sound
from darktimer.output.trouble import Trouble


class SpeakerStream:
    """One sound on one device; frame 0 is heard at ``begin_ns`` of the clock's boot time.

    ``sound.fill`` is called in the device's own thread, from any frame on (also before 0 and
    beyond its end); it must not block. ``device`` and ``second_choice`` are names or parts of
    names as ``darktimer speakers`` shows them; None is the system's default, or no second choice.
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
        self.buffer_ms = buffer_ms
        self._sound = sound
        self._clock = clock
        self._begin_ns = begin_ns

    def start(self) -> None:
        """Opens the device and plays, silent until frame 0 is due. Raises `OutputError`.

        Start it a second or two before ``begin_ns``: the head of a stream may be lost. With
        ``begin_ns`` in the past it starts at the place where real time is.
        """

    def close(self) -> None:
        """Ends the sound at once (the last ``buffer_ms`` of it are dropped); never hangs."""

    def position_ms(self) -> int:
        """Session time now, whether or not anything is heard; negative before the beginning."""
        return (self._clock.boot_ns() - self._begin_ns) // 1_000_000

    def filled_ms(self) -> int:
        """Session time up to which the samples have been handed over and change no more.

        A cue added at or after it is heard whole. Never less than `position_ms`.
        """
        return self.position_ms() + self.buffer_ms

    @property
    def playing(self) -> bool:
        """Whether a device is taking the sound now."""
        return False

    def trouble(self) -> list[Trouble]:
        """Everything that went wrong, or right again, since the last call; in order."""
        return []
