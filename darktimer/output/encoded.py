"""Writes FLAC and OGG Vorbis through the sound library, and asks any encoded file for its length.

The encoders say little of what goes wrong, so a finished file is asked whether it is whole.
"""

import os
from typing import Final

from darktimer.output.protocol import Progress, Sound, blocks
from darktimer.output.tags import Tags

#: Level 3 of 8: the lowest with long blocks, of which silence needs far fewer. A file of silence
#: and tones is written sooner than at level 0, and is a third smaller.
_FLAC_LEVEL: Final = 3 / 8


def write_flac(descriptor: int, sound: Sound, tags: Tags, progress: Progress | None) -> None:
    """Free Lossless Audio Codec; raises `OSError`."""
    _write(descriptor, sound, tags, progress, "FLAC", "PCM_16", compression_level=_FLAC_LEVEL)


def write_vorbis(descriptor: int, sound: Sound, tags: Tags, progress: Progress | None) -> None:
    """OGG Vorbis; raises `OSError`."""
    _write(descriptor, sound, tags, progress, "OGG", "VORBIS")


def _write(
    descriptor: int,
    sound: Sound,
    tags: Tags,
    progress: Progress | None,
    container: str,
    codec: str,
    **options: float,
) -> None:
    from soundfile import SoundFile, SoundFileError

    form = {"format": container, "subtype": codec, **options}
    try:
        with SoundFile(descriptor, "w", sound.rate, 1, closefd=False, **form) as file:
            for name, text in tags.texts().items():
                setattr(file, name, text)
            for block in blocks(sound, progress):
                file.buffer_write(block, "int16")
    except SoundFileError as error:
        raise OSError(_why(descriptor), str(error)) from None


def check_whole(descriptor: int, frames: int) -> None:
    """Raises `OSError` where the sound library reads fewer frames back."""
    from soundfile import SoundFile, SoundFileError

    os.lseek(descriptor, 0, os.SEEK_SET)
    try:
        with SoundFile(descriptor, closefd=False) as file:
            assert file.frames >= frames, "the file came out short"
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
