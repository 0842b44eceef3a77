"""What is louder than any cue is noise, and what noise hides of a pulse is not missed."""

import numpy as np
import pytest

from darktimer.cues.reader import load_cue_set
from darktimer.ear.bands import bands_of
from darktimer.ear.fitting import Fitting
from darktimer.ear.tones import tones_in
from darktimer.ear.too_loud import beyond, is_much, most_of_cues
from darktimer.ear.vocabulary import vocabulary_of
from tests.ear import proof

#: Two notes that share the middle one of three bands.
SHAPES = np.array([[1.0, 1, 0], [0, 1, 1]])


def test_a_cue_has_at_most_what_its_notes_have_where_they_are_loudest() -> None:
    usual = np.array([[1.0, 2, 0], [0, 5, 1]])
    assert most_of_cues(usual, np.array([4.0, 1]), SHAPES).tolist() == [4, 8, 1]


def test_where_a_note_was_not_heard_nothing_is_too_loud() -> None:
    usual = np.array([[1.0, 2, 0], [0, 0, 0]])
    most = most_of_cues(usual, np.array([4.0, 1]), SHAPES)
    assert most.tolist() == [4, np.inf, np.inf]
    power = np.full((3, 10), 100, np.float32)
    over = beyond(power, np.ones_like(power), most)
    assert over[0].tolist() == [92] * 10
    assert not over[1:].any()


def test_chance_and_steady_noise_are_not_too_loud() -> None:
    noise = np.full((2, 5000), 3, np.float32)
    power = np.random.default_rng(1).exponential(3, noise.shape).astype(np.float32)
    assert not is_much(power, noise, np.array([10.0, 10]))
    power[0, ::50] += 200
    assert is_much(power, noise, np.array([10.0, 10]))


def test_noise_above_all_cues_is_not_too_loud_by_chance() -> None:
    power = np.array([[15.0, 25]], np.float32)
    over = beyond(power, np.full_like(power, 10), np.array([1.0]))
    assert over.tolist() == [[0, 5]]


def test_what_is_too_loud_hides_a_moment_and_no_more() -> None:
    """A knock of one frame in one band, 0.2 s before a pulse."""
    bands = bands_of(load_cue_set("standard"), 16_000)
    places = len(bands.hertz) + len(bands.quiet)
    powers = np.random.default_rng(1).exponential(1, (places, 400)).astype(np.float32)
    powers[0, 200] = 10_000
    noise = tones_in(powers, bands, most=np.full(len(bands.hertz), 10.0)).noise[0]
    hidden = np.flatnonzero(noise > 100)
    assert (hidden[0], hidden[-1]) == (195, 205)


@pytest.mark.parametrize(("over", "energy"), [(1, 1.0), (4, 0.25), (25, 0.04)])
def test_less_is_due_of_a_pulse_where_noise_is_stronger(over: float, energy: float) -> None:
    """A cue alone, in noise that is so many times the usual while it lasts: as much is due."""
    cue_set = load_cue_set("standard")
    bands = bands_of(cue_set, 16_000)
    words = vocabulary_of(cue_set, bands)
    stand = words.meanings.index("stand")
    places = len(bands.hertz) + len(bands.quiet)
    chance = np.random.default_rng(1)
    powers = chance.exponential(1, (places, 2000)).astype(np.float32)
    played = bands.powers_of(words.played([(stand, 1000.0)], 2000))
    powers[:, 950:1110] *= over
    powers[: len(played)] += 30 * played
    fitting = Fitting(tones_in(powers, bands), words)
    fit = fitting.closely(stand, np.array([1000.0]))
    assert fit.whole.all()
    left = 1 - words.sums(fitting._hidden, np.array([1000.0]), 2)[stand] / fitting._weights[stand]
    assert left == pytest.approx(energy, rel=0.2)


def test_numbers_are_told_right_beside_voices() -> None:
    """Of these four acts were lost, and three heard that nobody asked for."""
    cue_set = load_cue_set("without-highs")
    (room,) = proof.places(0.0, ["voices"])
    asked, right, false_safe = proof.act_now_score(proof.confusion(cue_set, room, 118, 6))
    assert (right, false_safe) == (asked, 0)
