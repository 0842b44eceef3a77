"""Cues are heard whatever the recording: its rate, level, channels, start, length and seams."""

from pathlib import Path

import numpy as np
import pytest
import soundfile

from darktimer import shipped
from darktimer.cues.reader import load_cue_set
from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.ear.hearing import Detection, hear
from darktimer.ear.recording import Recording
from darktimer.process.timeline import Timeline
from tests.ear.rooms import cues_in_turn

STANDARD = load_cue_set("standard")
WANTED = ["move", "stand", "enter-fix", "lift", "tally-4", "alarm", "pip", "light-safe", "end"]


@pytest.fixture(scope="module")
def timeline() -> Timeline:
    return cues_in_turn(STANDARD, WANTED, 3)


def played(timeline: Timeline, rate: int = 48_000, speaker: str = "none") -> np.ndarray:
    score = Score(timeline, STANDARD, rate, SPEAKERS[speaker])
    return score.fill(0, score.frames).astype(np.float32) / 32768


def heard(
    path: Path, wave: np.ndarray, rate: int = 48_000, subtype: str = "PCM_16"
) -> list[Detection]:
    soundfile.write(path, wave, rate, subtype=subtype)
    return list(hear(Recording(path), STANDARD))


def right(
    found: list[Detection], timeline: Timeline, late_ms: float = 0, within_ms: float = 8
) -> bool:
    """Whether exactly the cues of the timeline were heard, each at its time."""
    pairs = zip(found, timeline.cues, strict=False)
    near = [abs(a.at_ms - late_ms - b.at_ms) < within_ms for a, b in pairs]
    return [one.meaning for one in found] == [cue.meaning for cue in timeline.cues] and all(near)


@pytest.mark.parametrize("rate", [8000, 11_025, 16_000, 22_050, 44_100, 44_056, 96_000])
def test_any_rate(tmp_path: Path, timeline: Timeline, rate: int) -> None:
    assert right(heard(tmp_path / "a.wav", played(timeline, rate), rate), timeline)


@pytest.mark.parametrize("speaker", SPEAKERS)
def test_beds_and_lead_ins_are_no_cues(tmp_path: Path, timeline: Timeline, speaker: str) -> None:
    assert right(heard(tmp_path / "a.wav", played(timeline, speaker=speaker)), timeline)


@pytest.mark.parametrize("gain", [0.001, 0.03, 1, 6])
def test_any_level_even_clipped(tmp_path: Path, timeline: Timeline, gain: float) -> None:
    wave = np.clip(gain * played(timeline), -1, 1)
    assert right(heard(tmp_path / "a.wav", wave), timeline)


@pytest.mark.parametrize("name", shipped.names("sounds"))
def test_every_note_in_silence(tmp_path: Path, name: str) -> None:
    """Where there is no noise, weak partials are not taken for nothing."""
    cue_set = load_cue_set(name)
    said = cues_in_turn(cue_set, ["pip", "move", "ready-1", "sheet", "reverse", "end"], 3)
    score = Score(said, cue_set, 16_000, SPEAKERS["none"])
    soundfile.write(tmp_path / "a.wav", score.fill(0, score.frames), 16_000)
    assert right(list(hear(Recording(tmp_path / "a.wav"), cue_set)), said)


def test_a_hundredth_of_a_percent_of_full_scale(tmp_path: Path, timeline: Timeline) -> None:
    assert right(heard(tmp_path / "a.wav", 1e-4 * played(timeline), subtype="PCM_24"), timeline)


@pytest.mark.parametrize("signs", [(1, 1), (1, 0), (0, 1), (1, -1), (1, 1, 1, 1)])
def test_any_channels(tmp_path: Path, timeline: Timeline, signs: tuple[int, ...]) -> None:
    wave = played(timeline)[:, None] * np.array(signs, np.float32)
    assert right(heard(tmp_path / "a.wav", wave), timeline)


def test_any_start_and_every_seam(tmp_path: Path) -> None:
    """Minutes of cues so close that cuts between stretches fall on cues."""
    wanted = ["lift", "enter-wash", "sheet", "move", "tally-2", "light-safe", "stand"] * 10
    timeline = cues_in_turn(STANDARD, wanted, 8)
    assert timeline.duration_ms > 200_000
    late = np.zeros(37_123)
    wave = np.concatenate((late, played(timeline, 16_000)))
    assert right(heard(tmp_path / "a.wav", wave, 16_000), timeline, 37_123 / 16)


def test_a_light_safe_half_lost_still_reads(tmp_path: Path) -> None:
    timeline = cues_in_turn(STANDARD, ["move", "light-safe", "stand"], 1)
    at_ms, length_ms, _, _ = timeline.cues[1]
    for first, last in ((0, 0.5), (0.5, 1.0), (0.25, 0.75)):
        wave = played(timeline)
        lost = slice(int((at_ms + first * length_ms) * 48), int((at_ms + last * length_ms) * 48))
        wave[lost] = 0
        found = heard(tmp_path / "a.wav", wave)
        assert [one.meaning for one in found] == ["move", "light-safe", "stand"]


@pytest.mark.parametrize("count", [0, 1, 480, 48_000 * 9])
def test_silence_holds_nothing(tmp_path: Path, count: int) -> None:
    assert heard(tmp_path / "a.wav", np.zeros(count)) == []


def test_clatter_is_no_cue(tmp_path: Path) -> None:
    """Water turned on and off, and sixty knocks."""
    rng = np.random.default_rng(4)
    wave = 1e-3 * rng.standard_normal(48_000 * 60)
    for second in range(2, 58, 4):
        wave[second * 48_000 : second * 48_000 + 48_000] += 0.05 * rng.standard_normal(48_000)
    for at in rng.integers(0, len(wave) - 4800, 60):
        wave[at : at + 4800] += np.exp(-np.arange(4800) / 400) * rng.standard_normal(4800)
    assert heard(tmp_path / "a.wav", wave / np.abs(wave).max()) == []


@pytest.mark.parametrize("hertz", [523.25, 880, 1000])
def test_whistles_and_hum_are_no_cues(tmp_path: Path, hertz: float) -> None:
    """Pure tones, a note of the set among them, on and off; the mains and its harmonics."""
    seconds = np.arange(48_000 * 30) / 48_000
    wave = 1e-3 * np.random.default_rng(4).standard_normal(len(seconds))
    breath = np.clip(20 * (0.25 - np.abs(seconds % 1.7 - 0.3)), 0, 1)
    wave += 0.1 * breath * np.sin(2 * np.pi * hertz * seconds)
    wave += sum(0.05 / k * np.sin(2 * np.pi * 50 * k * seconds) for k in range(1, 20))
    assert heard(tmp_path / "a.wav", wave) == []
