"""Files are read back, and every cue must begin where the timeline says.

Two listeners that know nothing of the program: an envelope written here, and Praat's division of a
sound into sounding and silent stretches (praat-parselmouth). The files are read by soundfile.
"""

import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import numpy as np
import parselmouth
import pytest
import soundfile
from numpy.typing import NDArray
from parselmouth.praat import call

from darktimer import shipped
from darktimer.cues.cue_set import CueSet
from darktimer.cues.reader import load_cue_set
from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.output import mp3
from darktimer.output.file import usual_rate, write_sound
from darktimer.prepare.prepared import prepare
from darktimer.process.timeline import Cue, Timeline

STANDARD = load_cue_set("standard")
CUES = [
    (1234, "lights-out"),
    (5001, "enter-develop"),
    (10_007, "move"),
    (14_003, "tally-12"),
    (20_011, "heartbeat"),
    (23_456, "stand"),
    (27_777, "alarm"),
    (36_001, "lift"),
    (40_000, "light-safe"),
]
MINUS_60_DBFS = 10 ** (-60 / 20)
Wave = NDArray[np.float64]


def scored(cue_set: CueSet, rate: int, speaker: str) -> Score:
    said = [(at, m) for at, m in CUES if m not in cue_set.unsaid]
    cues = tuple(Cue(at, cue_set.length_ms(m), m, 0) for at, m in said)
    line = Timeline("onsets", 53_000, (), (), cues, ())
    return Score(line, cue_set, rate, SPEAKERS[speaker])


def written(
    folder: Path, name: str, rate: int = 48_000, speaker: str = "none"
) -> tuple[Wave, float]:
    target = folder / name
    write_sound(target, scored(STANDARD, rate, speaker))
    samples, read_rate = soundfile.read(target)
    assert read_rate == rate
    return samples, rate


def onsets_ms(samples: Wave, rate: float, quiet_ms: float) -> list[float]:
    """Where the samples pass -60 dBFS after so much quiet."""
    loud = np.flatnonzero(np.abs(samples) > MINUS_60_DBFS)
    first = np.diff(loud, prepend=-(10**9)) > quiet_ms * rate / 1000
    return [float(at) for at in loud[first] * 1000 / rate]


@pytest.mark.parametrize("rate", [16_000, 44_100, 48_000, 96_000])
@pytest.mark.parametrize("ending", ["wav", "flac"])
def test_every_cue_begins_within_2_ms(tmp_path: Path, ending: str, rate: int) -> None:
    heard = onsets_ms(*written(tmp_path, f"a.{ending}", rate), quiet_ms=600)
    late = [onset - at for onset, (at, _) in zip(heard, CUES, strict=True)]
    assert all(0 <= ms <= 2 for ms in late), late


@pytest.mark.parametrize("speaker", sorted(SPEAKERS))
def test_every_pulse_begins_within_2_ms_whatever_the_speaker(tmp_path: Path, speaker: str) -> None:
    samples, rate = written(tmp_path, "a.wav", speaker=speaker)
    for at_ms, meaning in CUES:
        for pulse in STANDARD.pulses(meaning)[1:]:
            begin = round((at_ms + pulse.at_ms - 80) * rate / 1000)
            stretch = samples[begin : begin + 9600]
            heard = onsets_ms(stretch, rate, quiet_ms=70)[0]
            assert heard == pytest.approx(80, abs=2)


def by_the_sound_library(path: Path) -> Wave:
    return soundfile.read(path)[0]


def by_ffmpeg(path: Path) -> Wave:
    command = ["ffmpeg", "-v", "error", "-i", str(path), "-ar", "24000", "-f", "f64le", "-"]
    return np.frombuffer(subprocess.run(command, check=True, stdout=subprocess.PIPE).stdout)


DECODERS = [
    by_the_sound_library,
    pytest.param(
        by_ffmpeg, marks=pytest.mark.skipif(not shutil.which("ffmpeg"), reason="needs ffmpeg")
    ),
]


@pytest.mark.parametrize("decoded", DECODERS)
@pytest.mark.parametrize("cue_set", shipped.names("sounds"))
@pytest.mark.parametrize("ending", ["ogg", "opus", "mp3"])
def test_players_hear_every_pulse_within_2_ms(
    tmp_path: Path, ending: str, cue_set: str, decoded: Callable[[Path], Wave]
) -> None:
    """Where half of a pulse's own height is passed, as written and as decoded."""
    target, cues = tmp_path / f"a.{ending}", load_cue_set(cue_set)
    score = scored(cues, usual_rate(target), "none")
    write_sound(target, score)
    meant, heard, rate = score.fill(0, score.frames) / 2**15, decoded(target), score.rate
    assert len(heard) >= len(meant)
    for at_ms, meaning in CUES:
        for pulse in cues.pulses(meaning) if meaning not in cues.unsaid else ():
            around = slice(*(round((at_ms + pulse.at_ms + ms) * rate / 1000) for ms in (-60, 80)))
            late = half_height_ms(heard[around], rate) - half_height_ms(meant[around], rate)
            assert abs(late) <= 2, (meaning, pulse, late)


def half_height_ms(samples: Wave, rate: float) -> float:
    """Where the mean of 2 ms first is half of what it is at the most."""
    width = round(rate / 500)
    power = np.convolve(samples**2, np.ones(width) / width, "same")
    return 1000 * float(np.argmax(power > power.max() / 4)) / rate


@pytest.mark.parametrize("speaker", sorted(SPEAKERS))
@pytest.mark.parametrize("ending", ["opus", "mp3"])
def test_an_hour_for_players_takes_at_most_15_mb(tmp_path: Path, ending: str, speaker: str) -> None:
    """Ten minutes of the shipped plan that has most to say."""
    target = tmp_path / f"a.{ending}"
    whole = prepare("tray-six-sheets", "standard", None).timeline
    cues = tuple(cue for cue in whole.cues if cue.end_ms < 600_000)
    begun = whole._replace(duration_ms=600_000, cues=cues)
    write_sound(target, Score(begun, STANDARD, usual_rate(target), SPEAKERS[speaker]))
    assert target.stat().st_size * 6 < 15e6


@pytest.mark.parametrize("rate", mp3.RATES)
def test_mp3_has_as_many_samples_as_were_written_at_any_rate(tmp_path: Path, rate: int) -> None:
    samples, _ = written(tmp_path, "a.mp3", rate)
    assert len(samples) == 53 * rate


def test_praat_hears_the_cues_at_their_times(tmp_path: Path) -> None:
    samples, rate = written(tmp_path, "a.wav")
    assert praat_onsets_ms(samples, rate) == pytest.approx([at for at, _ in CUES], abs=15)


def praat_onsets_ms(samples: Wave, rate: float) -> list[float]:
    sound = parselmouth.Sound(samples, sampling_frequency=rate)
    # Lowest pitch 200 Hz, steps of 2 ms; silent is 30 dB below the loudest, for 0.6 s or more.
    grid = call(sound, "To TextGrid (silences)", 200, 0.002, -30, 0.6, 0.05, "", "cue")
    count = call(grid, "Get number of intervals", 1)
    return [
        1000 * call(grid, "Get starting point", 1, number)
        for number in range(1, count + 1)
        if call(grid, "Get label of interval", 1, number) == "cue"
    ]
