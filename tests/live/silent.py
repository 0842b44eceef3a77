"""The whole program where there is no sound card, on a clock that runs faster.

Run as: silent.py SPEED WORDS... What would be played is taken as it falls due; everything but the
device and the session's clock is the program's own.
"""

import sys
from typing import Any

from darktimer.cli import main
from darktimer.output import speaker
from darktimer.output.clock import Clock
from darktimer.output.protocol import Sound
from darktimer.output.trouble import Trouble


class Silent:
    """Makes what falls due by the clock, as a `SpeakerStream` does, and lets it go."""

    buffer_ms = 0

    def __init__(self, sound: Sound, _: Any, clock: Clock, begin_ns: int) -> None:
        self.playing = False
        self._sound, self._clock, self._begin_ns = sound, clock, begin_ns
        self._frames = 0

    def start(self, *, wait_for_device: bool = False) -> None:
        self.playing = True

    def close(self) -> None:
        self.playing = False

    def trouble(self) -> list[Trouble]:
        due = self.position_ms() * self._sound.rate // 1000
        if self.playing and due > self._frames:
            self._sound.fill(self._frames, due - self._frames)
            self._frames = due
        return []

    def position_ms(self) -> int:
        return (self._clock.boot_ns() - self._begin_ns) // 1_000_000

    def heard_ms(self) -> int:
        return self.position_ms()

    def filled_ms(self) -> int:
        return self._frames * 1000 // self._sound.rate + 50  # time to change what comes then


def _hurry(speed: float) -> None:
    boot_ns, start_ns = Clock.boot_ns, Clock().boot_ns()
    Clock.boot_ns = lambda clock: start_ns + int((boot_ns(clock) - start_ns) * speed)


if __name__ == "__main__":
    speaker.SpeakerStream = Silent
    _hurry(float(sys.argv.pop(1)))
    main()
