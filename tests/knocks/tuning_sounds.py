"""The sounds that the knock detector was tuned on: damped modes and shaped noise.

Those it is proved on are made in another way (`proof_sounds.py`). All are mono at `RATE`, dry; an
event's peak is about 1, times its own level.
"""

from collections.abc import Callable, Iterator

import numpy as np
from scipy.signal import butter, sosfilt

from tests.knocks.rooms import RATE, Random, Wave, placed

Struck = Callable[[Random], Wave]


#: Time constant at 1 kHz in seconds, how it falls with frequency, and the slope of the modes.
MATERIALS = {
    "wood": ((0.008, 0.025), 0.7, (-9, -4)),
    "steel": ((0.015, 0.06), 0.4, (-5, 0)),
    "plastic": ((0.003, 0.010), 0.6, (-10, -5)),
}


def struck(rng: Random, material: str) -> Struck:
    """A thing of a material that is struck again and again in nearly the same way."""
    (least_s, most_s), power, slopes = MATERIALS[material]
    count = int(rng.integers(8, 22))
    hertz = np.exp(rng.uniform(np.log(300), np.log(7500), count))
    decay_s = rng.uniform(least_s, most_s) * (hertz / 1000) ** -power
    level_db = rng.uniform(*slopes) * np.log2(hertz / 500) + rng.normal(0, 4, count)
    return lambda again: _modes(again, hertz, decay_s, level_db + again.normal(0, 1.5, count))


def _modes(rng: Random, hertz: Wave, decay_s: Wave, level_db: Wave) -> Wave:
    seconds = np.arange(int(min(0.5, 7 * decay_s.max()) * RATE)) / RATE
    phase = rng.uniform(0, 2 * np.pi, len(hertz))
    waves = np.sin(2 * np.pi * np.outer(hertz, seconds) + phase[:, None])
    wave = (10 ** (level_db / 20)) @ (waves * np.exp(-seconds / decay_s[:, None]))
    click = int(0.001 * RATE)
    wave[:click] += np.abs(wave).max() * 0.4 * rng.standard_normal(click)
    return wave / np.abs(wave).max()


def _level(rng: Random, most_db: float) -> float:
    return float(10 ** (rng.uniform(most_db - 25, most_db) / 20))


def dripping(seconds: float, rng: Random) -> Wave:
    """Drops into water, in time but not quite; many throw a second, softer one."""

    def drop(hertz: float) -> Wave:
        t = np.arange(int(0.06 * RATE)) / RATE
        wave = np.sin(2 * np.pi * hertz * (t + 2 * t**2)) * np.exp(-t / rng.uniform(0.004, 0.015))
        wave[:16] += rng.standard_normal(16)
        return wave

    def drops() -> Iterator[tuple[float, Wave]]:
        at_s = 0.0
        while True:
            every_s, hertz, twin_s = (
                rng.uniform(0.2, 3),
                rng.uniform(800, 5000),
                rng.uniform(0, 0.3),
            )
            level = _level(rng, 3)
            for _ in range(int(rng.integers(5, 40))):
                at_s += every_s * rng.normal(1, 0.05)
                yield at_s, level * drop(hertz)
                if rng.random() < 0.5:
                    yield at_s + twin_s, level * 0.6 * drop(hertz * 1.2)

    return placed(drops(), seconds)


def clanking(seconds: float, rng: Random) -> Wave:
    """Vessels and tools that strike each other once or several times."""

    def clanks() -> Iterator[tuple[float, Wave]]:
        at_s = 0.0
        while True:
            thing, level = struck(rng, str(rng.choice(list(MATERIALS)))), _level(rng, 8)
            at_s += rng.exponential(2.5)
            for _ in range(int(rng.integers(1, 6))):
                yield at_s, level * rng.uniform(0.3, 1) * thing(rng)
                at_s += rng.exponential(0.25) + 0.02

    return placed(clanks(), seconds)


def pouring(seconds: float, rng: Random) -> Wave:
    """A stream that swells and thins, with bubbles."""
    count = int(seconds * RATE)
    knots = np.arange(0, count + 4000, 4000)
    swell = np.interp(np.arange(count), knots, rng.uniform(0.02, 0.3, len(knots)))
    wave = sosfilt(butter(1, 2500, fs=RATE, output="sos"), rng.standard_normal(count)) * swell

    def bubbles() -> Iterator[tuple[float, Wave]]:
        at_s = 0.0
        while True:
            at_s += rng.exponential(0.06)
            t = np.arange(800) / RATE
            tone = np.sin(2 * np.pi * rng.uniform(400, 4000) * t) * np.exp(-t / 0.008)
            yield at_s, 0.4 * _level(rng, 6) * tone

    return wave + placed(bubbles(), seconds)


def voices(seconds: float, rng: Random) -> Wave:
    """Syllables: a burst or a hiss, then a vowel of three formants."""

    def syllables() -> Iterator[tuple[float, Wave]]:
        at_s = 0.0
        while True:
            level = _level(rng, 0)
            for _ in range(int(rng.integers(3, 15))):
                yield at_s, level * _syllable(rng)
                at_s += rng.uniform(0.12, 0.35)
            at_s += rng.uniform(0.2, 2)

    return placed(syllables(), seconds)


def _syllable(rng: Random) -> Wave:
    length = int(rng.uniform(0.06, 0.2) * RATE)
    buzz = np.zeros(length)
    buzz[:: int(RATE / rng.uniform(90, 240))] = 1
    vowel = np.zeros(length)
    for low, high in ((300, 800), (900, 2200), (2300, 3200)):
        middle = rng.uniform(low, high)
        band = butter(1, (middle * 0.94, middle * 1.06), "bandpass", fs=RATE, output="sos")
        vowel += sosfilt(band, buzz) * 500 / middle
    vowel *= np.hanning(length) / np.abs(vowel).max()
    burst = rng.standard_normal(int(rng.choice([0.006, 0.015, 0.08]) * RATE))
    burst *= np.exp(-np.arange(len(burst)) / len(burst) * 3) * rng.uniform(0, 0.5)
    return np.concatenate((burst, np.zeros(int(rng.uniform(0, 0.03) * RATE)), vowel))


def steps(seconds: float, rng: Random) -> Wave:
    """Heel and sole on a hard floor, a few steps and a rest."""

    def feet() -> Iterator[tuple[float, Wave]]:
        at_s = 0.0
        while True:
            shoe, every_s, level = struck(rng, "plastic"), rng.uniform(0.35, 0.8), _level(rng, 0)
            for _ in range(int(rng.integers(1, 12))):
                at_s += every_s * rng.normal(1, 0.04)
                yield at_s, level * shoe(rng)
                yield at_s + rng.uniform(0.04, 0.15), level * rng.uniform(0.1, 0.6) * shoe(rng)
            at_s += rng.exponential(2)

    return placed(feet(), seconds)


def door(seconds: float, rng: Random) -> Wave:
    """A handle, a latch, a slam, a rattle of the frame."""

    def doors() -> Iterator[tuple[float, Wave]]:
        at_s = 0.0
        while True:
            at_s += rng.exponential(4)
            latch, leaf, level = struck(rng, "steel"), struck(rng, "wood"), _level(rng, 8)
            for thing in (latch, latch, leaf, latch)[int(rng.integers(0, 3)) :]:
                yield at_s, level * rng.uniform(0.3, 1) * thing(rng)
                at_s += rng.exponential(0.3) + 0.03

    return placed(doors(), seconds)


NOISES: dict[str, Callable[[float, Random], Wave]] = {
    "dripping": dripping,
    "clanking": clanking,
    "pouring": pouring,
    "voices": voices,
    "steps": steps,
    "door": door,
}
