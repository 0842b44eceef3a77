"""Writes FLAC, OGG Vorbis, Opus and MP3 through the sound library.

Knows what each codec takes. The encoders say little of what goes wrong, so a finished file is
asked whether it is whole.
"""

import os
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final, NamedTuple

from darktimer.cues.tone import Samples


class EncoderError(Exception):
    """An encoder failed; why is for the system to say."""


class Codec(NamedTuple):
    """A codec in its container, by the sound library's names; no ``rates`` means any rate."""

    container: str
    name: str
    rates: tuple[int, ...] = ()
    options: tuple[tuple[str, float], ...] = ()


_MPEG_RATES: Final = (8000, 11_025, 12_000, 16_000, 22_050, 24_000, 32_000, 44_100, 48_000)
_OPUS_RATES: Final = (8000, 12_000, 16_000, 24_000, 48_000)

#: Level 3 of 8: the lowest with long blocks, of which silence needs far fewer. A file of silence
#: and tones is written sooner than at level 0, and is a third smaller.
_FLAC_LEVEL: Final = 3 / 8

#: Codecs by the endings of file names.
CODECS: Final = {
    ".flac": Codec("FLAC", "PCM_16", options=(("compression_level", _FLAC_LEVEL),)),
    ".ogg": Codec("OGG", "VORBIS"),
    ".opus": Codec("OGG", "OPUS", _OPUS_RATES),
    ".mp3": Codec("MP3", "MPEG_LAYER_III", _MPEG_RATES),
}


def write(
    descriptor: int, codec: Codec, rate: int, title: str, comment: str, blocks: Iterator[Samples]
) -> None:
    """Encodes each block; raises `EncoderError`."""
    from soundfile import SoundFile

    form = {"format": codec.container, "subtype": codec.name, **dict(codec.options)}
    with _complaints(), SoundFile(descriptor, "w", rate, 1, closefd=False, **form) as file:
        text = _ascii if codec.container == "MP3" else str
        if title:
            file.title = text(title)
        if comment:
            file.comment = text(comment)
        for block in blocks:
            file.buffer_write(block, "int16")


def confirm_whole(descriptor: int, frames: int) -> None:
    """Reads a finished file's length back; raises `EncoderError` where it is short."""
    from soundfile import SoundFile

    os.lseek(descriptor, 0, os.SEEK_SET)
    with _complaints(), SoundFile(descriptor, closefd=False) as file:
        if file.frames < frames:
            raise EncoderError("the file came out short")


@contextmanager
def _complaints() -> Iterator[None]:
    """Everything by which the sound library tells of a failure, as one error."""
    from soundfile import SoundFileError

    try:
        yield
    except (SoundFileError, AssertionError) as error:
        raise EncoderError(str(error)) from None


def _ascii(text: str) -> str:
    """Plain letters for MP3 tags, whose encoder takes UTF-8 for Latin-1."""
    return unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
