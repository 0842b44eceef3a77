"""Which heights of rows are a strike, to the edges, and what is read from its rows."""

from types import SimpleNamespace

import numpy as np
import pytest

from darktimer.knocks.patterns import Knocked
from darktimer.knocks.spectrum import BANDS, WIDTHS, Spectrum
from darktimer.knocks.strikes import StrikeFinder, _falls, _rise
from tests.knocks import tuning_sounds
from tests.knocks.rooms import RATE, Person, learnt, noise, response

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


@pytest.mark.parametrize(
    ("places", "to", "highest"),
    [
        (range(-30, -25), 2, 2),
        (range(-7, -2), 2, 2),
        (range(-10, -6), 3.5, 3),
        ((-31,), 90, 1),
        ((-2, -1), 90, 1),
        ((-30,), 11, 3),
        ((-3,), 11, 3),
    ],
)
def test_a_row_rises_above_the_highest_mean_of_five_before_it(
    places: tuple[int, ...], to: float, highest: float
) -> None:
    """Of those from 30 to 3 rows before."""
    assert _rise(changed(heights(), *places, to=to))[AT] == pytest.approx(4 / highest)


def test_the_first_rows_have_too_few_before_them() -> None:
    rise = _rise(heights())
    assert len(rise) == 200
    assert np.flatnonzero(rise).min() == 30


@pytest.mark.parametrize(("after", "strikes"), [(2.94, True), (2.96, False)])
def test_two_thirds_of_what_a_strike_adds_have_gone_after_70_ms(
    after: float, strikes: bool
) -> None:
    """0.65 of 3 above 1 is 2.95, by the rows 35 to 44 after it."""
    assert _falls(heights(after=after), AT) is strikes
    only = changed(heights(), *range(35, 45), to=after)
    assert _falls(only, AT) is strikes


def test_a_strike_is_as_high_as_the_highest_of_its_first_eight_rows() -> None:
    left = heights(after=4.0)
    assert not _falls(left, AT)
    assert _falls(changed(left, 7, to=6.0), AT)
    assert not _falls(changed(left, 8, to=6.0), AT)


def finder(powers: np.ndarray, first: int = 0, sought: np.ndarray | None = None) -> StrikeFinder:
    """Of rows of powers that are 1 in each band where nothing else is said."""
    fake = SimpleNamespace(
        powers=powers.astype(np.float32), first=first, end=first + len(powers), step_s=0.002
    )
    return StrikeFinder(fake, sought)


def rows(*strikes: tuple[int, float], length: int = 900) -> np.ndarray:
    powers = np.ones((length, BANDS))
    for at, height in strikes:
        powers[at] = height
    return powers


@pytest.mark.parametrize(
    ("apart", "second", "found"),
    [
        (9, 29, [709]),
        (9, 27, [700]),
        (10, 9, [700, 710]),
        (20, 3.7, [700, 720]),
        (20, 3.6, [700]),
        (35, 2.1, [700, 735]),
    ],
)
def test_of_rows_within_20_ms_the_one_that_rises_most_is_a_strike(
    apart: int, second: float, found: list[int]
) -> None:
    """For 60 ms the highest mean of five before it is 2.8, and it must be 1.3 times as high."""
    strikes = finder(rows((700, 10), (700 + apart, second))).found()
    assert [round(each.at_s / 0.002) for each in strikes] == found


def test_a_strike_at_the_border_of_two_noises_is_found_once() -> None:
    """By the noise of the rows before the border the second row is higher, after it the first."""
    powers = np.ones((1200, BANDS))
    powers[500:876:2, 0], powers[876:1000, 1] = 3, 3
    powers[999:1001] = [[40] + 11 * [10], [10] + [40] + 10 * [10]]
    found = [round(each.at_s / 0.002) for each in finder(powers).found()]
    assert len([row for row in found if 990 < row < 1010]) == 1


@pytest.mark.parametrize(("height", "count"), [(1.9, 0), (2.1, 1)])
def test_a_strike_stands_clear_of_the_noise(height: float, count: int) -> None:
    assert len(list(finder(rows((700, height))).found())) == count


SOUGHT = np.where(np.arange(BANDS) < 5, 10.0, 0.01) * np.array([[1.0], [0.5], [0.1]])


def with_knocks(*placed: tuple[int, float], length: int = 900) -> np.ndarray:
    """What is sought at levels, in noise with a mean of 1 and a median that is less, as it is."""
    row = np.arange(length)[:, None]
    lower = (row % 2 == 0) | (row % 49 == 0)
    powers = 1 + np.where(lower, -1, 1) / (3 * WIDTHS)
    for at, level in placed:
        for part, begin, end in ((0, -1, 2), (1, 2, 6), (2, 6, 20)):
            powers[at + begin : at + end] += level * SOUGHT[part]
    return np.asarray(powers)


def sought_in(powers: np.ndarray) -> list[int]:
    return [round(each.at_s / 0.002) for each in finder(powers, sought=SOUGHT).found()]


@pytest.mark.parametrize("level", [0.1, 0.5, 1.0, 3.0, 10.0, 100.0])
def test_what_is_sought_is_found_where_it_begins(level: float) -> None:
    """To a row: its level is sought in steps of 4 dB."""
    (row,) = sought_in(with_knocks((700, level)))
    assert abs(row - 700) <= 1


@pytest.mark.parametrize(("material", "seed"), [("wood", 105), ("steel", 110)])
def test_knocks_in_the_tails_of_louder_ones_are_found(material: str, seed: int) -> None:
    """In a room of 1.5 s, where they hardly rise above what sounds before them."""
    rng = np.random.default_rng((seed, len(material), 15))
    person = Person(rng, tuning_sounds, material, response(rng, 1.5))
    knock = learnt(person.trial(), 1)
    assert knock
    for pattern in [*Knocked] * 2:
        _, wave = person.knocks(pattern)
        spectrum = Spectrum(RATE)
        spectrum.append(
            (wave + min(person.peaks) * 10 ** (-21 / 20) * noise(rng, len(wave))).astype(np.float32)
        )
        found_s = np.array([each.at_s for each in StrikeFinder(spectrum, knock.powers).found()])
        for at_s in np.cumsum([2.0, *person.rests]):
            assert np.abs(found_s - at_s).min() < 0.008


@pytest.mark.parametrize(("level", "count"), [(0.061, 1), (0.06, 0)])
def test_what_is_hardly_likelier_with_what_is_sought_is_none(level: float, count: int) -> None:
    """It has to be e to the 1.6 times as likely from some row on, and begins where it fits best."""
    found = list(finder(with_knocks((700, level)), sought=SOUGHT).found())
    assert len(found) == count
    assert all(0.8 < each.likelier < 0.9 for each in found)


def test_another_sound_is_not_what_is_sought() -> None:
    powers = with_knocks()
    powers[699:705, 5:] = 12
    assert sought_in(powers) == []


@pytest.mark.parametrize(("apart", "count"), [(8, 1), (10, 1), (20, 2), (30, 2)])
def test_no_two_are_within_20_ms(apart: int, count: int) -> None:
    assert len(sought_in(with_knocks((700, 1.0), (700 + apart, 10.0)))) == count


@pytest.mark.parametrize("block", [1, 7, 25, 125, 399])
def test_what_is_sought_is_found_however_the_rows_come(block: int) -> None:
    powers = with_knocks((620, 1.0), (625 + 124, 0.1), (845, 1.0))
    fake = SimpleNamespace(powers=powers[:0], first=0, end=0, step_s=0.002)
    at_once, found = finder(powers, sought=SOUGHT), []
    late = StrikeFinder(fake, SOUGHT)
    for end in range(block, 901, block):
        fake.powers, fake.end = powers[:end], end
        found += [each.at_s for each in late.found()]
    assert found == [each.at_s for each in at_once.found() if each.at_s < late.known_s]


def test_what_is_sought_is_found_up_to_70_ms_before_the_end() -> None:
    assert len(sought_in(with_knocks((498, 0.5), (560, 0.5), (869, 0.5)))) == 2
    late = finder(with_knocks((870, 0.5)), sought=SOUGHT)
    assert list(late.found()) == []
    assert late.known_s == pytest.approx(865 * 0.002)


@pytest.mark.parametrize(("at", "count"), [(1370, 1), (1380, 0)])
def test_the_noise_is_taken_anew_every_quarter_of_a_second(at: int, count: int) -> None:
    """It has grown to 4 at row 1000: half of what was heard at row 1250, and most at row 1375."""
    powers = rows(length=1600)
    powers[1000:] = 4
    powers[at] = 7
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


def test_a_strike_is_heard_as_it_begins_strikes_and_rings() -> None:
    """1.7 from 24 to 3 rows before; then 12, but in one band nothing; 6 as it strikes; 30 later."""
    powers = np.ones((900, BANDS))
    powers[675:699] = [[1.8], *[[1.7]] * 22, [1.8]]
    powers[676], powers[697] = 1.55, 1.85
    powers[699:707] = [[2.0], *[[12.0]] * 2, *[[6.0]] * 4, [30.0]]
    powers[699:706, 0] = 1
    (found,) = finder(powers).found()
    assert found.at_s == pytest.approx(1.4)
    assert found.before == pytest.approx(np.full(BANDS, 1.7), abs=1e-4)
    assert found.heard[0] == pytest.approx(np.array([1.0, *[26 / 3] * (BANDS - 1)]), abs=1e-4)
    assert found.heard[1] == pytest.approx(np.array([1.0, *[6] * (BANDS - 1)]), abs=1e-4)
    assert found.heard[2] == pytest.approx(np.full(BANDS, 43 / 14), abs=1e-4)


def test_what_sounds_before_a_strike_is_the_mean_of_the_noise_at_least() -> None:
    """A median is less than that by what so few numbers differ: a third in one, a sixth in two."""
    (found,) = finder(rows((700, 10))).found()
    assert WIDTHS.min() == 1
    assert found.before == pytest.approx(1 / (1 - 1 / (3 * WIDTHS)), abs=1e-4)


def test_how_much_likelier_a_strike_is_with_what_is_sought_is_known() -> None:
    powers = with_knocks((700, 1.0))
    (found,) = finder(powers, sought=SOUGHT).found()
    timbre = 10 * np.log10(SOUGHT / SOUGHT[0].sum())
    assert found.likelier == pytest.approx(found.fitted(timbre).likelier, rel=0.05)
    (plain,) = finder(powers).found()
    assert plain.likelier == 0
