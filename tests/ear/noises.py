"""What a darkroom may sound like beside the cues: water, drops, voices, a fan, hum, music.

Each is made of a count of samples and a seed, at `RATE`, with an A-weighted mean level of 0 dB.
Nothing is a recording: drops are bubbles that ring (the law of Minnaert, 3.26 m/s over the
radius), voices are trains of pulses through resonances (vowels after the formants of Peterson &
Barney 1952, from memory) with pauses, music is chords of the scale that the cues use. The rest is
our own choice.
"""

from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray
from scipy.fft import irfft, next_fast_len, rfft, rfftfreq
from scipy.signal import lfilter

Wave = NDArray[np.floating]
Chance = np.random.Generator

#: Enough for all that the cues and these noises hold.
RATE = 24_000

#: A cistern refilling, dB in octaves from 63 Hz to 8 kHz, 63 dBA in all (from memory, no source):
#: the stand-in for a running tap.
OCTAVES_HZ = (63, 125, 250, 500, 1000, 2000, 4000, 8000)
CISTERN_DB = (50, 55, 53, 54, 57, 56, 57, 52)


#: First three formants of vowels in hertz, of a man; a woman's are about a sixth higher.
VOWELS_HZ = (
    (730, 1090, 2440),
    (270, 2290, 3010),
    (300, 870, 2240),
    (530, 1840, 2480),
    (570, 840, 2410),
)
FORMANT_WIDTHS_HZ = (80, 100, 140)
#: The notes that cues are made of, and those beside them, in halftones from A4.
SCALE = (-9, -7, -5, -3, -2, 0, 2, 3, 5, 7, 10, 12, 15)


def cistern(count: int, seed: int) -> Wave:
    """Noise with the octave levels of a cistern, flat inside each octave; 0 dBA."""
    return _shaped(count, seed, _cistern_density)


def pink(count: int, seed: int) -> Wave:
    """Noise with equal power in every octave from 30 Hz to 15 kHz; 0 dBA."""
    return _shaped(count, seed, lambda hz: np.where((hz > 30) & (hz < 15_000), 1 / (hz + 1), 0))


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


def dripping(count: int, seed: int) -> Wave:
    """Drops from a tap that is not quite shut, each a click and a bubble that rings."""
    chance = np.random.default_rng(seed)
    every_s = chance.uniform(0.3, 1.2)
    drops = (
        (at, chance.uniform(0.4, 1.0) * _drop(chance))
        for at in _moments(count, chance, lambda: every_s * chance.normal(1, 0.07))
    )
    return _at_level(_laid(count, drops))


def _drop(chance: Chance) -> Wave:
    seconds = np.arange(RATE // 10) / RATE
    hertz = 3.26 / chance.uniform(0.0008, 0.0035)
    ringing = np.sin(2 * np.pi * hertz * seconds * (1 + chance.uniform(0, 2) * seconds))
    ringing *= np.exp(-seconds / chance.uniform(0.006, 0.025))
    click = chance.standard_normal(len(seconds)) * np.exp(-seconds / 0.001)
    return ringing + 0.3 * click


def voices(count: int, seed: int) -> Wave:
    """Two people who talk by turns and at times together: syllables, phrases, pauses."""
    chance = np.random.default_rng(seed)
    wave = np.zeros(count, np.float32)
    for pitch_hertz, wide in ((chance.uniform(90, 140), 1.0), (chance.uniform(170, 250), 1.17)):
        said = (
            (at, _phrase(chance, pitch_hertz, wide))
            for at in _moments(count, chance, lambda: chance.uniform(2.5, 6))
        )
        wave += _laid(count, said)
    return _at_level(wave)


def _phrase(chance: Chance, pitch_hertz: float, wide: float) -> Wave:
    """Syllables on a falling pitch, some with a hiss before."""
    syllables = []
    for pitch in pitch_hertz * np.linspace(1.15, 0.85, chance.integers(4, 13)):
        if chance.random() < 0.4:
            hiss = chance.standard_normal(chance.integers(RATE // 25, RATE // 10))
            syllables.append(0.04 * np.diff(hiss * np.hanning(len(hiss)), prepend=0))
        length = chance.integers(RATE // 12, RATE // 4)
        glide = pitch * np.linspace(1, chance.normal(1, 0.08), length)
        pulses = np.diff(np.floor(np.cumsum(glide) / RATE), prepend=0)
        for hertz, width in zip(chance.choice(VOWELS_HZ), FORMANT_WIDTHS_HZ, strict=True):
            pulses = _resonance(pulses, hertz * wide, width)
        pulses *= np.hanning(length) ** 0.5
        syllables.append(pulses / np.abs(pulses).max())
        syllables.append(np.zeros(chance.integers(0, RATE // 20)))
    return np.concatenate(syllables)


def _resonance(wave: Wave, hertz: float, width_hertz: float) -> Wave:
    radius = np.exp(-np.pi * width_hertz / RATE)
    turn = 2 * radius * np.cos(2 * np.pi * hertz / RATE)
    return lfilter([1 - turn + radius**2], [1, -turn, radius**2], wave)


def fan(count: int, seed: int) -> Wave:
    """Rushing air, with the pitch of the blades and its harmonics, somewhat unsteady."""
    chance = np.random.default_rng(seed)
    seconds = np.arange(count) / RATE
    turns = chance.uniform(90, 210) * seconds + 0.2 * np.sin(2 * np.pi * 0.3 * seconds)
    blades = _cycle(RATE, 1 / np.arange(1, 9), chance)[(turns % 1 * RATE).astype(int)]
    air = _shaped(count, seed, lambda hz: np.where(hz > 40, 1 / (1 + (hz / 400) ** 2), 0))
    return _at_level(air + _at_level(blades) * (1 + 0.2 * np.sin(2 * np.pi * 1.7 * seconds)))


def hum(count: int, seed: int) -> Wave:
    """Mains at 50 or 60 Hz with harmonics up to 3 kHz, the even ones strong, as ballasts have."""
    chance = np.random.default_rng(seed)
    mains = int(chance.choice((50, 60)))
    numbers = np.arange(1, 3000 // mains)
    strong = chance.uniform(0.3, 1, len(numbers)) * np.where(numbers % 2, 0.3, 1) / numbers
    return _at_level(np.resize(_cycle(RATE // mains, strong, chance), count))


def _cycle(count: int, amplitudes: Wave, chance: Chance) -> Wave:
    """One cycle of a tone with these harmonics, each at a phase of its own."""
    turns = np.arange(count) / count
    return sum(
        strong * np.sin(2 * np.pi * (number * turns + chance.random()))
        for number, strong in enumerate(amplitudes, 1)
    )


def music(count: int, seed: int) -> Wave:
    """Three parts on the notes of the cues and beside them, each note struck and dying away."""
    chance = np.random.default_rng(seed)
    wave = np.zeros(count, np.float32)
    beat_s = chance.uniform(0.15, 0.3)
    for _ in range(3):
        played = (
            (at, _note(chance, beat_s))
            for at in _moments(count, chance, lambda: beat_s * chance.integers(1, 5))
        )
        wave += _laid(count, played)
    return _at_level(wave)


def _note(chance: Chance, beat_s: float) -> Wave:
    seconds = np.arange(int(beat_s * chance.integers(1, 5) * RATE)) / RATE
    hertz = 440 * 2 ** (chance.choice(SCALE) / 12)
    tone = sum(np.sin(2 * np.pi * k * hertz * seconds) / k**1.5 for k in range(1, 7))
    return tone * np.exp(-seconds / 0.5) * np.minimum(1, seconds[::-1] / 0.02)


def _moments(count: int, chance: Chance, gap_s: Callable[[], float]) -> Iterator[int]:
    """Samples at which something happens, so far apart."""
    at = int(chance.uniform(0, 1) * RATE)
    while at < count:
        yield at
        at += max(1, int(gap_s() * RATE))


def _laid(count: int, sounds: Iterator[tuple[int, Wave]]) -> Wave:
    """Sounds added at their moments."""
    wave = np.zeros(count, np.float32)
    for at, sound in sounds:
        wave[at : at + len(sound)] += sound[: count - at]
    return wave


def _at_level(wave: Wave) -> Wave:
    return (wave * 10 ** (-level_dba(wave) / 20)).astype(np.float32)


#: What soundproof walls would keep out; of these the ear must take none for a cue.
NOISES = {
    "cistern": cistern,
    "pink": pink,
    "dripping": dripping,
    "voices": voices,
    "fan": fan,
    "hum": hum,
}
#: What has tones of its own near those of the cues, which these sounds cannot bear.
TONAL = {"music": music}
