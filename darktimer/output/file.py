"""Writes a sound to a file: whole, or not at all."""

from collections.abc import Callable
from pathlib import Path
from typing import Final, NamedTuple

from darktimer.errors import OutputError
from darktimer.output import encoded, mp3, opus, wav
from darktimer.output.protocol import Progress, Sound
from darktimer.output.tags import Tags
from darktimer.whole_file import whole_file


class SoundFormat(NamedTuple):
    """How files of one ending are written; no ``rates`` means any rate."""

    write: Callable[[int, Sound, Tags, Progress | None], None]
    rates: tuple[int, ...] = ()


#: Formats by the endings of file names.
FORMATS: Final = {
    ".wav": SoundFormat(wav.write),
    ".flac": SoundFormat(encoded.write_flac),
    ".ogg": SoundFormat(encoded.write_vorbis),
    ".opus": SoundFormat(opus.write, opus.RATES),
    ".mp3": SoundFormat(mp3.write, mp3.RATES),
}
NO_TAGS: Final = Tags()

_USUAL_RATE: Final = 48_000
_PLAYERS_RATE: Final = 24_000
_LOWEST_RATE: Final = 8000
_HIGHEST_RATE: Final = 192_000
#: What common readers of WAV files still show of a text.
_MOST_TEXT_BYTES: Final = 2000
_RF64_NOTE: Final = (
    "the file is larger than 4 GiB and so is RF64, which some players cannot read; "
    "FLAC has no such limit"
)


def write_sound(
    target: Path,
    sound: Sound,
    tags: Tags = NO_TAGS,
    force: bool = False,
    progress: Progress | None = None,
) -> tuple[str, ...]:
    """Writes WAV, FLAC, OGG (Vorbis), Opus or MP3, after the ending of the name; returns notes.

    A comment is a line a step. An existing file is replaced only with ``force``. Raises
    `OutputError` and leaves no remains.
    """
    write = _format(target, sound.rate).write
    tags = tags._replace(title=tags.title[:200], comment=_first_lines(tags.comment))
    smaller = "write FLAC" if write is wav.write else ""
    with whole_file(target, force=force, smaller=smaller) as descriptor:
        write(descriptor, sound, tags, progress)
        if write is not wav.write:
            encoded.check_whole(descriptor, sound.frames)
    return (_RF64_NOTE,) if write is wav.write and wav.is_large(sound.frames) else ()


def usual_rate(target: Path) -> int:
    """Samples a second: fewer where the format is for players, and what cues hold is kept."""
    return _PLAYERS_RATE if target.suffix.lower() in (".ogg", ".opus", ".mp3") else _USUAL_RATE


def _format(target: Path, rate: int) -> SoundFormat:
    """The format that the name asks for."""
    ending = target.suffix.lower()
    form = FORMATS.get(ending)
    if form is None:
        found = repr(ending) if ending else "a name without ending"
        reason = f"{found} is not a kind of sound file known here"
        remedy = f"end it in {', '.join(FORMATS)}"
    elif not _LOWEST_RATE <= rate <= _HIGHEST_RATE:
        reason, remedy = f"{rate} Hz cannot be written", "use 8000 to 192000, best 48000"
    elif form.rates and rate not in form.rates:
        reason = f"{ending} files cannot hold {rate} Hz"
        remedy = f"use one of {', '.join(map(str, form.rates))}"
    else:
        return form
    raise OutputError(str(target), reason, remedy)


def _first_lines(text: str) -> str:
    """As many whole lines as fit, then a line of dots where some did not."""
    if len(text.encode()) <= _MOST_TEXT_BYTES:
        return text
    head = text.encode()[: _MOST_TEXT_BYTES - 4].decode(errors="ignore")
    return head.rpartition("\n")[0] + "\n..."
