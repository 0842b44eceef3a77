"""Keeps what would have been played, block by block, by a clock that is turned by hand.

For tests and rehearsals, and to write down what a run really sounded like.
"""

from pathlib import Path

import numpy as np

from darktimer.cues.tone import Samples
from darktimer.output.clock import Clock
from darktimer.output.file import FileOutput
from darktimer.output.protocol import Progress, Sound
from darktimer.output.trouble import Trouble


class Recording:
    """A line of samples of its own: a `Sound` again, that any output can take."""

    def __init__(self, rate: int) -> None:
        self.rate = rate
        self.frames = 0
        self._blocks: list[Samples] = []

    def take(self, samples: Samples) -> None:
        """Appends a block; it is copied."""
        self._blocks.append(samples.copy())
        self.frames += len(samples)

    def samples(self) -> Samples:
        """All that was taken, in one piece."""
        if len(self._blocks) != 1:
            self._blocks = [np.concatenate([np.zeros(0, np.int16), *self._blocks])]
        return self._blocks[0]

    def fill(self, start: int, count: int) -> Samples:
        """``count`` samples from frame ``start``; silence before the first and after the last."""
        block = np.zeros(count, np.int16)
        begin, end = max(start, 0), min(start + count, self.frames)
        if begin < end:
            block[begin - start : end - start] = self.samples()[begin:end]
        return block

    def cuts(self) -> tuple[int, ...]:
        """It is one piece."""
        return 0, self.frames

    def write(self, target: Path, *, title: str = "", force: bool = False) -> tuple[str, ...]:
        """Writes it to a sound file; returns notes. Raises `OutputError`."""
        return FileOutput(target, title=title, force=force).play(self)


class RecordingStream:
    """A stream without a device: takes a sound's frames as they fall due by a clock.

    Has the face of a `SpeakerStream`. Frame 0 is due at ``begin_ns`` of the boot clock. What fell
    due since the last look is taken whenever `trouble` is asked for, and at the end.
    """

    buffer_ms = 0

    def __init__(self, sound: Sound, *, clock: Clock, begin_ns: int) -> None:
        self.recording = Recording(sound.rate)
        self.playing = False
        self._sound = sound
        self._clock = clock
        self._begin_ns = begin_ns

    def start(self, *, patient: bool = False) -> None:
        """Begins to take what falls due; nothing can fail."""
        self.playing = True

    def close(self) -> None:
        """Takes what has fallen due, and no more."""
        self._keep_up()
        self.playing = False

    def trouble(self) -> list[Trouble]:
        """Never any."""
        self._keep_up()
        return []

    def position_ms(self) -> int:
        """Session time now; negative before the beginning."""
        return (self._clock.boot_ns() - self._begin_ns) // 1_000_000

    def heard_ms(self) -> int:
        """The same: nothing is ever lost."""
        return self.position_ms()

    def filled_ms(self) -> int:
        """Session time up to which frames have been taken and change no more."""
        return self.recording.frames * 1000 // self.recording.rate

    def _keep_up(self) -> None:
        if not self.playing:
            return
        due = (self._clock.boot_ns() - self._begin_ns) * self.recording.rate // 1_000_000_000
        count = due - self.recording.frames
        if count > 0:
            self.recording.take(self._sound.fill(self.recording.frames, count))


class RecordingOutput:
    """Takes a whole sound at once into `recording`."""

    def __init__(self, block_frames: int = 48_000) -> None:
        self.recording: Recording | None = None
        self._block_frames = block_frames

    def play(self, sound: Sound, progress: Progress | None = None) -> tuple[str, ...]:
        """Takes it from the first frame to the last, block by block; there are no notes."""
        self.recording = Recording(sound.rate)
        for start in range(0, sound.frames, self._block_frames):
            count = min(self._block_frames, sound.frames - start)
            self.recording.take(sound.fill(start, count))
            if progress:
                progress(start + count, sound.frames)
        return ()
