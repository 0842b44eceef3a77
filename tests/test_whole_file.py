"""A file is there whole, or what was there before still is."""

import os
from pathlib import Path

import pytest

from darktimer.errors import OutputError
from darktimer.whole_file import whole_file, write_whole


def test_a_new_file_is_whole(tmp_path: Path) -> None:
    write_whole(tmp_path / "a", b"content" * 100_000, force=False)
    assert (tmp_path / "a").read_bytes() == b"content" * 100_000
    assert os.listdir(tmp_path) == ["a"]


def test_what_is_there_is_kept_unless_forced(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"mine")
    with pytest.raises(OutputError, match="already there; give another name, or add --force"):
        write_whole(tmp_path / "a", b"other", force=False)
    assert (tmp_path / "a").read_bytes() == b"mine"
    write_whole(tmp_path / "a", b"other", force=True)
    assert (tmp_path / "a").read_bytes() == b"other"


def test_whatever_breaks_off_leaves_what_was_there(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"mine")

    def broken_off() -> None:
        with whole_file(tmp_path / "a", force=True) as descriptor:
            os.write(descriptor, b"half")
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        broken_off()
    assert (tmp_path / "a").read_bytes() == b"mine"
    assert os.listdir(tmp_path) == ["a"]


def test_a_full_disk_says_what_would_be_smaller(tmp_path: Path) -> None:
    full = "the disk is full; free some space, or write FLAC"
    with (
        pytest.raises(OutputError, match=full),
        whole_file(tmp_path / "a", force=False, smaller="write FLAC"),
    ):
        raise OSError(28, "No space left on device")
    assert os.listdir(tmp_path) == []
