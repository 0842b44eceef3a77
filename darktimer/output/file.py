"""Writes a sound to a file: whole, or not at all.

Knows kinds of sound files and what their encoders leave unsaid; no codec.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from pathlib import Path
from typing import Final, NoReturn

from darktimer.cues.tone import Samples
from darktimer.errors import OutputError
from darktimer.output import encoded, wav
from darktimer.output.protocol import Progress, Sound
from darktimer.whole_file import whole_file

#: How much is written at a time: it stays in a processor's cache, and the lossy encoders, which
#: are known to fail on very long ones, can bear it.
_BLOCK_FRAMES: Final = 131_072
_LOWEST_RATE: Final = 8000
_HIGHEST_RATE: Final = 192_000
#: What common readers of WAV files still show of a text.
_MOST_TEXT_BYTES: Final = 2000
_RF64_NOTE: Final = (
    "the file is larger than 4 GiB and so is RF64, which some players cannot read; "
    "FLAC has no such limit"
)


@dataclass(frozen=True, slots=True)
class FileOutput:
    """A sound file: WAV, FLAC, OGG (Vorbis), Opus or MP3, after the ending of its name.

    ``steps_text`` goes into the metadata, a line a step. An existing file is replaced only with
    ``force``.
    """

    target: Path
    title: str = ""
    steps_text: str = ""
    force: bool = False

    def play(self, sound: Sound, progress: Progress | None = None) -> tuple[str, ...]:
        """Writes the whole sound; returns notes. Raises `OutputError` and leaves no remains."""
        codec = self._codec(sound.rate)
        blocks = _blocks(sound, progress)
        title, comment = self.title[:200], _first_lines(self.steps_text)
        writing = whole_file(self.target, force=self.force, smaller="write FLAC")
        write = partial(encoded.write, codec) if codec else wav.write
        with writing as descriptor:
            write(descriptor, sound, title, comment, blocks)
        return (_RF64_NOTE,) if not codec and wav.is_large(sound.frames) else ()

    def _codec(self, rate: int) -> encoded.Codec | None:
        """The codec that the name asks for; None is plain WAV."""
        ending = self.target.suffix.lower()
        codec = encoded.CODECS.get(ending)
        if codec is None and ending != ".wav":
            found = repr(ending) if ending else "a name without ending"
            endings = ", ".join((".wav", *encoded.CODECS))
            self._refuse(f"{found} is no kind of sound file known here", f"end it in {endings}")
        if not _LOWEST_RATE <= rate <= _HIGHEST_RATE:
            self._refuse(f"{rate} Hz cannot be written", "use 8000 to 192000, best 48000")
        if codec and codec.rates and rate not in codec.rates:
            rates = ", ".join(map(str, codec.rates))
            self._refuse(f"{ending} files cannot hold {rate} Hz", f"use one of {rates}")
        return codec

    def _refuse(self, reason: str, remedy: str) -> NoReturn:
        raise OutputError(str(self.target), reason, remedy)


def _blocks(sound: Sound, progress: Progress | None) -> Iterator[Samples]:
    """The whole sound, cut where quiet begins and ends, so that quiet costs next to nothing."""
    for cut, following in pairwise(sound.cuts()):
        for start in range(cut, following, _BLOCK_FRAMES):
            yield sound.fill(start, min(_BLOCK_FRAMES, following - start))
        if progress:
            progress(following, sound.frames)


def _first_lines(text: str) -> str:
    """As many whole lines as fit, then a line of dots where some did not."""
    if len(text.encode()) <= _MOST_TEXT_BYTES:
        return text
    head = text.encode()[: _MOST_TEXT_BYTES - 4].decode(errors="ignore")
    return head.rpartition("\n")[0] + "\n..."
