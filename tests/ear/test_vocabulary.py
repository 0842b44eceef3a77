"""The tree of pulses says the same as each meaning's pulses one by one."""

import numpy as np
import pytest

from darktimer import shipped
from darktimer.cues.reader import load_cue_set
from darktimer.ear.bands import bands_of
from darktimer.ear.search import candidates
from darktimer.ear.spectrum import FRAME_MS
from darktimer.ear.tones import Tones
from darktimer.ear.vocabulary import vocabulary_of


@pytest.mark.parametrize("name", shipped.names("sounds"))
def test_the_tree_sums_what_the_pulses_say(name: str) -> None:
    cue_set = load_cue_set(name)
    words = vocabulary_of(cue_set, bands_of(cue_set, 48_000))
    assert list(words.meanings) == cue_set.meanings()
    rng = np.random.default_rng(5)
    responses = rng.standard_normal((len(words.kinds), 3000)).astype(np.float32)
    starts = np.array([0.0, 17.25, 400.5, 2990.0])
    sums, energies = words.sums(responses, starts), words.sums(responses, starts, 2)
    for number in rng.choice(len(words.meanings), 60, replace=False):
        alone = words.pulses(responses, int(number), starts).sum(axis=0)
        assert sums[number] == pytest.approx(alone, abs=1e-3)
        alone = words.pulses(responses, int(number), starts, 2).sum(axis=0)
        assert energies[number] == pytest.approx(alone, abs=1e-3)


def test_what_noise_hides_of_a_pulse_is_its_energy_less_what_it_leaves() -> None:
    """Noise that leaves a fifth of the amplitude hides 24 of 25 parts; none hides nothing."""
    words = vocabulary_of(cue_set := load_cue_set("standard"), bands_of(cue_set, 48_000))
    energies = words.note_energies.sum(axis=1)
    start = np.array([100.0])
    for left, hidden in ((1.0, 0.0), (0.2, 0.96)):
        reach = np.full((len(words.loudest), 8000), left, np.float32)
        gone = words.sums(words.responses(1 - reach**2, exponent=2), start, 2)[:, 0]
        assert gone == pytest.approx(hidden * energies, rel=0.01, abs=1e-3)


@pytest.mark.parametrize("name", shipped.names("sounds"))
def test_bands_hold_every_note_and_quiet_places_none(name: str) -> None:
    cue_set = load_cue_set(name)
    bands = bands_of(cue_set, 48_000)
    resolution = 1000 / bands.window_ms
    partials = [hz for note in bands.notes for hz, _ in cue_set.voice.partials(note)]
    for hertz in partials:
        assert np.abs(bands.hertz - hertz).min() < resolution
        assert np.abs(bands.quiet - hertz).min() > 2 * resolution
    assert np.linalg.norm(bands.shapes, axis=1) == pytest.approx(1)
    assert bands.beside.sum(axis=1) == pytest.approx(1)


@pytest.mark.parametrize("meaning", ["move", "lift", "sheet"])
@pytest.mark.parametrize("name", shipped.names("sounds"))
def test_a_short_cue_is_found_though_its_first_pulse_is_hidden(name: str, meaning: str) -> None:
    """An echo or a voice over the first pulse, by which it was looked for, hid it altogether."""
    words = vocabulary_of(cue_set := load_cue_set(name), bands_of(cue_set, 48_000))
    number = words.meanings.index(meaning)
    clarity = 10 * np.sqrt(words.played([(number, 100.0)], 400))
    second_ms = words.paths[number][1].at_ms
    clarity[:, : 100 + second_ms // FRAME_MS - words.lead_frames] = 0
    strongest = np.maximum(clarity.max(axis=0) ** 2 - 4, 0)
    tones = Tones(clarity, np.ones_like(clarity), strongest, clarity, clarity)
    starts = [one.start for one in candidates(tones, words) if one.meaning == number]
    assert starts == [pytest.approx(100, abs=2)]
