"""The weighting of ITU-R BS.1770 at its two ends and where it is read (figures from memory)."""

from math import log10

import pytest

from darktimer.cues.loudness import loudness_lufs, weight


def test_the_weighting_takes_away_what_is_low_and_adds_4_db_to_what_is_high() -> None:
    """A high-pass of second order at 38 Hz with Q of one half: 6 dB at 38 Hz, 40 dB a decade."""
    assert 10 * log10(weight(38.1)) == pytest.approx(-6.02, abs=0.05)
    assert 10 * log10(weight(0.381)) == pytest.approx(-80, abs=0.05)
    assert 10 * log10(weight(20_000)) == pytest.approx(4.0, abs=0.05)
    assert 10 * log10(weight(997)) == pytest.approx(0.691, abs=0.01)


def test_the_shelf_rises_by_half_of_its_4_db_at_1500_hz() -> None:
    assert 10 * log10(weight(300)) == pytest.approx(0, abs=0.15)
    assert 10 * log10(weight(1500)) == pytest.approx(2.0, abs=0.4)


def test_powers_add_up() -> None:
    """A full-scale sine of 997 Hz reads -3.01; ten times less is -20 dB, two make +3.01 dB."""
    assert loudness_lufs([(997, 1.0)]) == pytest.approx(-3.01, abs=0.01)
    assert loudness_lufs([(997, 0.1)]) == pytest.approx(-23.01, abs=0.01)
    assert loudness_lufs([(997, 0.1), (997, 0.1)]) == pytest.approx(-20, abs=0.01)
