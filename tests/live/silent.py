"""The whole program where there is no sound card, on a clock that runs faster.

Run as: silent.py SPEED WORDS... What would be played is taken as it falls due; everything but the
device and the session's clock is the program's own.
"""

import sys
from typing import Any

from darktimer.output.recording import RecordingStream

from darktimer.cli import main
from darktimer.live import stage
from darktimer.output.clock import Clock, SystemClock
from darktimer.output.protocol import Sound


def _stream(sound: Sound, *, clock: Clock, begin_ns: int, **_: Any) -> RecordingStream:
    return RecordingStream(sound, clock=clock, begin_ns=begin_ns)


def _hurry(speed: float) -> None:
    boot_ns, start_ns = SystemClock.boot_ns, SystemClock().boot_ns()
    SystemClock.boot_ns = lambda clock: start_ns + int((boot_ns(clock) - start_ns) * speed)


if __name__ == "__main__":
    stage.SpeakerStream = _stream
    _hurry(float(sys.argv.pop(1)))
    main()
