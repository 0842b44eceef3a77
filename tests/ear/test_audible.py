"""Cues in synthetic rooms, and how far above the noise they are said to be.

The noise is tap noise, after the octave figures that the tap has, and margins are held against
levels in thirds of an octave that scipy's filters measure on speaker and noise apart from each
other. 13 dB in a third of an octave is the figure quoted for ISO 7731:2003.
"""

from math import ceil

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.signal import butter, sosfilt

from darktimer.cues.reader import load_cue_set
from darktimer.cues.tone import Samples
from darktimer.ear.audible import Audible, advice, audible
from darktimer.learn.sounds import Sounds
from darktimer.learn.tap import tap_noise

RATE = 48_000
STANDARD = load_cue_set("standard")
ACT_NOW = ["enter-develop", "move", "stand", "lift", "light-safe", "alarm"]
Wave = NDArray[np.float64]


def played(meaning: str) -> Samples:
    return Sounds(STANDARD, seed=0).alone(meaning)


def tap(seconds: float, loud: float, seed: int) -> Wave:
    return loud * tap_noise(round(seconds * RATE), RATE, seed)


def in_room(
    sound: Wave, loud: float, seed: int, delay_s: float = 0.31, echo: float = 0.0
) -> Samples:
    """What a microphone hears of a sound in tap noise, with an echo 23 ms later."""
    room = tap(len(sound) / RATE + 1.0, loud, seed)
    for late_s, gain in ((0.0, 1.0), (0.023, echo)):
        start = round((delay_s + late_s) * RATE)
        room[start : start + len(sound)] += gain * sound
    return np.rint(room).astype(np.int16)


def judged(meaning: str, loud: float, gain: float = 1.0, seed: int = 1, **room: float) -> Audible:
    sent = played(meaning)
    heard = in_room(sent * gain, loud, seed, **room)
    noise = np.rint(tap(3, loud, seed + 100)).astype(np.int16)
    return audible(meaning, STANDARD.pulses(meaning), STANDARD.voice, sent, heard, noise, RATE)


def third(wave: Wave, centre: float) -> float:
    """The mean square in a third of an octave."""
    edges = [centre / 2 ** (1 / 6), centre * 2 ** (1 / 6)]
    return float((sosfilt(butter(4, edges, "bandpass", fs=RATE, output="sos"), wave) ** 2).mean())


@pytest.mark.parametrize("meaning", ACT_NOW)
@pytest.mark.parametrize("loud", [30.0, 100.0])
def test_the_margin_is_that_of_the_best_band_of_the_weakest_pulse(
    meaning: str, loud: float
) -> None:
    noise, expected = tap(10, loud, 7), []
    for pulse in STANDARD.pulses(meaning):
        begin, end = ((pulse.at_ms + ms) * RATE // 1000 for ms in (16, pulse.length_ms - 16))
        held = np.tile(played(meaning)[begin:end].astype(np.float64), 4)
        partials = [hertz for hertz, _ in STANDARD.voice.partials(pulse.frequency)]
        expected.append(
            max(10 * np.log10(third(held, hertz) / third(noise, hertz)) for hertz in partials)
        )
    found = judged(meaning, loud)
    assert found.margin_db == pytest.approx(min(expected), abs=3)


def test_ten_decibels_more_noise_are_ten_decibels_less_margin() -> None:
    margins = [judged("move", loud).margin_db for loud in (30, 30 * 10**0.5, 300)]
    assert margins[0] - margins[1] == pytest.approx(10, abs=1.5)
    assert margins[1] - margins[2] == pytest.approx(10, abs=1.5)


@pytest.mark.parametrize(("gain", "verdict"), [(1.0, "clear"), (0.3, "weak"), (0.05, "covered")])
def test_the_verdict_follows_the_level(gain: float, verdict: str) -> None:
    assert judged("move", 1000, gain=gain).verdict == verdict


@pytest.mark.parametrize("delay_s", [0.0, 0.2, 0.9])
def test_how_late_it_arrives_does_not_matter(delay_s: float) -> None:
    assert judged("stand", 100, delay_s=delay_s).margin_db == pytest.approx(
        judged("stand", 100).margin_db, abs=1.5
    )


def test_an_echo_hardly_matters() -> None:
    plain, echoed = judged("lift", 100), judged("lift", 100, echo=0.5)
    assert echoed.margin_db == pytest.approx(plain.margin_db, abs=6)
    assert echoed.verdict == plain.verdict


@pytest.mark.parametrize("seed", range(5))
def test_a_cue_that_was_not_played_is_not_found(seed: int) -> None:
    found = judged("alarm", 300, gain=0.0, seed=seed)
    assert (found.margin_db, found.verdict) == (None, "covered")


def test_in_digital_silence_nothing_is_found_and_what_is_played_stands_out() -> None:
    assert judged("move", 0, gain=0.0).margin_db is None
    assert judged("move", 0).margin_db == 60


def test_advice_names_what_is_missing_and_the_set_that_suits() -> None:
    assert advice([judged("move", 100)], "standard")[0].endswith("Leave everything as it is.")
    assert "12 dB softer than a run" in advice([judged("move", 100)], "standard", 12)[0]
    weak = judged("move", 1000, gain=0.3)
    assert f"{ceil(13 - weak.margin_db)} dB are missing" in advice([weak], "standard")[0]
    assert not any("the set" in line for line in advice([weak], "standard"))
    assert "would be clear" in advice([weak], "standard", softer_db=12)[0]
    lost = judged("move", 300, gain=0.0)
    assert advice([lost], "standard")[0].startswith("Nothing arrived: see that speaker")
    assert advice([lost, weak], "standard")[0].startswith("At least")
    assert advice([lost, judged("move", 100)], "standard")[0].startswith("Some cues were not found")


@pytest.mark.parametrize(
    ("kind", "suits"), [("highpass", "small-speaker"), ("lowpass", "without-highs")]
)
def test_what_a_speaker_leaves_out_tells_which_set_to_take(kind: str, suits: str) -> None:
    sent = played("light-safe")
    thin = sosfilt(butter(3, 1000, kind, fs=RATE, output="sos"), sent.astype(np.float64))
    noise = np.rint(tap(3, 20, 100)).astype(np.int16)
    pulses = STANDARD.pulses("light-safe")
    heard = in_room(thin, 20, seed=1)
    found = audible("light-safe", pulses, STANDARD.voice, sent, heard, noise, RATE)
    covered = found._replace(margin_db=5.0)
    assert any(f"the set {suits}" in line for line in advice([covered], "standard"))
    assert not any("the set" in line for line in advice([covered], suits))
