"""Writes FLAC, OGG Vorbis, Opus and MP3 through the sound library.

The encoders say little of what goes wrong, so a finished file is asked whether it is whole.
"""

import os
import unicodedata
from collections.abc import Iterator
from typing import Final, NamedTuple

from darktimer.cues.tone import Samples
from darktimer.output.protocol import Sound


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
    codec: Codec, descriptor: int, sound: Sound, title: str, comment: str, blocks: Iterator[Samples]
) -> None:
    """Encodes each block, then reads the file's length back; raises `OSError`."""
    from soundfile import SoundFile, SoundFileError

    form = {"format": codec.container, "subtype": codec.name, **dict(codec.options)}
    text = _ascii if codec.container == "MP3" else str
    try:
        with SoundFile(descriptor, "w", sound.rate, 1, closefd=False, **form) as file:
            if title:
                file.title = text(title)
            if comment:
                file.comment = text(comment)
            for block in blocks:
                file.buffer_write(block, "int16")
        os.lseek(descriptor, 0, os.SEEK_SET)
        with SoundFile(descriptor, closefd=False) as file:
            assert file.frames >= sound.frames, "the file came out short"
    except (SoundFileError, AssertionError) as error:
        raise OSError(_why(descriptor), str(error)) from None


def _why(descriptor: int) -> int | None:
    """The error number that an encoder swallowed, found by writing once more."""
    try:
        os.lseek(descriptor, 0, os.SEEK_END)
        os.write(descriptor, bytes(1 << 16))
    except OSError as error:
        return error.errno
    return None


def _ascii(text: str) -> str:
    """Plain letters for MP3 tags, whose encoder takes UTF-8 for Latin-1."""
    return unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
