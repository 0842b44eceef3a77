"""Writes a sound to a file: whole, or not at all."""

from collections.abc import Iterator
from functools import partial
from itertools import pairwise
from pathlib import Path
from typing import Final

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


def write_sound(
    target: Path,
    sound: Sound,
    title: str = "",
    steps_text: str = "",
    force: bool = False,
    progress: Progress | None = None,
) -> tuple[str, ...]:
    """Writes WAV, FLAC, OGG (Vorbis), Opus or MP3, after the ending of the name; returns notes.

    ``steps_text`` goes into the metadata, a line a step. An existing file is replaced only with
    ``force``. Raises `OutputError` and leaves no remains.
    """
    codec = _codec(target, sound.rate)
    blocks, comment = _blocks(sound, progress), _first_lines(steps_text)
    write = partial(encoded.write, codec) if codec else wav.write
    with whole_file(target, force=force, smaller="write FLAC") as descriptor:
        write(descriptor, sound, title[:200], comment, blocks)
    return (_RF64_NOTE,) if not codec and wav.is_large(sound.frames) else ()


def _codec(target: Path, rate: int) -> encoded.Codec | None:
    """The codec that the name asks for; None is plain WAV."""
    ending = target.suffix.lower()
    codec = encoded.CODECS.get(ending)
    if codec is None and ending != ".wav":
        found = repr(ending) if ending else "a name without ending"
        reason = f"{found} is no kind of sound file known here"
        remedy = f"end it in {', '.join(('.wav', *encoded.CODECS))}"
    elif not _LOWEST_RATE <= rate <= _HIGHEST_RATE:
        reason, remedy = f"{rate} Hz cannot be written", "use 8000 to 192000, best 48000"
    elif codec and codec.rates and rate not in codec.rates:
        reason = f"{ending} files cannot hold {rate} Hz"
        remedy = f"use one of {', '.join(map(str, codec.rates))}"
    else:
        return codec
    raise OutputError(str(target), reason, remedy)


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
