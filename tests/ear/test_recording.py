"""Reading sound files in blocks: nothing lost, nothing doubled, any channels, clear errors."""

from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from darktimer.ear.recording import Recording
from darktimer.errors import DarktimerError


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(
    length=st.integers(0, 500),
    step=st.integers(1, 60),
    before=st.integers(0, 20),
    after=st.integers(0, 20),
)
def test_blocks_hold_every_sample_once(
    tmp_path: Path, length: int, step: int, before: int, after: int
) -> None:
    wave = np.arange(1, length + 1, dtype=np.float32) / 1024
    soundfile.write(tmp_path / "a.wav", wave, 8000, subtype="FLOAT")
    blocks = list(Recording(tmp_path / "a.wav").blocks(before + step + after, step, before))
    inner = np.concatenate([block[before : before + step] for block in blocks])
    assert np.array_equal(inner[:length], wave)
    assert not inner[length:].any()
    padded = np.concatenate((np.zeros(before), wave, np.zeros(len(inner) + after)))
    for number, block in enumerate(blocks):
        assert np.array_equal(block, padded[number * step : number * step + len(block)])


def test_an_mp3_loses_nothing_where_one_block_ends(tmp_path: Path) -> None:
    """A cue that lay over the end of a block had a hole of two frames."""
    noise = np.random.default_rng(1).standard_normal(4 * 48_000) / 8
    how = {"bitrate_mode": "CONSTANT", "compression_level": 0.99}
    soundfile.write(tmp_path / "a.mp3", noise, 48_000, **how)
    whole, _ = soundfile.read(tmp_path / "a.mp3", dtype="float32")
    blocks = np.concatenate(list(Recording(tmp_path / "a.mp3").blocks(48_000, 48_000, 0)))
    assert blocks[: len(whole)] == pytest.approx(whole, abs=1e-6)


def test_a_part_holds_what_the_whole_holds_there(tmp_path: Path) -> None:
    wave = np.arange(1, 8001, dtype=np.float32) / 8192
    soundfile.write(tmp_path / "a.wav", wave, 8000, subtype="FLOAT")
    whole = Recording(tmp_path / "a.wav")
    blocks = np.concatenate(list(whole.part(250, 500).blocks(900, 900, 0)))
    assert np.array_equal(blocks[:4000], wave[2000:6000])
    assert not blocks[4000:].any()
    late = np.concatenate(list(whole.part(900, 500).blocks(900, 900, 0)))
    assert np.array_equal(late[:800], wave[7200:])


def test_what_was_played_too_fast_is_put_right(tmp_path: Path) -> None:
    """A second at 48 kHz that should have been 44.1 kHz; times are those of the file."""
    soundfile.write(tmp_path / "a.wav", np.arange(48_000) / 48_000, 48_000, subtype="FLOAT")
    fast = Recording(tmp_path / "a.wav", 48_000 / 44_100)
    assert (fast.rate, fast.speed) == (44_100, pytest.approx(48_000 / 44_100))
    assert sum(map(len, fast.blocks(1000, 1000, 0))) >= 48_000
    assert fast.heard_ms == pytest.approx(1000)
    (block,) = fast.part(500, 100).blocks(6000, 6000, 0)
    assert block[:2] == pytest.approx([0.5, 0.5 + 1 / 48_000])
    assert not block[4800:].any()


def test_two_channels_that_cancel_are_still_heard(tmp_path: Path) -> None:
    wave = np.sin(np.arange(8000) / 5).astype(np.float32)
    soundfile.write(tmp_path / "a.wav", np.column_stack((wave, -wave)), 8000, subtype="FLOAT")
    (block,) = Recording(tmp_path / "a.wav").blocks(9000, 9000, 0)
    assert np.abs(block[:8000]) == pytest.approx(np.abs(wave))


@pytest.mark.parametrize("content", [None, b"", b"not a sound at all, but long enough" * 9])
def test_what_is_no_sound_is_refused_by_name(tmp_path: Path, content: bytes | None) -> None:
    path = tmp_path / "a.wav"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(DarktimerError, match=r"a\.wav.*give a recording"):
        Recording(path)
