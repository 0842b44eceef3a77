"""A file is there whole, or what was there before still is."""

import os
import subprocess
import sys
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


def test_what_a_killed_write_left_is_cleaned_up_and_nothing_else(tmp_path: Path) -> None:
    killed = subprocess.Popen(
        [sys.executable, "-c", KILLED, tmp_path / "a"], stdout=subprocess.PIPE, text=True
    )
    with killed:
        assert killed.stdout
        killed.stdout.readline()
        killed.kill()
    (left,) = tmp_path.glob(".*.part")
    for path in (tmp_path / ".b.01234567.part", tmp_path / ".a.part"):
        path.touch()
    with whole_file(tmp_path / "a", force=False) as growing:
        assert not left.exists()
        write_whole(tmp_path / "a", b"other", force=False)
        os.write(growing, b"mine")
    assert (tmp_path / "a").read_bytes() == b"mine"
    assert sorted(os.listdir(tmp_path)) == [".a.part", ".b.01234567.part", "a"]


KILLED = """
import sys
import time
from pathlib import Path
from darktimer.whole_file import whole_file
with whole_file(Path(sys.argv[1]), force=False) as growing:
    print("growing", flush=True)
    time.sleep(60)
"""


def test_a_full_disk_says_what_would_be_smaller(tmp_path: Path) -> None:
    full = "the disk is full; free some space, or write FLAC"
    with (
        pytest.raises(OutputError, match=full),
        whole_file(tmp_path / "a", force=False, smaller="write FLAC"),
    ):
        raise OSError(28, "No space left on device")
    assert os.listdir(tmp_path) == []
