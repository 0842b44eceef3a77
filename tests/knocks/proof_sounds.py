"""The sounds that the knock detector is proved on, and was never tuned on.

Made in another way than those for tuning: things struck are plates with a constant density of modes
and a loss factor, driven by half a sine of force; bubbles ring as Minnaert says; voices are sums of
harmonics under moving formants. All are mono at `RATE`, dry; an event's peak is its own level.
"""

from collections.abc import Callable, Iterator

import numpy as np

from tests.knocks.rooms import RATE, Random, Wave, placed

Struck = Callable[[Random], Wave]

#: Loss factor, and how long the force lasts, in seconds: knuckles, a spoon, the edge of a bottle.
MATERIALS = {
    "wood": ((0.012, 0.05), (0.0002, 0.0006)),
    "steel": ((0.003, 0.012), (0.0001, 0.0003)),
    "plastic": ((0.03, 0.1), (0.0002, 0.0007)),
}
#: So many strikes of one thing are made; which is heard when is left to chance.
_STRIKES = 8


def struck(rng: Random, material: str) -> Struck:
    """A thing of a material that is struck again and again in nearly the same place."""
    losses, lengths_s = MATERIALS[material]
    loss, length_s = rng.uniform(*losses), rng.uniform(*lengths_s)
    spacing_hz = rng.uniform(60, 400)
    hertz = np.arange(rng.uniform(150, 400), 7800, spacing_hz)
    hertz = np.abs(hertz + rng.uniform(-0.4, 0.4, len(hertz)) * spacing_hz)
    gains = rng.normal(0, 1, len(hertz))
    strikes = [_plate(rng, hertz, gains, loss, length_s) for _ in range(_STRIKES)]
    return lambda again: strikes[int(again.integers(_STRIKES))]


def _plate(rng: Random, hertz: Wave, gains: Wave, loss: float, length_s: float) -> Wave:
    gains = gains + 0.15 * rng.normal(0, 1, len(gains))
    length_s = length_s * rng.uniform(0.85, 1.15)
    seconds = np.arange(int(min(0.5, 2.2 / (hertz[0] * loss)) * RATE)) / RATE
    decays = np.exp(-np.pi * loss * np.outer(hertz, seconds))
    ringing = (gains @ (np.sin(2 * np.pi * np.outer(hertz, seconds)) * decays)).astype(np.float32)
    force = np.sin(np.pi * np.arange(1, max(2, round(length_s * RATE))) / (length_s * RATE))
    wave = np.convolve(ringing, np.abs(force))
    return np.asarray(wave / np.abs(wave).max())


def _level(rng: Random, most_db: float) -> float:
    return float(10 ** (rng.uniform(most_db - 30, most_db) / 20))


def _bubble(rng: Random, radius_mm: float) -> Wave:
    """A bubble in water: 3.26 m/s over its radius (Minnaert 1933), rising as it comes up."""
    hertz = min(3260 / radius_mm, 7500)
    seconds = np.arange(int(0.05 * RATE)) / RATE
    loss = 0.13 * hertz + 0.0072 * hertz**1.5  # a common fit, from memory
    rise = rng.uniform(0, 0.1) * loss
    return np.sin(2 * np.pi * hertz * seconds * (1 + rise * seconds)) * np.exp(-loss * seconds / 2)


def dripping(seconds: float, rng: Random) -> Wave:
    """A tap into a basin of steel or plastic, or into water; drops come evenly, some in twos."""

    def drops() -> Iterator[tuple[float, Wave]]:
        at_s = 0.0
        while True:
            basin = struck(rng, str(rng.choice(["steel", "plastic"])))
            wet, every_s, radius_mm = rng.random(), rng.gamma(2, 0.5) + 0.15, rng.uniform(0.6, 3)
            twins, twin_s, level = rng.random(), rng.uniform(0.05, 0.4), _level(rng, 0)
            for _ in range(int(rng.integers(10, 60))):
                at_s += every_s * rng.lognormal(0, 0.03)
                drop = _bubble(rng, radius_mm * rng.lognormal(0, 0.05)) * wet
                yield at_s, level * drop
                yield at_s, level * (1 - wet) * basin(rng)
                if rng.random() < twins:
                    yield at_s + twin_s * rng.lognormal(0, 0.1), level * 0.5 * drop

    return placed(drops(), seconds)


def clanking(seconds: float, rng: Random) -> Wave:
    """Vessels, tongs and lids set down, knocked over, bouncing."""

    def clanks() -> Iterator[tuple[float, Wave]]:
        at_s = 0.0
        while True:
            thing, level = struck(rng, str(rng.choice(list(MATERIALS)))), _level(rng, 10)
            for _ in range(int(rng.integers(1, 5))):
                at_s += rng.lognormal(0.3, 0.8)
                gap_s, kept = rng.lognormal(-1.5, 0.6), rng.uniform(0.4, 1.1)
                force = level
                for _ in range(int(rng.geometric(0.35))):
                    yield at_s, force * rng.lognormal(0, 0.2) * thing(rng)
                    at_s, gap_s, force = at_s + gap_s, gap_s * kept + 0.02, force * min(1, kept)

    return placed(clanks(), seconds)


def pouring(seconds: float, rng: Random) -> Wave:
    """Water into a vessel: bubbles of all sizes over a hiss, a pour and a rest."""
    count = int(seconds * RATE)
    knots = np.arange(0, count + RATE, RATE)
    flow = np.convolve(rng.random(len(knots)) < 0.6, np.ones(3) / 3, "same")
    flow = np.interp(np.arange(count), knots, flow)
    hiss = np.convolve(rng.standard_normal(count), [0.25, 0.5, 0.25], "same")

    def bubbles() -> Iterator[tuple[float, Wave]]:
        at_s = 0.0
        while True:
            at_s += rng.exponential(0.02)
            here = flow[min(int(at_s * RATE), count - 1)]
            yield at_s, here * _level(rng, -5) * _bubble(rng, rng.lognormal(0.3, 0.5))

    return 0.03 * flow * hiss + placed(bubbles(), seconds)


def voices(seconds: float, rng: Random) -> Wave:
    """One who talks: stops, hisses and vowels, phrases and pauses."""

    def phrases() -> Iterator[tuple[float, Wave]]:
        at_s = 0.0
        while True:
            level, pitch_hz = _level(rng, -3), rng.uniform(80, 260)
            for _ in range(int(rng.geometric(0.12))):
                wave = level * np.concatenate((_consonant(rng), _vowel(rng, pitch_hz)))
                yield at_s, wave
                at_s += len(wave) / RATE + rng.exponential(0.03)
            at_s += rng.gamma(2, 0.4)

    return placed(phrases(), seconds)


def _vowel(rng: Random, pitch_hz: float) -> Wave:
    count = int(rng.gamma(6, 0.025) * RATE) + 200
    glide = pitch_hz * np.cumsum(1 + 0.1 * np.sin(np.linspace(0, rng.uniform(1, 4), count))) / RATE
    order = np.arange(1, int(5000 / pitch_hz))
    hertz = order * pitch_hz
    shape = sum(
        db / (1 + ((hertz - rng.uniform(*formant)) / 90) ** 2)
        for db, formant in ((1, (280, 850)), (0.5, (850, 2300)), (0.25, (2300, 3300)))
    )
    wave = (shape @ np.sin(2 * np.pi * np.outer(order, glide))) * np.sin(
        np.linspace(0, np.pi, count)
    )
    return np.asarray(wave / np.abs(wave).max())


def _consonant(rng: Random) -> Wave:
    kind = rng.random()
    if kind < 0.4:  # a stop: closed, then a burst
        burst = rng.standard_normal(int(rng.uniform(0.004, 0.02) * RATE))
        burst *= np.exp(-np.arange(len(burst)) / (0.3 * len(burst))) * rng.uniform(0.1, 0.6)
        return np.concatenate((np.zeros(int(rng.uniform(0.03, 0.1) * RATE)), burst))
    if kind < 0.7:
        hiss = np.diff(rng.standard_normal(int(rng.uniform(0.05, 0.15) * RATE)))
        return hiss * np.sin(np.linspace(0, np.pi, len(hiss))) * rng.uniform(0.05, 0.2)
    return np.zeros(1)


def steps(seconds: float, rng: Random) -> Wave:
    """Shoes on boards: heel, sole and a scrape; some steps, some standing."""

    def feet() -> Iterator[tuple[float, Wave]]:
        at_s = 0.0
        while True:
            at_s += rng.gamma(2, 1)
            board, level, every_s = struck(rng, "wood"), _level(rng, 0), rng.uniform(0.3, 0.9)
            for _ in range(int(rng.geometric(0.2))):
                at_s += every_s * rng.lognormal(0, 0.06)
                yield at_s, level * board(rng)
                yield at_s + rng.uniform(0.05, 0.2), level * rng.uniform(0.1, 0.8) * board(rng)
                scrape = rng.standard_normal(int(0.15 * RATE)) * np.hanning(int(0.15 * RATE))
                yield at_s + 0.05, level * rng.uniform(0, 0.05) * scrape

    return placed(feet(), seconds)


def door(seconds: float, rng: Random) -> Wave:
    """A handle, a latch and a leaf that falls to, now fast, now slowly; sometimes a rattle."""

    def doors() -> Iterator[tuple[float, Wave]]:
        at_s = 0.0
        while True:
            at_s += rng.gamma(2, 2)
            latch, leaf, level = struck(rng, "steel"), struck(rng, "wood"), _level(rng, 10)
            for thing, share in ((latch, 0.5), (latch, 0.4), (leaf, 1.0), (latch, 0.7)):
                if rng.random() < 0.8:
                    yield at_s, level * share * rng.lognormal(0, 0.3) * thing(rng)
                at_s += rng.lognormal(-1.3, 0.6)
            for _ in range(int(rng.integers(0, 6))):
                yield at_s, level * 0.2 * leaf(rng)
                at_s += rng.uniform(0.04, 0.15)

    return placed(doors(), seconds)


NOISES: dict[str, Callable[[float, Random], Wave]] = {
    "dripping": dripping,
    "clanking": clanking,
    "pouring": pouring,
    "voices": voices,
    "steps": steps,
    "door": door,
}
