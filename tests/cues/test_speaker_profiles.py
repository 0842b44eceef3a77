"""What a speaker's profile adds, worked from its definition: noise, a swell, a fall, a peak."""

import numpy as np
import pytest
from numpy.typing import NDArray

from darktimer.cues.speaker_profiles import QUIET_MS, SPEAKERS
from darktimer.cues.tone import noise


@pytest.mark.parametrize(("name", "lead_ms", "peak"), [("wired", 500, 15), ("sleepy", 1200, 30)])
def test_a_bed_of_five_seconds_and_a_lead_in(name: str, lead_ms: int, peak: int) -> None:
    speaker = SPEAKERS[name]
    bed = speaker.bed(8000)
    assert bed.tolist() == np.rint(noise(40_000, 1) * peak).tolist()
    assert len(speaker.lead_in(8000, -18)) == 8 * lead_ms
    assert np.abs(speaker.lead_in(8000, -18)).max() == 700  # 20 lg (700 / 32768) is -33 dBFS
    assert QUIET_MS == 3000


def test_no_profile_adds_nothing() -> None:
    assert SPEAKERS["none"].bed(8000).tolist() == [0] * 40_000
    assert SPEAKERS["none"].lead_in(8000, -18).tolist() == []


def swelled(hiss: NDArray[np.float64], fall: int) -> NDArray[np.float64]:
    """Swells with the square of time, and falls in the same way over the last frames; to 700."""
    count = len(hiss)
    gain = np.array([k / count for k in range(count)])
    gain[-fall:] *= [1 - k / (fall - 1) for k in range(fall)]
    wave = hiss * gain**2
    return 700 * wave / np.abs(wave).max()


def test_a_lead_in_swells_and_falls_for_20_ms() -> None:
    """Below 2500 frames a second nothing is smoothed."""
    expected = swelled(noise(500, 2), fall=20)
    assert np.abs(SPEAKERS["wired"].lead_in(1000, -18) - expected).max() <= 0.501


@pytest.mark.parametrize(
    ("rate", "weights"), [(4999, [0, 1, 0]), (5000, [0.25, 0.5, 0.25]), (7499, [0.25, 0.5, 0.25])]
)
def test_a_lead_in_is_smoothed_over_1_in_2500_of_a_second(rate: int, weights: list[float]) -> None:
    """A raised cosine over five frames is 0, 1/2, 1, 1/2, 0; over three, nothing but the middle."""
    count = (500 * rate + 500) // 1000
    padded = np.concatenate(([0.0], noise(count, 2), [0.0]))
    hiss = sum(w * padded[k : k + count] for k, w in enumerate(weights))
    expected = swelled(hiss, fall=(20 * rate + 500) // 1000)
    assert np.abs(SPEAKERS["wired"].lead_in(rate, -18) - expected).max() <= 0.501


def test_a_lead_in_is_as_much_softer_as_the_cues() -> None:
    """6 dB are 1.995 times: 700 steps before cues of -18 LUFS are 351 before those of -24."""
    loud, soft = (SPEAKERS["wired"].lead_in(8000, loudness) for loudness in (-18, -24))
    assert (np.abs(loud).max(), np.abs(soft).max()) == (700, 351)
