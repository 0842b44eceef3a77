"""What is measured on pulses, each figure worked by hand."""

import pytest

from darktimer.cues.cue_set import Pulse, Voice
from darktimer.cues.margins import can_meet, loudness_of_cue, notes, share


def sound(*tones: tuple[int, int]) -> tuple[Pulse, ...]:
    return tuple(Pulse(at, length, 500, -20) for at, length in tones)


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


@pytest.mark.parametrize(
    ("one", "other", "meet"),
    [
        ("enter-3", "here-fix", False),
        ("enter-3", "enter-fix", False),
        ("here-3", "enter-12", True),
        ("enter", "enter-fix", True),
        ("tally-3", "here-fix", True),
    ],
)
def test_one_plan_tells_baths_in_one_way(one: str, other: str, meet: bool) -> None:
    assert can_meet(one, other) is can_meet(other, one) is meet
