"""Makes recordings of cues in rooms that never were: noise, echoes, phones, codecs, wrong clocks.

Everything follows from a seed. Levels are A-weighted: the signal's is that of the act-now cues
while they sound, at the place of the recorder; the noise's is that of the whole noise.
"""

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray
from scipy.signal import butter, fftconvolve, resample_poly, sosfilt

from darktimer.cues.cue_set import CueSet
from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.process import meanings
from darktimer.process.spacing import CLEAR_MS
from darktimer.process.timeline import Cue, Step, Timeline
from tests.ear.noises import NOISES, RATE, TONAL, Wave, level_dba


@dataclass(frozen=True)
class Room:
    """Where a recording is made. ``snr_db`` is A-weighted; None is without noise.

    A reverberation of ``rt60_s`` falls by 60 dB in that time; 0 is without.
    """

    name: str
    snr_db: float | None
    noise: str = "cistern"
    echoes: bool = False
    rt60_s: float = 0.0
    phone: bool = False
    codec: str = "WAV"
    ppm: float = 0.0


#: Two echoes: each comes as many ms late as chance has it between these, at this level in dB.
ECHOES = ((15, 60, -5.0), (70, 160, -9.0))
#: The recorder's distance from the speaker, and the volume of a small room.
_AWAY_M, _ROOM_M3 = 1.0, 30.0
#: Noise is made for recordings up to this length.
_STRIP_S = 300
#: The tail begins so long after what comes straight.
_TAIL_AFTER_S = 0.003


def cues_in_turn(cue_set: CueSet, wanted: list[str], seed: int) -> Timeline:
    """The meanings in the order given, at random distances that a timeline could have."""
    rng = np.random.default_rng(seed)
    at_ms, cues = 1000, []
    for meaning in wanted:
        cues.append(Cue(at_ms, cue_set.length_ms(meaning), meaning, 0))
        at_ms += cue_set.length_ms(meaning) + int(rng.integers(CLEAR_MS, 1500))
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
    if room.rt60_s:
        wave = fftconvolve(wave, _reverberation(room.rt60_s, chance))[: len(dry)]
    if room.phone:
        band = butter(4, (600, 3400), "bandpass", fs=RATE, output="sos")
        wave = sosfilt(band, wave).astype(np.float32)
    if room.snr_db is not None:
        level = level_dba(wave[sounding(timeline, wave)]) - room.snr_db
        wave = wave + np.float32(10 ** (level / 20)) * _noise(room.noise, len(wave), seed)
    return wave / (np.abs(wave).max() * np.float32(1.12))


def _noise(name: str, count: int, seed: int) -> Wave:
    """Made once for all recordings of a seed."""
    strip = _strip(name, seed)
    return strip[:count] if count <= len(strip) else (NOISES | TONAL)[name](count, seed)


@lru_cache(len(NOISES) + len(TONAL))
def _strip(name: str, seed: int) -> Wave:
    return (NOISES | TONAL)[name](_STRIP_S * RATE, seed)


def _reverberation(rt60_s: float, chance: np.random.Generator) -> Wave:
    """The response of a room: a pulse, and noise that dies away.

    After Sabine the tail holds 16 pi r^2 T / (0.161 V) times the energy of the pulse, in metres,
    seconds and cubic metres.
    """
    seconds = np.arange(int(rt60_s * RATE)) / RATE
    tail = chance.standard_normal(len(seconds)) * 10 ** (-3 * seconds / rt60_s)
    tail[seconds < _TAIL_AFTER_S] = 0
    energy = 16 * np.pi * _AWAY_M**2 * rt60_s / (0.161 * _ROOM_M3)
    tail *= (energy / np.dot(tail, tail)) ** 0.5
    tail[0] = 1
    return tail.astype(np.float32)


def sounding(timeline: Timeline, wave: Wave) -> NDArray[np.bool_]:
    """Where an act-now cue of ordinary loudness sounds."""
    there = np.zeros(len(wave), np.bool_)
    for cue in timeline.cues:
        if meanings.family(cue.meaning) in meanings.ACT_NOW - {meanings.ALARM}:
            first = cue.at_ms * RATE // 1000
            there[first : first + cue.length_ms * RATE // 1000] = True
    there &= np.abs(wave) > 1e-4 * np.abs(wave).max()
    return there if there.any() else np.ones(len(wave), np.bool_)


def write(wave: Wave, path: Path, room: Room) -> Path:
    """Writes a recording as the room's codec has it, with the recorder's clock wrong by ppm."""
    wave = _stretched(wave, room.ppm)
    if room.codec == "OPUS":
        soundfile.write(path, wave, RATE, format="OGG", subtype="OPUS", compression_level=_OPUS)
    elif room.codec == "MP3":
        soundfile.write(
            path,
            resample_poly(wave, 2, 1),  # at half the rate the library's frames overflow
            2 * RATE,
            format="MP3",
            bitrate_mode="CONSTANT",
            compression_level=_MP3,
        )
    else:
        soundfile.write(path, wave, RATE, format=room.codec)
    return path


#: At that rate, 30 and 32 kbit/s.
_OPUS, _MP3 = 0.9, 0.99


def _stretched(wave: Wave, ppm: float) -> Wave:
    """The wave as a clock that is fast by ``ppm`` samples it; straight lines between samples."""
    if not ppm:
        return wave
    count = int(len(wave) * (1 + ppm * 1e-6))
    return np.interp(np.arange(count) / (1 + ppm * 1e-6), np.arange(len(wave)), wave)
