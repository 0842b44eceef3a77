import errno
import os
import resource
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pytest
import soundfile

from darktimer.cues.tone import Samples
from darktimer.errors import OutputError
from darktimer.output.file import FORMATS, write_sound
from darktimer.output.tags import Tags

RATE = 48_000


class Ramp:
    """A sound whose every sample tells its own place, up to 1000."""

    def __init__(self, frames: int = 200_000, rate: int = RATE) -> None:
        self.frames = frames
        self.rate = rate

    def fill(self, start: int, count: int) -> Samples:
        return (np.arange(start, start + count) % 1000).astype(np.int16)

    def cuts(self) -> list[int]:
        return [0, self.frames]


class Interrupted(Ramp):
    """A sound that is broken off after a while, as by Ctrl-C."""

    def fill(self, start: int, count: int) -> Samples:
        if start > 100_000:
            raise KeyboardInterrupt
        return super().fill(start, count)


@contextmanager
def files_of_at_most(size: int) -> Iterator[None]:
    """A disk that is full after so many bytes, as far as a program can tell."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@pytest.mark.parametrize("ending", ["wav", "flac", "WAV"])
def test_what_is_read_back_is_what_was_written(tmp_path: Path, ending: str) -> None:
    target = tmp_path / f"ramp.{ending}"
    assert write_sound(target, Ramp()) == ()
    samples, rate = soundfile.read(target, dtype="int16")
    assert rate == RATE
    assert (samples == Ramp().fill(0, 200_000)).all()


@pytest.mark.parametrize(
    ("ending", "container", "codec"),
    [
        ("wav", "WAV", "PCM_16"),
        ("flac", "FLAC", "PCM_16"),
        ("ogg", "OGG", "VORBIS"),
        ("opus", "OGG", "OPUS"),
        ("mp3", "MP3", "MPEG_LAYER_III"),
    ],
)
def test_the_ending_of_the_name_chooses_the_format(
    tmp_path: Path, ending: str, container: str, codec: str
) -> None:
    target = tmp_path / f"ramp.{ending}"
    write_sound(target, Ramp(), Tags("Prufung", "0:00 develop\n7:30 stop", "Probe", 3))
    with soundfile.SoundFile(target) as file:
        assert (file.format, file.subtype, file.channels) == (container, codec, 1)
        assert file.title == "Prufung"
        assert file.comment == "0:00 develop\n7:30 stop"
        assert (file.album, file.tracknumber) == ("Probe", "3")
        assert file.frames >= 200_000


@pytest.mark.parametrize("ending", ["wav", "flac", "ogg", "opus", "mp3"])
def test_texts_keep_their_letters(tmp_path: Path, ending: str) -> None:
    target = tmp_path / f"title.{ending}"
    write_sound(target, Ramp(1000), Tags("Prüfung Ω", "0:00 Wässern", "Bäder", 12))
    with soundfile.SoundFile(target) as file:
        told = file.title, file.comment, file.album, file.tracknumber
    assert told == ("Prüfung Ω", "0:00 Wässern", "Bäder", "12")


def test_a_long_list_of_steps_is_cut_after_a_whole_line(tmp_path: Path) -> None:
    target = tmp_path / "long.wav"
    lines = [f"{minute}:00 step {minute}" for minute in range(400)]
    write_sound(target, Ramp(1000), Tags(comment="\n".join(lines)))
    with soundfile.SoundFile(target) as file:
        told = file.comment.splitlines()
    assert told[-1] == "..."
    assert len(told) > 50
    assert told[:-1] == lines[: len(told) - 1]


def test_a_new_file_has_the_rights_of_any_new_file(tmp_path: Path) -> None:
    target, other = tmp_path / "a.wav", tmp_path / "b"
    write_sound(target, Ramp(1000))
    other.touch()
    assert stat.S_IMODE(target.stat().st_mode) == stat.S_IMODE(other.stat().st_mode)


def test_progress_runs_to_the_end(tmp_path: Path) -> None:
    calls: list[tuple[int, int]] = []
    write_sound(tmp_path / "a.wav", Ramp(), progress=lambda *done: calls.append(done))
    assert calls[-1] == (200_000, 200_000)
    assert calls == sorted(calls)


def test_an_existing_file_is_replaced_only_by_force(tmp_path: Path) -> None:
    target = tmp_path / "a.wav"
    target.write_bytes(b"mine")
    with pytest.raises(OutputError, match="already there"):
        write_sound(target, Ramp(1000))
    assert target.read_bytes() == b"mine"
    write_sound(target, Ramp(1000), force=True)
    assert soundfile.info(target).frames == 1000
    assert os.listdir(tmp_path) == ["a.wav"]


def test_a_link_is_followed_to_its_file(tmp_path: Path) -> None:
    (tmp_path / "music").mkdir()
    link = tmp_path / "a.wav"
    link.symlink_to(tmp_path / "music" / "b.wav")
    write_sound(link, Ramp(1000))
    assert link.is_symlink()
    assert soundfile.info(tmp_path / "music" / "b.wav").frames == 1000


@pytest.mark.parametrize(
    ("name", "rate", "told"),
    [
        ("a.aiff", RATE, "'.aiff' is not a kind of sound file known here; end it in .wav, .flac"),
        ("noending", RATE, "a name without ending"),
        ("a.opus", 44_100, "cannot hold 44100 Hz; use one of 8000"),
        ("a.mp3", 96_000, "cannot hold 96000 Hz"),
        ("a.wav", 100, "100 Hz cannot be written"),
        ("missing/a.wav", RATE, "folder does not exist"),
        ("folder.wav", RATE, "this is a folder"),
        ("pipe.wav", RATE, "not an ordinary file"),
        ("x" * 300 + ".wav", RATE, "the name is too long"),
    ],
)
def test_a_target_that_cannot_be_is_refused(
    tmp_path: Path, name: str, rate: int, told: str
) -> None:
    (tmp_path / "folder.wav").mkdir()
    os.mkfifo(tmp_path / "pipe.wav")
    with pytest.raises(OutputError, match=told):
        write_sound(tmp_path / name, Ramp(1000, rate), force=True)
    assert sorted(os.listdir(tmp_path)) == ["folder.wav", "pipe.wav"]


@pytest.mark.parametrize("ending", ["wav", "flac", "ogg", "opus", "mp3"])
@pytest.mark.parametrize("there", [False, True])
def test_a_full_disk_leaves_what_was_there(tmp_path: Path, ending: str, there: bool) -> None:
    target = tmp_path / f"a.{ending}"
    if there:
        target.write_bytes(b"mine")
    with files_of_at_most(6000), pytest.raises(OutputError, match="too large for this disk"):
        write_sound(target, Ramp(), force=True)
    assert [path.read_bytes() for path in tmp_path.iterdir()] == [b"mine"] * there


@pytest.mark.parametrize("ending", sorted(ending[1:] for ending in FORMATS))
def test_breaking_off_leaves_nothing(tmp_path: Path, ending: str) -> None:
    with pytest.raises(KeyboardInterrupt):
        write_sound(tmp_path / f"a.{ending}", Interrupted())
    assert os.listdir(tmp_path) == []


@pytest.mark.parametrize(
    ("number", "told"),
    [
        (errno.ENOSPC, "the disk is full; free some space"),
        (errno.EACCES, "you may not write here"),
        (errno.EROFS, "this disk is read-only"),
        (errno.EIO, "input/output error"),
    ],
)
def test_the_system_is_quoted_in_plain_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, told: str
) -> None:
    def fail(*_: object) -> int:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "open", fail)
    with pytest.raises(OutputError, match=told):
        write_sound(tmp_path / "a.wav", Ramp(1000))
