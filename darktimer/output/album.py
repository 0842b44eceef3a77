"""Writes sounds into a folder, with a playlist that names them in order: all of them, or none."""

import os
import re
import shutil
import unicodedata
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from tempfile import mkdtemp
from typing import Final, NamedTuple

from darktimer.errors import OutputError
from darktimer.output.file import write_sound
from darktimer.output.protocol import Progress, Sound
from darktimer.output.tags import Tags
from darktimer.whole_file import failed, write_whole

PLAYLIST: Final = "playlist.m3u8"
#: What any disk of a player takes in a name, beside letters and figures.
_UNNAMED: Final = re.compile(r"[^\w ,()-]+")
_LONGEST: Final = 60
#: The name of a folder that grows.
_BEGINS, _ENDS = ".darktimer-", ".part"


class AlbumTrack(NamedTuple):
    """A sound of an album, with what players show of it; the number is its place from 1 on."""

    sound: Sound
    tags: Tags


def names(pieces: Sequence[AlbumTrack], ending: str) -> list[str]:
    """The files of an album: by number, so that any player keeps their order."""
    digits = max(2, len(str(len(pieces))))
    return [f"{tags.number:0{digits}} {_plain(tags.title)}{ending}" for _, tags in pieces]


def write_album(
    folder: Path,
    pieces: Sequence[AlbumTrack],
    ending: str,
    force: bool = False,
    progress: Progress | None = None,
) -> tuple[str, ...]:
    """Writes each piece, then the playlist; returns notes. Makes the folder where there is none.

    Into a folder that has anything in it only with ``force``: then the files that the playlist in
    it names are taken away, and all else stays. Raises `OutputError` and leaves no remains.
    """
    files, notes = names(pieces, ending), list[str]()
    with _growing(folder, force) as growing:
        for name, (sound, tags) in zip(files, pieces, strict=True):
            notes += write_sound(growing / name, sound, tags, progress=progress)
        write_whole(growing / PLAYLIST, _playlist(files, pieces).encode(), force=False)
        for name in _listed(folder):
            (folder / name).unlink(missing_ok=True)
        for name in (*files, PLAYLIST):
            (growing / name).replace(folder / name)
    return tuple(notes)


@contextmanager
def _growing(folder: Path, force: bool) -> Iterator[Path]:
    """A folder within the folder, so on the same disk, that is gone at the end."""
    made, growing = not folder.exists(), None
    left = [*folder.glob(f"{_BEGINS}*{_ENDS}")]  # by writes that were killed
    try:
        if not made and not force and len(os.listdir(folder)) > len(left):
            remedy = "name a new folder, or add --force"
            raise OutputError(str(folder), "there are files in this folder", remedy)
        for each in left:
            shutil.rmtree(each, ignore_errors=True)
        folder.mkdir(exist_ok=True)
        growing = Path(mkdtemp(prefix=_BEGINS, suffix=_ENDS, dir=folder))
        yield growing
    except OutputError as error:  # of a file in the growing folder, which nobody can see
        raise OutputError(str(folder), error.reason, error.remedy) from None
    except OSError as error:
        raise failed(folder, error) from None
    finally:
        if growing:
            shutil.rmtree(growing, ignore_errors=True)
        if made:
            with suppress(OSError):
                folder.rmdir()  # only where nothing is in it


def _listed(folder: Path) -> list[str]:
    """The files that a playlist in the folder names, of this folder alone."""
    try:
        lines = (folder / PLAYLIST).read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        return []
    return [line for line in lines if re.match(r"\d\d+ [\w ,().-]+$", line)]


def _playlist(files: Sequence[str], pieces: Sequence[AlbumTrack]) -> str:
    lines = ["#EXTM3U"]
    for name, (sound, tags) in zip(files, pieces, strict=True):
        lines += [f"#EXTINF:{round(sound.frames / sound.rate)},{tags.title}", name]
    return "\n".join(lines) + "\n"


def _plain(title: str) -> str:
    return _UNNAMED.sub("-", unicodedata.normalize("NFC", title))[:_LONGEST].strip()
