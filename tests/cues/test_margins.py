"""What is measured on pulses, each figure worked by hand."""

import pytest

from darktimer.cues.cue_set import CueSet, Pulse, Voice
from darktimer.cues.margins import (
    Pair,
    cue_pulses,
    loudness_of_cue,
    notes,
    pairs,
    rhythm,
    share,
    steps_apart,
)


def sound(*tones: tuple[int, int]) -> tuple[Pulse, ...]:
    return tuple(Pulse(at, length, 500, -20) for at, length in tones)


def test_a_rhythm_is_lengths_and_then_intervals() -> None:
    assert rhythm(sound((0, 100), (200, 150), (500, 90))) == [100, 150, 90, 200, 300]


def test_only_cues_of_as_many_pulses_are_a_pair() -> None:
    """Of 100, 100, 200 ms against 120, 100, 250 ms the largest ratio is 1.25, either way round."""
    one, other = sound((0, 100), (200, 100)), sound((0, 120), (250, 100))
    assert list(pairs({"a": one, "b": sound((0, 100)), "c": other})) == [Pair(1.25, "a", "c")]
    assert list(pairs({"a": other, "c": one})) == [Pair(1.25, "a", "c")]


def test_a_pulse_more_or_less_is_one_step_wherever_it_is() -> None:
    long, short = sound((0, 100), (200, 100), (400, 100)), sound((0, 100), (200, 100))
    assert steps_apart(long, short) == pytest.approx(1)
    assert steps_apart(short, long) == pytest.approx(1)
    first_longer = sound((0, 1000), (1200, 100), (1400, 100))
    assert steps_apart(first_longer, short) == pytest.approx(1)
    assert steps_apart(short, first_longer) == pytest.approx(1)
    middle_longer = sound((0, 100), (200, 1000), (1400, 100))
    assert steps_apart(middle_longer, short) == pytest.approx(1)
    assert steps_apart(short, middle_longer) == pytest.approx(1)


def test_of_length_and_way_the_larger_change_counts() -> None:
    """1.5 and 1.5 x 1.5 times make two steps; the way of the last pulse is its length."""
    assert steps_apart(sound((0, 100), (200, 60)), sound((0, 150), (450, 60))) == pytest.approx(2)
    assert steps_apart(sound((0, 200)), sound((0, 450))) == pytest.approx(2)


def test_a_cue_of_two_pulses_has_the_power_of_both() -> None:
    """200 ms at -20 and 200 ms at -10 dB within 1 s: 0.2 (0.01 + 0.1) / 1 is -16.58 dB."""
    cue = (Pulse(0, 200, 500, -20), Pulse(800, 200, 500, -10))
    assert loudness_of_cue(Voice((0.0,), 0), cue) == pytest.approx(-16.576, abs=0.001)


def test_a_share_is_of_power_and_holds_both_ends() -> None:
    """Amplitudes of 1, 2 and 3 are powers of 1, 4 and 9."""
    partials = [(100.0, 1.0), (200.0, 2.0), (300.0, 3.0)]
    assert share(partials, 100, 200) == pytest.approx(5 / 14)
    assert share(partials, 101, 299) == pytest.approx(4 / 14)


def test_a_note_belongs_to_the_first_that_uses_it() -> None:
    high = (Pulse(0, 100, 500, 0), Pulse(200, 100, 600, 0))
    assert notes({"a": sound((0, 100)), "b": high}) == {500: "a", 600: "b"}


def test_the_enter_cue_is_judged_without_a_bath_too(standard: CueSet) -> None:
    cues = cue_pulses(standard)
    assert set(cues) == {"enter", *standard.meanings()}
    assert [pulse.length_ms for pulse in cues["enter"]] == [260, 110, 260]
