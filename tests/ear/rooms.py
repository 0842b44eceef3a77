"""Makes recordings of cues in rooms that never were: taps, echoes, phones, codecs and wrong clocks.

Everything follows from a seed. Levels are A-weighted: the signal's is that of the act-now cues
while they sound, at the place of the recorder; the noise's is that of the whole noise.
"""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray
from scipy.fft import irfft, next_fast_len, rfft, rfftfreq
from scipy.signal import butter, sosfilt

from darktimer.cues.cue_set import CueSet
from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.process import meanings
from darktimer.process.timeline import Cue, Step, Timeline

Wave = NDArray[np.floating]

RATE = 48_000

#: A cistern refilling, dB in octaves from 63 Hz to 8 kHz, 63 dBA in all (from memory, no source):
#: the stand-in for a running tap.
OCTAVES_HZ = (63, 125, 250, 500, 1000, 2000, 4000, 8000)
CISTERN_DB = (50, 55, 53, 54, 57, 56, 57, 52)


@dataclass(frozen=True)
class Room:
    """Where a recording is made. ``snr_db`` is A-weighted; None is without noise."""

    name: str
    snr_db: float | None
    noise: str = "cistern"
    echoes: bool = False
    phone: bool = False
    codec: str = "WAV"
    ppm: float = 0.0


#: Two echoes: each comes as many ms late as chance has it between these, at this level in dB.
ECHOES = ((15, 60, -5.0), (70, 160, -9.0))


def cues_in_turn(cue_set: CueSet, wanted: list[str], seed: int) -> Timeline:
    """The meanings in the order given, at random distances that a timeline could have."""
    rng = np.random.default_rng(seed)
    at_ms, cues = 1000, []
    for meaning in wanted:
        cues.append(Cue(at_ms, cue_set.length_ms(meaning), meaning, 0))
        at_ms += cue_set.length_ms(meaning) + int(rng.integers(300, 1500))
    step = Step("test", "step", 0, at_ms + 1000, dark=False)
    return Timeline("test", at_ms + 1000, (step,), (), tuple(cues), ())


def record(timeline: Timeline, cue_set: CueSet, room: Room, seed: int) -> Wave:
    """What a recorder in ``room`` hears of the timeline, at `RATE`, peak below 1."""
    score = Score(timeline, cue_set, RATE, SPEAKERS["none"])
    dry = score.fill(0, score.frames).astype(np.float32) / 32768
    wave = dry.copy()
    chance = np.random.default_rng((seed, 1))
    for earliest_ms, latest_ms, db in ECHOES if room.echoes else ():
        late = round(chance.uniform(earliest_ms, latest_ms) * RATE / 1000)
        wave[late:] += np.float32(10 ** (db / 20)) * dry[:-late]
    if room.phone:
        band = butter(4, (600, 3400), "bandpass", fs=RATE, output="sos")
        wave = sosfilt(band, wave).astype(np.float32)
    if room.snr_db is not None:
        level = level_dba(wave[sounding(timeline, wave)]) - room.snr_db
        wave += np.float32(10 ** (level / 20)) * NOISES[room.noise](len(wave), seed)
    return wave / (np.abs(wave).max() * np.float32(1.12))


def sounding(timeline: Timeline, wave: Wave) -> NDArray[np.bool_]:
    """Where an act-now cue of ordinary loudness sounds."""
    there = np.zeros(len(wave), np.bool_)
    for cue in timeline.cues:
        if meanings.family(cue.meaning) in meanings.ACT_NOW - {meanings.ALARM}:
            first = cue.at_ms * RATE // 1000
            there[first : first + cue.length_ms * RATE // 1000] = True
    there &= np.abs(wave) > 1e-4 * np.abs(wave).max()
    return there if there.any() else np.ones(len(wave), np.bool_)


def cistern(count: int, seed: int) -> Wave:
    """Noise with the octave levels of a cistern, flat inside each octave; 0 dBA."""
    return _shaped(count, seed, _cistern_density)


def pink(count: int, seed: int) -> Wave:
    """Noise with equal power in every octave from 30 Hz to 15 kHz; 0 dBA."""
    return _shaped(count, seed, lambda hz: np.where((hz > 30) & (hz < 15_000), 1 / (hz + 1), 0))


NOISES = {"cistern": cistern, "pink": pink}


def _cistern_density(hertz: Wave) -> Wave:
    octave = np.clip(np.rint(np.log2(np.maximum(hertz, 1) / 1000)) + 4, 0, 7).astype(int)
    power = 10 ** (np.array(CISTERN_DB) / 10) / (np.array(OCTAVES_HZ) / 2**0.5)
    return np.where((hertz > 44) & (hertz < 11_300), power[octave], 0)


def _shaped(count: int, seed: int, density: Callable[[Wave], Wave]) -> Wave:
    size = next_fast_len(max(count, RATE), real=True)
    white = np.random.default_rng(seed).standard_normal(size, np.float32)
    gain = np.sqrt(density(rfftfreq(size, 1 / RATE))).astype(np.float32)
    spectrum = rfft(white) * gain
    spectrum *= np.float32(10 ** (-_spectrum_dba(spectrum, size) / 20))
    return irfft(spectrum, size)[:count]


def a_weighting_db(hertz: Wave) -> Wave:
    """The A-weighting of IEC 61672-1 in closed form, in dB."""
    f = np.maximum(np.asarray(hertz, float), 1e-3) ** 2
    low = (f + 20.599**2) * np.sqrt((f + 107.653**2) * (f + 737.862**2))
    return 20 * np.log10(12194.217**2 * f**2 / (low * (f + 12194.217**2))) + 2.0


def level_dba(wave: Wave) -> float:
    """The A-weighted mean level of a wave, dB against a mean square of 1."""
    size = next_fast_len(len(wave), real=True)
    return _spectrum_dba(rfft(wave, size), size) + 10 * np.log10(size / len(wave))


def _spectrum_dba(spectrum: Wave, size: int) -> float:
    gain = 10 ** (a_weighting_db(rfftfreq(size, 1 / RATE)) / 10)
    power = spectrum.real**2 + spectrum.imag**2
    return float(10 * np.log10(2 * np.dot(power, gain) / size**2))


def write(wave: Wave, path: Path, room: Room) -> Path:
    """Writes a recording as the room's codec has it, with the recorder's clock wrong by ppm."""
    wave = _stretched(wave, room.ppm)
    if room.codec == "OPUS":
        soundfile.write(path, wave, RATE, format="OGG", subtype="OPUS", compression_level=_OPUS)
    elif room.codec == "MP3":
        soundfile.write(
            path, wave, RATE, format="MP3", bitrate_mode="CONSTANT", compression_level=_MP3
        )
    else:
        soundfile.write(path, wave, RATE, format=room.codec)
    return path


_OPUS, _MP3 = 0.9, 0.99


def _stretched(wave: Wave, ppm: float) -> Wave:
    """The wave as a clock that is fast by ``ppm`` samples it; straight lines between samples."""
    if not ppm:
        return wave
    count = int(len(wave) * (1 + ppm * 1e-6))
    return np.interp(np.arange(count) / (1 + ppm * 1e-6), np.arange(len(wave)), wave)
