"""What of some strikes is a pattern, to the edges: of strikes and a spectrum made up for it."""

from types import SimpleNamespace

import numpy as np
import pytest

from darktimer.knocks.detector import Condition, KnockDetector, _is_near, _rhythm
from darktimer.knocks.patterns import Knocked
from darktimer.knocks.strikes import Strike, Timbre

BANDS = np.full((2, 6), -10 * np.log10(6))
QUIET = Timbre(BANDS, np.full((2, 6), -60.0))
#: Three quick knocks and one after a longer rest; the last of them 0.8 s after the first.
MOMENTS = (2.0, 2.2, 2.4, 2.8)


def strike(at_s: float, level_db: float = -30.0, timbre: Timbre = QUIET) -> Strike:
    return Strike(at_s, level_db, timbre)


FOUR = [strike(at_s) for at_s in MOMENTS]


def spectrum(power: float = 1e-9, loud: int = 0) -> SimpleNamespace:
    """Of each hundred rows so many are loud."""
    asked: list[tuple[float, float]] = []

    def total(from_s: float, to_s: float) -> np.ndarray:
        asked.append((from_s, to_s))
        return np.repeat([power, 1.0], [100 - loud, loud])

    return SimpleNamespace(total=total, asked=asked)


def pattern(strikes: list[Strike], power: float = 1e-9) -> Knocked | None:
    detector = KnockDetector(16_000)
    detector._strikes, detector._spectrum = sorted(strikes), spectrum(power)
    (last,) = [each for each in strikes if each.at_s == MOMENTS[-1]]
    heard = detector._pattern(last)
    return heard.pattern if heard else None


def test_what_is_near_is_as_long_as_a_pattern_and_its_quiet_and_no_softer_than_a_spread() -> None:
    last = strike(10.0)
    near = [_is_near(strike(10 + off_s), last) for off_s in (-2.26, -2.24, 0, 0.24, 0.26)]
    assert near == [False, True, True, True, False]
    assert _is_near(strike(9, -41.9), last)
    assert not _is_near(strike(9, -42.1), last)


def test_a_rhythm_is_the_last_four_after_a_rest() -> None:
    heard = _rhythm(FOUR)
    assert heard
    assert (heard.pattern, heard.at_s, heard.strikes) == (Knocked.GO_ON, 2.8, tuple(FOUR))
    assert _rhythm([strike(1.0), strike(1.44), *FOUR])
    assert _rhythm([strike(1.0), strike(1.46), *FOUR]) is None
    assert _rhythm([strike(1.46), strike(1.7), *FOUR]) is None


def test_two_softer_strikes_may_be_among_the_knocks() -> None:
    softer = [strike(at_s, -35.0) for at_s in (2.1, 2.3, 2.5)]
    assert pattern(FOUR) is Knocked.GO_ON
    assert pattern([*FOUR, *softer[:2]]) is Knocked.GO_ON
    assert pattern([*FOUR, *softer]) is None
    assert pattern([*FOUR, strike(2.9)]) is None
    assert pattern(FOUR[1:]) is None


@pytest.mark.parametrize(("softest_db", "heard"), [(-41.9, True), (-42.1, False)])
def test_the_loudest_knock_is_no_further_from_the_softest_than_a_spread(
    softest_db: float, heard: bool
) -> None:
    """The softest is the last, so that all others bear on it."""
    four = [*FOUR[:3], strike(2.8, softest_db)]
    assert (pattern(four) is Knocked.GO_ON) is heard


@pytest.mark.parametrize(("off_db", "heard"), [(6.6, True), (6.7, False)])
def test_the_knocks_of_one_hand_are_alike(off_db: float, heard: bool) -> None:
    """One of four lies three quarters of its distance from their mean; 5 dB are allowed."""
    other = strike(2.2, timbre=QUIET._replace(bands_db=BANDS + off_db))
    assert (pattern([FOUR[0], other, *FOUR[2:]]) is Knocked.GO_ON) is heard


@pytest.mark.parametrize(("power_db", "heard"), [(-24.6, True), (-24.4, False)])
def test_what_sounds_between_the_knocks_is_little_louder_than_the_softest(
    power_db: float, heard: bool
) -> None:
    """The softest has -30 dB, and 5.5 dB more are allowed."""
    assert (pattern(FOUR, 10 ** (power_db / 10)) is Knocked.GO_ON) is heard


@pytest.mark.parametrize(("noise_db", "heard"), [(0.9, True), (1.1, False)])
def test_knocks_are_hardly_below_the_noise(noise_db: float, heard: bool) -> None:
    """By 1 dB at most: the noise is that of six bands together."""
    timbre = Timbre(BANDS, BANDS + noise_db)
    four = [strike(each.at_s, timbre=timbre) for each in FOUR]
    assert (pattern(four) is Knocked.GO_ON) is heard


@pytest.mark.parametrize(("loud", "quiet"), [(9, True), (10, False)])
def test_a_tenth_of_the_quiet_may_be_loud(loud: int, quiet: bool) -> None:
    detector, heard = KnockDetector(16_000), _rhythm(FOUR)
    detector._spectrum = spectrum(loud=loud)
    assert heard
    assert detector._is_in_quiet(heard) is quiet


def test_quiet_is_asked_for_before_between_and_after_the_knocks() -> None:
    detector, heard = KnockDetector(16_000), _rhythm(FOUR)
    detector._spectrum = spectrum()
    assert heard
    assert detector._is_in_quiet(heard)
    spans = [(1.45, 1.99), (2.1, 2.19), (2.3, 2.39), (2.5, 2.79), (2.9, 3.04)]
    assert np.array(detector._spectrum.asked) == pytest.approx(np.array(spans))


def test_strikes_are_remembered_for_two_patterns_and_wait_for_the_quiet_after_them() -> None:
    detector = KnockDetector(16_000)
    detector._finder = SimpleNamespace(known_s=10.0)
    detector._take([strike(at_s) for at_s in (5.4, 5.6, 9.74, 9.76)])
    assert [each.at_s for each in detector._strikes] == [5.6, 9.74, 9.76]
    assert [each.at_s for each in detector._over()] == [5.4, 5.6, 9.74]
    assert [each.at_s for each in detector._waiting] == [9.76]


@pytest.mark.parametrize(
    ("rows", "moved", "clipped", "condition"),
    [
        (1000, (), (), Condition.NOTHING),
        (999, (), (), Condition.FINE),
        (1500, (499,), (), Condition.NOTHING),
        (1500, (500,), (), Condition.FINE),
        (1500, (1499,), (1498, 1499), Condition.FINE),
        (1500, (1499,), (500, 700, 1499), Condition.CLIPPING),
        (1500, (1499,), (499, 700, 1499), Condition.FINE),
    ],
)
def test_a_microphone_is_judged_by_its_last_two_seconds(
    rows: int, moved: tuple[int, ...], clipped: tuple[int, ...], condition: Condition
) -> None:
    """A thousand rows: all still is nothing, and more than two clipped are too many."""
    detector, numbers = KnockDetector(16_000), np.arange(rows)
    detector._spectrum = SimpleNamespace(
        moved=np.isin(numbers, moved), clipped=np.isin(numbers, clipped).astype(float)
    )
    assert detector.condition is condition


@pytest.mark.parametrize(("softer_db", "told"), [(1.9, None), (2.0, Knocked.GO_ON)])
def test_of_an_even_row_no_strike_is_left_out_for_being_hardly_softer(
    softer_db: float, told: Knocked | None
) -> None:
    """A drop each fifth of a second: without the fourth, three quick ones and one after a rest."""
    assert pattern([*FOUR, strike(2.6, -30.0 - softer_db)]) is told
