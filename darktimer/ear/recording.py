"""Reads a sound file as one channel, in overlapping blocks of a few seconds.

Knows containers through the sound library; not what is in the sound.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from darktimer.errors import DarktimerError

Mono = NDArray[np.float32]

#: A channel sum this much quieter than its louder channel means that channels cancel.
_CANCELS: Final = 0.1
_REMEDY: Final = "give a recording that the sound library reads, such as .wav, .flac, .ogg or .mp3"


class Recording:
    """A sound file of any rate and any number of channels; opened again for each reading."""

    def __init__(
        self, path: Path, speed: float = 1.0, first: int = 0, most: int | None = None
    ) -> None:
        """What was played ``speed`` times too fast is put right: ``rate`` is what it should be.

        Of a part, its ``first`` frame and how many there are at most. Raises `DarktimerError`
        where there is no sound to be read.
        """
        self.path = path
        self._first, self._most = first, most
        self._frames_read = 0
        with self._opened() as file:
            rate = int(file.samplerate)
        self.rate = round(rate / speed)
        self.speed = rate / self.rate
        if self.rate < 1000:
            raise DarktimerError(f"{path}: {self.rate} samples a second hold no cue; {_REMEDY}")

    @property
    def heard_ms(self) -> float:
        """How much of the file has been read; headers of unfinished files do not tell."""
        return self._frames_read * 1000 / (self.rate * self.speed)

    def part(self, first_ms: float, length_ms: float) -> "Recording":
        """A part of the file, which begins no earlier than the file does."""
        rate = self.rate * self.speed
        first, length = (round(ms * rate / 1000) for ms in (first_ms, length_ms))
        return Recording(self.path, self.speed, first, length)

    def blocks(self, length: int, step: int, before: int) -> Iterator[Mono]:
        """Blocks of ``length`` samples, the n-th from sample ``n * step - before``.

        What lies outside the file is silence. Blocks end when every sample has had its step, or one
        later: a file tells its end only when it is read.
        """
        held = np.zeros(length, np.float32)
        wanted = length - before
        self._frames_read = done = 0
        ended = False
        with self._opened() as file:
            file.seek(self._first)
            while not ended or done < self._frames_read:
                fresh = self._mono(file, self._left(wanted))
                self._frames_read += len(fresh)
                ended = len(fresh) < wanted
                rest = np.zeros(wanted - len(fresh), np.float32)
                held = np.concatenate((held[wanted:], fresh, rest))
                yield held
                wanted, done = step, done + step

    def _left(self, wanted: int) -> int:
        return wanted if self._most is None else min(wanted, self._most - self._frames_read)

    def _mono(self, file: Any, count: int) -> Mono:
        import soundfile

        try:
            return _one_channel(file.read(count, dtype="float32", always_2d=True))
        except soundfile.SoundFileError as error:
            raise DarktimerError(f"{self.path}: the sound breaks off: {error}; {_REMEDY}") from None

    def _opened(self) -> Any:
        import soundfile

        if not self.path.is_file():
            raise DarktimerError(f"{self.path}: there is no such file; {_REMEDY}")
        try:
            file: Any = soundfile.SoundFile(self.path)
        except soundfile.SoundFileError:
            raise DarktimerError(f"{self.path}: this is not a sound file; {_REMEDY}") from None
        # Else it seeks after every read, to where it is, and an MP3 loses a frame or two there.
        file.seekable = lambda: False
        return file


def _one_channel(samples: NDArray[np.float32]) -> Mono:
    """The mean of the channels, or the loudest one where the channels cancel each other."""
    if samples.shape[1] == 1 or not len(samples):
        return samples[:, 0]
    mean: Mono = samples.mean(axis=1)
    powers = np.einsum("ij,ij->j", samples, samples)
    if float(mean @ mean) >= _CANCELS * float(powers.max()):
        return mean
    loudest: Mono = np.ascontiguousarray(samples[:, int(powers.argmax())])
    return loudest
