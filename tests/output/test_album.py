"""A folder of sounds is written whole, or not at all, and nothing of others' is taken away."""

import os
import re
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
import soundfile

from darktimer.cues.tone import Samples
from darktimer.errors import OutputError
from darktimer.output.album import PLAYLIST, AlbumTrack, names, write_album
from darktimer.output.tags import Tags


class Silence:
    """A sound of a second; one that ``breaks`` does so when it is read."""

    rate = frames = 8000

    def __init__(self, breaks: BaseException | None = None) -> None:
        self._breaks = breaks

    def fill(self, start: int, count: int) -> Samples:
        if self._breaks:
            raise self._breaks
        return np.zeros(count, np.int16)

    def cuts(self) -> Sequence[int]:
        return [0, self.frames]


def album(*titles: str) -> list[AlbumTrack]:
    return [AlbumTrack(Silence(), Tags(t, "", "Album", n)) for n, t in enumerate(titles, 1)]


def test_files_are_numbered_tagged_and_listed_in_order(tmp_path: Path) -> None:
    folder = tmp_path / "new"
    write_album(folder, album("Get ready", "Load", "Wässern/2: \0x?"), ".flac")
    names = ["01 Get ready.flac", "02 Load.flac", "03 Wässern-2- -x-.flac"]
    assert sorted(os.listdir(folder)) == [*names, PLAYLIST]
    lines = (folder / PLAYLIST).read_text(encoding="utf-8").splitlines()
    assert [line for line in lines if not line.startswith("#")] == names
    assert lines[1] == "#EXTINF:1,Get ready"
    with soundfile.SoundFile(folder / names[1]) as file:
        assert (file.title, file.tracknumber, file.album) == ("Load", "2", "Album")


def test_a_folder_with_files_is_written_into_only_by_force(tmp_path: Path) -> None:
    (tmp_path / "mine.flac").write_text("mine")
    with pytest.raises(OutputError, match="there are files in this folder; name a new folder"):
        write_album(tmp_path, album("A"), ".wav")
    assert os.listdir(tmp_path) == ["mine.flac"]
    write_album(tmp_path, album("A"), ".wav", force=True)
    assert sorted(os.listdir(tmp_path)) == ["01 A.wav", "mine.flac", PLAYLIST]


def test_force_takes_away_what_was_written_before_and_nothing_else(tmp_path: Path) -> None:
    folder = tmp_path / "album"
    write_album(folder, album("A", "B", "C"), ".wav")
    (folder / "04 Song.wav").write_text("mine")
    (tmp_path / "05 Out.wav").write_text("mine")
    with (folder / PLAYLIST).open("a") as playlist:
        playlist.write("../05 Out.wav\nlyrics.txt\n")
    (folder / "lyrics.txt").write_text("mine")
    write_album(folder, album("A", "Z"), ".wav", force=True)
    kept = ["01 A.wav", "02 Z.wav", "04 Song.wav", "lyrics.txt", PLAYLIST]
    assert sorted(os.listdir(folder)) == kept
    assert (tmp_path / "05 Out.wav").exists()


@pytest.mark.parametrize("breaks", [KeyboardInterrupt(), OSError(28, "No space left on device")])
@pytest.mark.parametrize("there", [False, True])
def test_a_fault_leaves_what_was_there(tmp_path: Path, breaks: BaseException, there: bool) -> None:
    folder = tmp_path / "album"
    if there:
        write_album(folder, album("A", "B"), ".wav")
        before = sorted((path.name, path.read_bytes()) for path in folder.iterdir())
    broken = [*album("X"), AlbumTrack(Silence(breaks), Tags("Y", "", "", 2))]
    with pytest.raises((OutputError, KeyboardInterrupt)):
        write_album(folder, broken, ".wav", force=True)
    if there:
        assert sorted((path.name, path.read_bytes()) for path in folder.iterdir()) == before
    else:
        assert os.listdir(tmp_path) == []


def test_names_of_a_hundred_files_and_more_are_in_order_for_a_player_too() -> None:
    files = names(album(*["Wash"] * 101), ".mp3")
    assert files == sorted(files)
    assert (files[0], files[-1]) == ("001 Wash.mp3", "101 Wash.mp3")


def test_what_a_killed_write_left_is_no_file_of_others(tmp_path: Path) -> None:
    (tmp_path / ".darktimer-killed.part").mkdir()
    (tmp_path / ".darktimer-killed.part" / "01 A.wav").write_text("half")
    write_album(tmp_path, album("A"), ".wav")
    assert sorted(os.listdir(tmp_path)) == ["01 A.wav", PLAYLIST]


@pytest.mark.parametrize(
    ("breaks", "ending", "told"),
    [
        (OSError(28, "No space left on device"), ".mp3", "the disk is full; free some space"),
        (OSError(28, ""), ".wav", "the disk is full; free some space, or write FLAC"),
        (None, ".opus", ".opus files cannot hold 11025 Hz; use one of 8000, .*"),
    ],
)
def test_a_fault_is_told_of_the_folder_that_was_named(
    tmp_path: Path, breaks: OSError | None, ending: str, told: str
) -> None:
    sound = Silence(breaks)
    sound.rate = 8000 if breaks else 11_025
    with pytest.raises(OutputError) as caught:
        write_album(tmp_path / "new", [AlbumTrack(sound, Tags("A", "", "", 1))], ending)
    assert re.fullmatch(f"{re.escape(str(tmp_path))}/new: {told}", str(caught.value))


@pytest.mark.parametrize(
    ("name", "told"),
    [("a/b", "its folder does not exist; make the folder first"), ("file", "not a directory")],
)
def test_a_folder_that_cannot_be_is_refused(tmp_path: Path, name: str, told: str) -> None:
    (tmp_path / "file").write_text("mine")
    with pytest.raises(OutputError, match=told):
        write_album(tmp_path / name, album("A"), ".wav")
    assert os.listdir(tmp_path) == ["file"]
