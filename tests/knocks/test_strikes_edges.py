"""Which heights of rows are a strike, to the edges, and what is read from its rows."""

from types import SimpleNamespace

import numpy as np
import pytest

from darktimer.knocks.spectrum import BANDS, Spectrum
from darktimer.knocks.strikes import StrikeFinder, _is_strike

AT = 100


def heights(before: float = 1.0, at: float = 4.0, after: float = 1.0) -> np.ndarray:
    """Rows of one height before a strike and after it; the strike lasts ten rows."""
    rows = np.full(200, before)
    rows[AT:], rows[AT : AT + 10] = after, at
    return rows


def changed(rows: np.ndarray, *places: int, to: float) -> np.ndarray:
    rows = rows.copy()
    rows[[AT + place for place in places]] = to
    return rows


@pytest.mark.parametrize(("before", "strikes"), [(2.66, True), (2.67, False)])
def test_a_strike_stands_half_as_high_again_above_what_was_before(
    before: float, strikes: bool
) -> None:
    """Above the highest mean of five rows in a row, of those from 30 to 3 before it."""
    early = changed(heights(), *range(-30, -25), to=before)
    late = changed(heights(), *range(-7, -2), to=before)
    assert _is_strike(early, AT) is _is_strike(late, AT) is strikes


def test_what_is_too_early_too_late_or_too_short_hides_no_strike() -> None:
    hidden = [_is_strike(changed(heights(), at, to=30.0), AT) for at in (-31, -30, -3, -2)]
    assert hidden == [True, False, False, True]
    assert _is_strike(changed(heights(), *range(-10, -6), to=3.0), AT)  # four rows: 2.6
    assert not _is_strike(changed(heights(), *range(-10, -6), to=3.2), AT)


@pytest.mark.parametrize(("after", "strikes"), [(2.94, True), (2.96, False)])
def test_two_thirds_of_what_a_strike_adds_have_gone_after_70_ms(
    after: float, strikes: bool
) -> None:
    """0.65 of 3 above 1 is 2.95, by the rows 35 to 44 after it."""
    assert _is_strike(heights(after=after), AT) is strikes
    only = changed(heights(), *range(35, 45), to=after)
    assert _is_strike(only, AT) is strikes


def test_a_strike_is_as_high_as_the_highest_of_its_first_eight_rows() -> None:
    left = heights(after=4.0)
    assert not _is_strike(left, AT)
    assert _is_strike(changed(left, 7, to=6.0), AT)
    assert not _is_strike(changed(left, 8, to=6.0), AT)


def finder(powers: np.ndarray, first: int = 0) -> StrikeFinder:
    """Of rows of powers that are 1 in each band where nothing else is said."""
    real = Spectrum(16_000)
    fake = SimpleNamespace(
        powers=powers.astype(np.float32),
        first=first,
        end=first + len(powers),
        step_s=real.step_s,
        widths=real.widths,
    )
    return StrikeFinder(fake)


def rows(*strikes: tuple[int, float], length: int = 900) -> np.ndarray:
    powers = np.ones((length, BANDS))
    for at, height in strikes:
        powers[at] = height
    return powers


@pytest.mark.parametrize(
    ("apart", "second", "count"),
    [(45, 10, 2), (44, 10, 1), (30, 20.5, 2), (30, 19.5, 1), (12, 20.5, 2)],
)
def test_a_second_strike_comes_90_ms_later_or_is_twice_as_high(
    apart: int, second: float, count: int
) -> None:
    found = list(finder(rows((700, 10), (700 + apart, second))).found())
    assert [round(each.at_s / 0.002) for each in found] == [700, 700 + apart][:count]


@pytest.mark.parametrize(("height", "count"), [(2.7, 0), (2.9, 1)])
def test_a_strike_stands_clear_of_the_noise(height: float, count: int) -> None:
    assert len(list(finder(rows((700, height))).found())) == count


@pytest.mark.parametrize(("at", "count"), [(1370, 1), (1380, 0)])
def test_the_noise_is_taken_anew_every_quarter_of_a_second(at: int, count: int) -> None:
    """It has grown to 4 at row 1000: half of what was heard at row 1250, and most at row 1375."""
    powers = rows(length=1600)
    powers[1000:] = 4
    powers[at] = 10
    assert len(list(finder(powers).found())) == count


def test_a_strike_is_found_in_its_row_where_the_first_were_forgotten() -> None:
    late = finder(rows((700, 10)), first=1000)
    late._next = 1600
    assert [round(each.at_s / 0.002) for each in late.found()] == [1700]


def test_strikes_are_found_from_the_second_second_to_90_ms_before_the_end() -> None:
    many = finder(rows((499, 10), (500 + 60, 10), (854, 10), length=900))
    assert [round(each.at_s / 0.002) for each in many.found()] == [560, 854]
    assert many.known_s == pytest.approx(855 * 0.002)
    assert list(finder(rows((855, 10), length=900)).found()) == []


def test_a_strike_is_what_it_adds_to_the_rows_before_it() -> None:
    """Twice the noise from 9 to 3 rows before; then 12, but in one band nothing; 30 as it rings."""
    powers = np.ones((900, BANDS))
    powers[690:699] = [[2.5], *[[2.0]] * 7, [2.5]]
    powers[691], powers[697] = 1.3, 2.7
    powers[699:707] = [[2.0], *[[12.0]] * 6, [30.0]]
    powers[699:706, 0] = 1
    (found,) = finder(powers).found()
    own = np.array([0.2, *[74 / 7 - 2] * 5])
    assert found.level_db == pytest.approx(10 * np.log10(own.sum()), abs=1e-4)
    both = np.array([own, [43 / 14 - 2] * 6]) / own.sum()
    assert found.timbre.bands_db == pytest.approx(10 * np.log10(both), abs=1e-4)
    assert found.timbre.noise_db == pytest.approx(
        np.full((2, 6), 10 * np.log10(2 / own.sum())), abs=1e-4
    )
