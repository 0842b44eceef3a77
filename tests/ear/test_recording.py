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
