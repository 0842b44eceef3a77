"""Writes a sound to a file: whole, or not at all.

The file grows under another name beside its target and takes the target's name when it is
complete and on the disk. Knows containers and codecs; the sound library does the encoding.
"""

import errno
import os
import secrets
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple, NoReturn

from darktimer.errors import OutputError
from darktimer.output.protocol import Progress, Sound

if TYPE_CHECKING:
    import soundfile


class _Format(NamedTuple):
    """A container with its codec; ``rates`` is empty where any rate will do."""

    container: str
    codec: str
    block_frames: int
    longest_comment: int
    rates: tuple[int, ...] = ()
    options: tuple[tuple[str, float], ...] = ()


_MPEG_RATES: Final = (8000, 11_025, 12_000, 16_000, 22_050, 24_000, 32_000, 44_100, 48_000)
_OPUS_RATES: Final = (8000, 12_000, 16_000, 24_000, 48_000)
_LOWEST_RATE: Final = 8000
_HIGHEST_RATE: Final = 192_000
_LONG: Final = 100_000

# The lossy encoders keep a block on the stack, so they get small ones. The sound library reads
# back no more than 2 KB of comment from a WAV file.
_FORMATS: Final = {
    ".wav": _Format("WAV", "PCM_16", 131_072, 2000),
    ".flac": _Format("FLAC", "PCM_16", 131_072, _LONG, options=(("compression_level", 0.0),)),
    ".ogg": _Format("OGG", "VORBIS", 16_384, _LONG),
    ".opus": _Format("OGG", "OPUS", 16_384, _LONG, _OPUS_RATES),
    ".mp3": _Format("MP3", "MPEG_LAYER_III", 16_384, _LONG, _MPEG_RATES),
}

#: What a WAV file's 32-bit sizes can count, less room for its header and metadata.
_WAV_BYTES: Final = 2**32 - 2**16
_RF64_NOTE: Final = (
    "the file is larger than 4 GiB and is written as RF64, which some players cannot read; "
    "FLAC has no such limit"
)


@dataclass(frozen=True, slots=True)
class FileOutput:
    """A sound file: WAV, FLAC, OGG (Vorbis), Opus or MP3, after the suffix of its name.

    ``steps_text`` goes into the metadata, a line a step. An existing file is replaced only with
    ``force``.
    """

    target: Path
    title: str = ""
    steps_text: str = ""
    force: bool = False

    def play(self, sound: Sound, progress: Progress | None = None) -> tuple[str, ...]:
        """Writes the whole sound; returns notes. Raises `OutputError` and leaves no remains."""
        target = Path(os.path.realpath(self.target))
        form = self._format(sound)
        self._refuse_target(target)
        with _replacing(target) as descriptor:
            self._write(descriptor, form, sound, progress)
            _confirm_whole(descriptor, sound.frames)
        return (_RF64_NOTE,) if form.container == "RF64" else ()

    def _format(self, sound: Sound) -> _Format:
        form = _FORMATS.get(self.target.suffix.lower())
        if form is None:
            ending = repr(self.target.suffix) if self.target.suffix else "a name without ending"
            self._refuse(f"{ending} is no sound file", f"end the name in {', '.join(_FORMATS)}")
        if not _LOWEST_RATE <= sound.rate <= _HIGHEST_RATE:
            self._refuse(f"{sound.rate} Hz is no rate to write", "use 8000 to 192000, best 48000")
        if form.rates and sound.rate not in form.rates:
            rates = ", ".join(map(str, form.rates))
            self._refuse(f"{form.codec} cannot be written at {sound.rate} Hz", f"use {rates}")
        if form.container == "WAV" and sound.frames * 2 > _WAV_BYTES:
            return form._replace(container="RF64")
        return form

    def _refuse_target(self, target: Path) -> None:
        if not os.path.isdir(target.parent):
            self._refuse("its folder does not exist", "make the folder first")
        if os.path.isdir(target):
            self._refuse("this is a folder", "give the name of a file")
        if os.path.exists(target) and not os.path.isfile(target):
            self._refuse("this is not an ordinary file", "give the name of a new file")
        if os.path.exists(target) and not self.force:
            self._refuse("this file is already there", "give another name, or force it")

    def _refuse(self, reason: str, mend: str) -> NoReturn:
        raise OutputError(str(self.target), reason, mend)

    def _write(
        self, descriptor: int, form: _Format, sound: Sound, progress: Progress | None
    ) -> None:
        from soundfile import SoundFile

        with SoundFile(
            descriptor,
            "w",
            sound.rate,
            1,
            form.codec,
            format=form.container,
            closefd=False,
            **dict(form.options),
        ) as file:
            self._describe(file, form)
            for start in range(0, sound.frames, form.block_frames):
                count = min(form.block_frames, sound.frames - start)
                file.buffer_write(sound.fill(start, count), "int16")
                if progress:
                    progress(start + count, sound.frames)

    def _describe(self, file: "soundfile.SoundFile", form: _Format) -> None:
        """Metadata stands before the first sample, where every format can take it."""
        written = _ascii if form.container == "MP3" else str
        if self.title:
            file.title = written(self.title)[:200]
        if self.steps_text:
            file.comment = _first_lines(written(self.steps_text), form.longest_comment)


def _ascii(text: str) -> str:
    """Plain letters for MP3 tags, whose encoder takes UTF-8 for Latin-1."""
    return unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()


def _first_lines(text: str, most_bytes: int) -> str:
    """As many whole lines as fit, then a line of dots where some did not."""
    if len(text.encode()) <= most_bytes:
        return text
    kept: list[str] = []
    room = most_bytes - len("...")
    for line in text.splitlines():
        room -= len(line.encode()) + 1
        if room < 0:
            break
        kept.append(line)
    return "\n".join([*kept, "..."])


@contextmanager
def _replacing(target: Path) -> Iterator[int]:
    """A descriptor to a new file that takes the target's name at the end, or is gone."""
    growing = target.with_name(f".{target.name[:100]}.{secrets.token_hex(4)}.part")
    descriptor = -1
    try:
        descriptor = os.open(growing, os.O_RDWR | os.O_CREAT | os.O_EXCL | _BINARY, 0o666)
        yield descriptor
        os.fsync(descriptor)
        os.close(descriptor)
        descriptor = -1
        growing.replace(target)
    except OSError as error:
        raise _failed(target, error.errno, error.strerror) from None
    except (RuntimeError, AssertionError) as error:  # all that the sound library tells of a write
        raise _failed(target, _why(descriptor), str(error)) from None
    finally:
        if descriptor >= 0:
            os.close(descriptor)
        with suppress(OSError):
            growing.unlink()


_BINARY: Final = getattr(os, "O_BINARY", 0)


def _confirm_whole(descriptor: int, frames: int) -> None:
    """The encoders do not tell of what fails when they close, so the file is asked."""
    from soundfile import SoundFile

    os.lseek(descriptor, 0, os.SEEK_SET)
    with SoundFile(descriptor, closefd=False) as file:
        if file.frames < frames:
            raise RuntimeError("the file came out short")


def _why(descriptor: int) -> int | None:
    """The error number that the sound library swallowed, found by writing once more."""
    try:
        os.lseek(descriptor, 0, os.SEEK_END)
        os.write(descriptor, bytes(1 << 16))
    except OSError as error:
        return error.errno
    return None


def _failed(target: Path, number: int | None, said: str | None) -> OutputError:
    reason, mend = _CAUSES.get(number, ((said or "it cannot be written").lower(), _ELSEWHERE))
    return OutputError(str(target), reason, mend)


_ELSEWHERE: Final = "write to another place"
_CAUSES: Final[dict[int | None, tuple[str, str]]] = {
    errno.ENOSPC: ("the disk is full", "free some space, or write FLAC"),
    errno.EDQUOT: ("your share of the disk is used up", "free some space, or write FLAC"),
    errno.EFBIG: ("the file is too large for this disk", "write FLAC, or to another disk"),
    errno.EACCES: ("you may not write here", _ELSEWHERE),
    errno.EPERM: ("you may not write here", _ELSEWHERE),
    errno.EROFS: ("this disk can only be read", _ELSEWHERE),
    errno.ENAMETOOLONG: ("the name is too long", "give a shorter name"),
}
