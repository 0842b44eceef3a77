"""How far a cue that was just played stands above the noise of the room it was played in.

What was played is known here and found in the recording by correlation; the search for cues whose
moment nobody knows is another matter. Knows no device.

A cue is clear where each of its pulses is 13 dB over the noise in a third of an octave at least
(ISO 7731:2003 as cited publicly, which asks it over the masked threshold; the noise in the band
stands in for that threshold).
"""

from collections.abc import Iterable, Sequence
from math import ceil, log10
from typing import Final, NamedTuple

import numpy as np

from darktimer.cues.cue_set import Pulse, Voice
from darktimer.cues.tone import Samples, Wave

CLEAR_DB: Final = 13.0
#: Below this a pulse is lost now and then.
COVERED_DB: Final = 3.0
_MOST_DB: Final = 60.0
_THIRD: Final = 2 ** (1 / 6)
#: A likeness so many times the spread of what noise shows by chance is none.
_SURE: Final = 6.0
#: Where speakers without bass and ears without highs differ from others.
_LOW_HZ: Final = 800
_HIGH_HZ: Final = 1500


class Audible(NamedTuple):
    """How a cue came through: dB over the noise of its weakest pulse, and where that is best heard.

    ``margin_db`` is None where nothing of the cue was found. ``tilt_db`` is how much more of what
    was played above 1500 Hz arrived than of what was played below 800 Hz, as far as both could be
    heard.
    """

    meaning: str
    margin_db: float | None
    best_hz: float
    tilt_db: float | None

    @property
    def verdict(self) -> str:
        """``clear``, ``weak`` or ``covered``."""
        if self.margin_db is None or self.margin_db < COVERED_DB:
            return "covered"
        return "clear" if self.margin_db >= CLEAR_DB else "weak"


def audible(
    meaning: str,
    pulses: Sequence[Pulse],
    voice: Voice,
    played: Samples,
    heard: Samples,
    noise: Samples,
    rate: int,
) -> Audible:
    """Judges a recording of one cue. ``played`` begins with the cue's first frame.

    ``heard`` is at least as long and holds it somewhere; ``noise`` is the room without it, a second
    or more.
    """
    sent, loud, still = (each.astype(np.float64) for each in (played, heard, noise))
    start = _found(sent, loud, still)
    if start is None:
        return Audible(meaning, None, 0.0, None)
    quiet = _powers(still, rate)
    bests, levels = [], []
    for pulse in pulses:
        begin = start + round((pulse.at_ms + voice.ramp_ms) * rate / 1000)
        end = start + round((pulse.end_ms - voice.ramp_ms) * rate / 1000)
        bands = [
            _Partial(
                hertz,
                amplitude,
                _power(_powers(loud[begin:end], rate), hertz),
                _power(quiet, hertz),
            )
            for hertz, amplitude in voice.partials(pulse.frequency)
            if hertz * _THIRD < rate / 2
        ]
        bests.append(max((band.over_db, band.hertz) for band in bands))
        levels += bands
    margin_db, best_hz = min(bests)
    return Audible(meaning, margin_db, best_hz, _tilt_db(levels))


class _Partial(NamedTuple):
    """A partial as it was played and as it arrived, with the noise around it; powers."""

    hertz: float
    amplitude: float
    power: float
    noise: float

    @property
    def over_db(self) -> float:
        """The partial over the noise, which is taken out of what was heard with it."""
        if self.power <= self.noise:
            return -_MOST_DB
        if not self.noise:
            return _MOST_DB
        return min(10 * log10(self.power / self.noise - 1), _MOST_DB)

    @property
    def gain_db(self) -> float:
        """What arrived of the partial, against what was played of it and of the others."""
        return 10 * log10((self.power - self.noise) / self.amplitude**2)


def _tilt_db(bands: Iterable[_Partial]) -> float | None:
    plain = [band for band in bands if band.over_db >= COVERED_DB]
    low = [band.gain_db for band in plain if band.hertz < _LOW_HZ]
    high = [band.gain_db for band in plain if band.hertz > _HIGH_HZ]
    return float(np.median(high) - np.median(low)) if low and high else None


def _found(played: Wave, heard: Wave, noise: Wave) -> int | None:
    """The frame at which what was played begins in what was heard, or None."""
    likeness = _correlated(played, heard)
    start = int(likeness.argmax())
    return start if likeness[start] > _SURE * _by_chance(played, noise) else None


def _correlated(played: Wave, heard: Wave) -> Wave:
    """How alike the two are for each place of ``played`` in ``heard``, without sign."""
    size = len(played) + len(heard)
    product = np.fft.rfft(heard, size) * np.conj(np.fft.rfft(played, size))
    return np.abs(np.fft.irfft(product, size)[: max(len(heard) - len(played) + 1, 1)])


def _by_chance(played: Wave, noise: Wave) -> float:
    """The spread of that likeness where only noise is heard."""
    size = len(noise) // 2
    parts = [played[at : at + size] for at in range(0, len(played), size)]
    return float(np.sqrt(sum((_correlated(part, noise) ** 2).mean() for part in parts)))


class _Spectrum(NamedTuple):
    hertz: Wave
    powers: Wave


def _powers(wave: Wave, rate: int) -> _Spectrum:
    """The mean square of a wave, spread over frequencies."""
    window = np.hanning(len(wave))
    spectrum = np.abs(np.fft.rfft(wave * window)) ** 2
    powers = 2 * spectrum / (len(wave) * max((window**2).sum(), 1e-9))
    return _Spectrum(np.fft.rfftfreq(len(wave), 1 / rate).astype(np.float64), powers)


def _power(spectrum: _Spectrum, centre: float) -> float:
    """What lies in the third of an octave around ``centre`` hertz."""
    inside = (spectrum.hertz >= centre / _THIRD) & (spectrum.hertz <= centre * _THIRD)
    return float(spectrum.powers[inside].sum())


def advice(heard: Sequence[Audible], set_name: str, softer_db: int = 0) -> list[str]:
    """What to do about cues that were played ``softer_db`` softer than a run, the surest first."""
    short = [each for each in heard if each.verdict != "clear"]
    if not short:
        return [_all_clear(softer_db)]
    known = [each.margin_db for each in short if each.margin_db is not None]
    at_least = "At least " if len(known) < len(short) else ""
    if all(each.margin_db is None for each in heard):
        said = ["Nothing arrived: see that speaker and microphone are on."]
    elif not known:
        said = ["Some cues were not found: turn the volume up, or the water down."]
    elif (lacking := CLEAR_DB - min(known) - softer_db) <= 0 and not at_least:
        return [f"As loud as in a run, {softer_db} dB louder than this, all would be clear."]
    else:
        said = [f"{at_least}{ceil(lacking)} dB are missing: turn the volume up, or the water down."]
    said.append("Move the speaker to half its distance from your head, which gives about 6 dB.")
    tilts = [each.tilt_db for each in heard if each.tilt_db is not None]
    tilt_db = float(np.median(tilts)) if tilts else 0.0
    if tilt_db > 10 and set_name != "small-speaker":
        said.append("The speaker hardly plays low tones: try the set small-speaker.")
    if tilt_db < -10 and set_name != "without-highs":
        said.append("High tones hardly arrive: try the set without-highs.")
    return said


def _all_clear(softer_db: int) -> str:
    if softer_db:
        return f"Every cue is clear, {softer_db} dB softer than a run: the volume can be lower."
    return "Every cue is clear. Leave everything as it is."
