"""Headers are held against the sound library, which knows the formats from their standards."""

from pathlib import Path

import pytest
import soundfile

from darktimer.output import wav
from darktimer.output.tags import Tags


@pytest.mark.parametrize(
    ("frames", "container"),
    [
        (0, "WAV"),
        (1, "WAV"),
        (172_800_000, "WAV"),
        (2**31 - 2**15 - 1, "WAV"),
        (2**31 - 2**15, "RF64"),
        (2**31, "RF64"),
        (48 * 3600 * 48_000, "RF64"),
    ],
)
def test_a_header_tells_the_length_at_every_size(
    tmp_path: Path, frames: int, container: str
) -> None:
    target = tmp_path / "sparse.wav"
    head = wav.header(frames, 48_000, Tags("odd", "0:00 develop"))
    with target.open("wb") as file:
        file.write(head)
        file.truncate(len(head) + 2 * frames)  # a hole: no disk is used
    with soundfile.SoundFile(target) as read:
        assert (read.frames, read.samplerate, read.format) == (frames, 48_000, container)
        assert (read.title, read.comment) == ("odd", "0:00 develop")


def test_the_length_of_metadata_may_be_odd_or_even(tmp_path: Path) -> None:
    for title in ("", "a", "ab", "abc"):
        target = tmp_path / "a.wav"
        target.write_bytes(wav.header(1, 48_000, Tags(title)) + b"\x34\x12")
        samples, _ = soundfile.read(target, dtype="int16")
        assert samples.tolist() == [0x1234]
