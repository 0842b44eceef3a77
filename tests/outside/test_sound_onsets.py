"""Files are read back, and every cue must begin where the timeline says.

Two listeners that know nothing of the program: an envelope written here, and Praat's division of a
sound into sounding and silent stretches (praat-parselmouth). The files are read by soundfile.
"""

from pathlib import Path

import numpy as np
import parselmouth
import pytest
import soundfile
from numpy.typing import NDArray
from parselmouth.praat import call

from darktimer.cues.reader import load_cue_set
from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.output.file import write_sound
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


def written(
    folder: Path, name: str, rate: int = 48_000, speaker: str = "none"
) -> tuple[Wave, float]:
    cues = tuple(Cue(at, STANDARD.length_ms(m), m, 0) for at, m in CUES)
    line = Timeline("onsets", 53_000, (), (), cues, ())
    target = folder / name
    write_sound(target, Score(line, STANDARD, rate, SPEAKERS[speaker]))
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


@pytest.mark.parametrize("ending", ["ogg", "opus", "mp3"])
def test_lossy_files_keep_the_times_as_praat_hears_them(tmp_path: Path, ending: str) -> None:
    samples, rate = written(tmp_path, f"a.{ending}")
    assert praat_onsets_ms(samples, rate) == pytest.approx([at for at, _ in CUES], abs=40)


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
