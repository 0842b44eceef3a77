"""Hears a recording at the speed at which it was played.

A wrong clock shifts every note with it. One percent is heard all the same; what is played at
44.1 kHz in place of 48 kHz, or the other way, is out of tune by more than a tone. A recording in
which too little is heard is heard again as if its rate were the other.
"""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final

from darktimer.ear.hearing import Detection
from darktimer.ear.recording import Recording
from darktimer.ear.verdict import compared
from darktimer.process.timeline import Timeline

_SPEEDS: Final = (1.0, 48_000 / 44_100, 44_100 / 48_000)


def at_its_speed(
    path: Path, timeline: Timeline, hear: Callable[[Recording], Sequence[Detection]]
) -> tuple[Recording, Sequence[Detection]]:
    """The recording at the first speed at which most of the timeline is heard, and what is heard.

    Where there is none, as it is. Raises `DarktimerError`.
    """
    tried = []
    for speed in _SPEEDS:
        sound = Recording(path, speed)
        heard = hear(sound)
        verdict = compared(heard, timeline, sound.heard_ms)
        if verdict.mostly_heard and not verdict.too_few:
            return sound, heard
        tried.append((sound, heard))
    return tried[0]
