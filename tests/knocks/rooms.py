"""Rooms in which knocks are heard: a response that decays, a noise at a level, a person's hand."""

from collections.abc import Iterable
from itertools import takewhile
from types import ModuleType

import numpy as np
from numpy.typing import NDArray
from scipy.signal import butter, oaconvolve, sosfilt

from darktimer.knocks.detector import KnockDetector
from darktimer.knocks.learning import Knock, learn
from darktimer.knocks.patterns import RHYTHMS, Knocked, KnocksHeard

Wave = NDArray[np.floating]
Random = np.random.Generator

RATE = 16_000
#: A knock's peak at the microphone, of full scale.
PEAK = 0.1
_HEARD = butter(4, (1000, 6000), "bandpass", fs=RATE, output="sos")


def response(rng: Random, reverberation_s: float) -> Wave:
    """The direct sound and exponentially decaying noise, by distance and size of the room.

    Energies are those of a diffuse field: the tail is (distance / critical distance)^2 of the
    direct sound, the critical distance 0.057 sqrt(V / T) (Sabine; the constant from memory).
    """
    metres, cubic_metres = rng.uniform(0.25, 0.6), rng.uniform(10, 40)
    critical = 0.057 * np.sqrt(cubic_metres / reverberation_s)
    seconds = np.arange(int(reverberation_s * RATE)) / RATE
    tail = rng.standard_normal(len(seconds)) * 10 ** (-3 * seconds / reverberation_s)
    tail[: int(0.003 * RATE)] = 0
    tail *= metres / critical / np.sqrt((tail**2).sum())
    tail[0] = 1
    return tail.astype(np.float32)


def placed(events: Iterable[tuple[float, Wave]], seconds: float) -> Wave:
    """Waves at their moments on a line, in order of time and as many as begin on it."""
    line = np.zeros(int(seconds * RATE), np.float32)
    for at_s, wave in takewhile(lambda event: event[0] < seconds, events):
        at = round(at_s * RATE)
        line[at : at + len(wave)] += wave[: max(0, len(line) - at)]
    return line


def heard_peak(wave: Wave) -> float:
    """The peak between 1 and 6 kHz."""
    return float(np.abs(sosfilt(_HEARD, wave)).max())


def heard_level(wave: Wave) -> float:
    """The root mean square between 1 and 6 kHz."""
    return float(np.sqrt(np.mean(sosfilt(_HEARD, wave) ** 2)))


def in_room(wave: Wave, echo: Wave) -> Wave:
    """What a microphone in the room gets, as long as ``wave``."""
    return oaconvolve(wave, echo)[: len(wave)]


def noise(rng: Random, count: int) -> Wave:
    """A steady noise, as of a fan or a tap: a slope between white and 6 dB an octave, level 1."""
    spectrum = np.fft.rfft(rng.standard_normal(count))
    hertz = np.maximum(np.fft.rfftfreq(count, 1 / RATE), 50)
    wave = np.fft.irfft(spectrum * hertz ** -rng.uniform(0, 1), count)
    return wave / heard_level(wave)


class Person:
    """Knocks on one thing in one room, at a pace: a short rest, and a long one."""

    def __init__(self, rng: Random, sounds: ModuleType, material: str, echo: Wave) -> None:
        self._rng, self._echo = rng, echo
        self._thing = sounds.struck(rng, material)
        self.long_s = rng.uniform(0.24, 0.5)
        self.short_s = max(0.12, self.long_s / rng.uniform(1.8, 3))
        self._gain = PEAK / heard_peak(in_room(np.pad(self._thing(rng), (0, RATE)), echo))

    def knocks(self, pattern: Knocked) -> tuple[float, Wave]:
        """A pattern with two seconds before it and one after, and when its last knock is.

        ``apart`` has its knocks one by one after that, and ``peaks`` how loud each is.
        """
        rng = self._rng
        rests = np.array([self.long_s if long else self.short_s for long in RHYTHMS[pattern]])
        rests *= rng.normal(1, 0.05, len(rests)) * rng.normal(1, 0.05)
        self.rests = rests = np.clip(rests, 0.12, 0.5)
        moments = np.cumsum([2.0, *rests])
        force = self._gain * 10 ** (rng.normal(0, 2) / 20)
        knocks = [force * 10 ** (rng.normal(0, 1.5) / 20) * self._thing(rng) for _ in moments]
        seconds = moments[-1] + 1.0
        self.apart = [
            in_room(placed([each], seconds), self._echo)
            for each in zip(moments, knocks, strict=True)
        ]
        self.peaks = [heard_peak(np.pad(knock, (0, RATE // 10))) for knock in knocks]
        return float(moments[-1]), sum(self.apart, np.zeros(len(self.apart[0])))

    def single(self) -> Wave:
        """One knock, dry, as it is before the room."""
        return self._gain * self._thing(self._rng)

    def trial(self, patterns: int = 4, quiet_db: float = 30.0) -> list[Wave]:
        """So many patterns, one and the other by turns, in a quiet room."""
        waves = [self.knocks(pattern)[1] for pattern in [*Knocked] * (patterns // 2)]
        hiss = PEAK * 10 ** (-quiet_db / 20)
        return [(wave + hiss * noise(self._rng, len(wave))).astype(np.float32) for wave in waves]


def learnt(trial: Iterable[Wave], least: int = 1, enough: int = 100) -> Knock | None:
    """What a trial teaches that ends when ``enough`` of its patterns were heard.

    None where fewer than ``least`` are.
    """
    heard: list[KnocksHeard] = []
    for wave in trial:
        heard += KnockDetector(RATE).hear(wave) if len(heard) < enough else []
    return learn(heard) if len(heard) >= least else None
