"""The tree of pulses says the same as each meaning's pulses one by one."""

import numpy as np
import pytest

from darktimer import shipped
from darktimer.cues.reader import load_cue_set
from darktimer.ear.bands import bands_of
from darktimer.ear.vocabulary import vocabulary_of


@pytest.mark.parametrize("name", shipped.names("sounds"))
def test_the_tree_sums_what_the_pulses_say(name: str) -> None:
    cue_set = load_cue_set(name)
    words = vocabulary_of(cue_set, bands_of(cue_set, 48_000))
    assert list(words.meanings) == cue_set.meanings()
    rng = np.random.default_rng(5)
    responses = rng.standard_normal((len(words.kinds), 3000)).astype(np.float32)
    starts = np.array([0.0, 17.25, 400.5, 2990.0])
    sums = words.sums(responses, starts)
    for number in rng.choice(len(words.meanings), 60, replace=False):
        alone = words.pulses(responses, int(number), starts).sum(axis=0)
        assert sums[number] == pytest.approx(alone, abs=1e-3)


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
