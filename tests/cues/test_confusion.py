"""How far apart two sounds are, each figure worked by hand from what is published of hearing."""

from math import log

import pytest
from hypothesis import given
from hypothesis import strategies as some

from darktimer import shipped
from darktimer.cues.confusion import (
    backwards,
    clear_differences,
    likelihood,
    perceived,
)
from darktimer.cues.confusion_rules import closest_by_rhythm
from darktimer.cues.cue_set import Pulse, Voice
from darktimer.cues.margins import cue_pulses
from darktimer.cues.reader import load_cue_set

#: Every note carries alike, so that rhythm alone is compared.
FLAT = Voice((0.0, 0.0, 0.0, 0.0), 10)
NOTE = 900.0


def sound(*pulses: tuple[int, int], note: float = NOTE, level: float = -20) -> list[Pulse]:
    return [Pulse(at, length, note, level) for at, length in pulses]


def apart(one: list[Pulse], other: list[Pulse], voice: Voice = FLAT) -> float:
    both = clear_differences(perceived(one, voice), perceived(other, voice))
    assert both == pytest.approx(clear_differences(perceived(other, voice), perceived(one, voice)))
    return both


def test_a_pulse_more_or_less_is_one_difference_wherever_it_is() -> None:
    two = sound((0, 100), (200, 100))
    for three in (
        sound((0, 100), (200, 100), (400, 100)),
        sound((0, 1000), (1200, 100), (1400, 100)),
    ):
        assert apart(two, three) == pytest.approx(1, abs=0.26)


def test_in_a_row_of_six_a_pulse_counts_for_half_and_a_rest_begins_a_row() -> None:
    """Only three are counted reliably (doi 10.1037/xhp0000578)."""
    six = sound(*((200 * k, 100) for k in range(6)))
    grouped = [pulse._replace(at_ms=pulse.at_ms + 300 * (k > 2)) for k, pulse in enumerate(six)]
    assert perceived(six, FLAT).weights == pytest.approx([0.5] * 6)
    assert perceived(grouped, FLAT).weights == pytest.approx([1.0] * 6)


@pytest.mark.parametrize(("ms", "differences"), [(250, 0.0), (500, 1.0), (1000, 2.0), (4000, 2.0)])
def test_twice_as_long_is_one_difference_and_more_than_four_times_is_no_more(
    ms: int, differences: float
) -> None:
    """28 differences just noticed of 2.5 % (Friberg & Sundberg 1995) are 1.996 times."""
    assert apart(sound((0, 250)), sound((0, ms))) == pytest.approx(differences, abs=0.005)


def test_below_240_ms_six_milliseconds_are_just_noticed() -> None:
    found = apart(sound((0, 110)), sound((0, 116)))
    assert found == pytest.approx(log(116 / 110) / log(1 + 6 / 116) / 28)


def test_melody_is_half_a_difference_at_the_most_and_loudness_too() -> None:
    """By melody alone 55 % were right (Wee & Sanderson 2008)."""
    level = sound(*((200 * k, 100) for k in range(3)))
    up = [pulse._replace(frequency=NOTE * (1 + 0.05 * k)) for k, pulse in enumerate(level)]
    bent = [*level[:2], level[2]._replace(frequency=NOTE * 1.05)]
    assert apart(level, bent) == pytest.approx(0.25, abs=0.06)
    assert apart(level, up) == pytest.approx(0.5, abs=0.06)
    assert apart(level, sound(*((200 * k, 100) for k in range(3)), level=-26)) == pytest.approx(0.3)
    assert apart(level, sound(*((200 * k, 100) for k in range(3)), level=-60)) == pytest.approx(0.5)


def test_what_a_small_speaker_and_an_old_ear_lose_counts_for_less() -> None:
    """A pure note of 700 Hz is not played at all where nothing below 800 Hz is."""
    pure = Voice((0.0,), 10)
    low = [Pulse(0, 100, 900, -20), Pulse(200, 100, 700, -20)]
    assert perceived(low, pure).weights == (1.0, 0.0)
    assert apart(low, low[:1], pure) == 0
    high = [Pulse(0, 100, 1000, -20), Pulse(200, 100, 2000, -20)]
    assert perceived(high, pure).weights == pytest.approx((1, 1 - 11 / 20)), "21 and 32 dB of loss"


SOUNDS = some.lists(
    some.tuples(some.integers(100, 900), some.integers(90, 330)), min_size=1, max_size=6
)


@given(SOUNDS, SOUNDS)
def test_it_is_a_distance_and_the_same_backwards(
    first: list[tuple[int, int]], second: list[tuple[int, int]]
) -> None:
    def played(parts: list[tuple[int, int]]) -> list[Pulse]:
        at, pulses = 0, []
        for length, rest in parts:
            pulses.append((at, length))
            at += length + rest
        return sound(*pulses)

    one, other = perceived(played(first), FLAT), perceived(played(second), FLAT)
    assert clear_differences(one, one) == 0
    assert backwards(backwards(one)) == one
    assert clear_differences(one, other) >= 0
    assert clear_differences(one, other) == pytest.approx(clear_differences(other, one))


def test_who_has_to_choose_takes_the_wrong_one_half_of_the_time_where_nothing_differs() -> None:
    """Three deviations apart, 1.7 % are mistaken (the normal distribution)."""
    assert likelihood(0) == 0.5
    assert likelihood(1) == pytest.approx(0.0169, abs=0.0001)


@pytest.mark.parametrize("name", shipped.names("sounds"))
def test_an_act_is_more_than_a_pulse_from_company_by_rhythm_alone(name: str) -> None:
    """Melody and loudness left out, which an ear in the dark cannot lean on; a pulse is 1."""
    cue_set = load_cue_set(name)
    assert closest_by_rhythm(cue_set, cue_pulses(cue_set)).differences > 1.4
