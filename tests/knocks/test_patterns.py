"""Which rests mean what, to the edges; what of a pattern is a person's own."""

import numpy as np
import pytest
from scipy.special import gammaln
from scipy.stats import gamma

from darktimer.knocks.learning import Knock, learn
from darktimer.knocks.patterns import Knocked, KnocksHeard, meant, rests_between
from darktimer.knocks.spectrum import WIDTHS
from darktimer.knocks.strikes import Strike
from tests.knocks.strikes_made import TIMBRE, strike

KNOCK = Knock(0.2, 0.4, -30.0, TIMBRE)


def pattern(
    rests: tuple[float, ...] = (0.2, 0.2, 0.4),
    levels_db: tuple[float, ...] = 4 * (-30.0,),
    timbre: np.ndarray = TIMBRE,
    noise_db: float = -90.0,
    knocked: Knocked = Knocked.GO_ON,
) -> KnocksHeard:
    moments = np.cumsum([1.0, *rests]).tolist()
    made = zip(moments, levels_db, strict=True)
    strikes = tuple(strike(at_s, level_db, timbre, noise_db) for at_s, level_db in made)
    return KnocksHeard(knocked, moments[-1], strikes)


@pytest.mark.parametrize(
    ("rests", "expected"),
    [
        ((0.2, 0.2, 0.4), Knocked.GO_ON),
        ((0.4, 0.2, 0.2), Knocked.WHERE),
        ((0.2, 0.4, 0.2), None),
        ((0.2, 0.2, 0.2), None),
        ((0.4, 0.4, 0.2), None),
        ((0.11, 0.11, 0.2), Knocked.GO_ON),
        ((0.109, 0.11, 0.2), None),
        ((0.3, 0.3, 0.55), Knocked.GO_ON),
        ((0.3, 0.3, 0.551), None),
        ((0.2, 0.2, 0.281), Knocked.GO_ON),
        ((0.2, 0.2, 0.279), None),
        ((0.2, 0.269, 0.4), Knocked.GO_ON),
        ((0.2, 0.271, 0.4), None),
        ((0.25, 0.25, 0.35), Knocked.GO_ON),  # 1.4 times as long, to the bit
        ((0.25, 0.3375, 0.5), Knocked.GO_ON),  # 1.35 times
    ],
)
def test_rests_mean_something_within_their_edges(
    rests: tuple[float, ...], expected: Knocked | None
) -> None:
    assert meant(rests) is expected


@pytest.mark.parametrize("rests", [(0.2, 0.4), (0.2, 0.2, 0.4, 0.4)])
def test_a_pattern_has_three_rests(rests: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="zip"):
        meant(rests)


def test_a_pattern_has_a_short_rest_and_a_long_one() -> None:
    heard = pattern((0.18, 0.22, 0.4))
    assert heard.short_and_long_s == pytest.approx((0.2, 0.4))
    assert rests_between(heard.strikes) == heard.rests_s == pytest.approx((0.18, 0.22, 0.4))
    assert (heard.long, heard._replace(pattern=Knocked.WHERE).long) == (
        (False, False, True),
        (True, False, False),
    )


@pytest.mark.parametrize(
    ("heard", "strange"),
    [
        (pattern(), 0),
        (pattern((0.4, 0.2, 0.2), knocked=Knocked.WHERE), 0),
        (pattern((0.2 * np.exp(0.093), 0.2 * np.exp(0.093), 0.4 * np.exp(0.093))), 1),
        (pattern((0.2 * np.exp(-0.186), 0.2 * np.exp(-0.186), 0.4 * np.exp(-0.186))), 4),
        (pattern((0.2 * np.exp(0.088), 0.2 * np.exp(-0.088), 0.4)), 2),
        (pattern(levels_db=4 * (-26.0,)), (4 / 3.3) ** 2),
        (pattern(levels_db=4 * (-34.0,)), (4 / 3.3) ** 2),
        (pattern(levels_db=(-26.0, -34.0, -30.0, -30.0)), 2 * (4 / 4.3) ** 2),
    ],
)
def test_what_differs_from_a_persons_own_adds_up(heard: KnocksHeard, strange: float) -> None:
    """Pace, rhythm, level and its spread, each in what one hand's do."""
    assert KNOCK.strangeness(heard) == pytest.approx(strange, rel=0.03, abs=0.01)


def test_knocks_that_are_unlike_the_timbre_make_a_pattern_strange() -> None:
    """Each by the square of how far it is from it, in what one hand's are."""
    heard = pattern(timbre=TIMBRE + np.array([[2.0], [-2.0], [2.0]]) * np.tile((1, -1), 6))
    unlike = [each.fitted(TIMBRE).unlike for each in heard.strikes]
    assert 0.2 < unlike[0] < 3
    strange = sum((each / 0.72) ** 2 for each in unlike)
    assert KNOCK.strangeness(heard) == pytest.approx(strange, abs=0.02)  # it is a little louder


def test_noise_hides_what_is_strange_in_a_timbre() -> None:
    off = TIMBRE + np.array([[0.0], [0.0], [12.0]])
    assert KNOCK.strangeness(pattern(timbre=off)) > 10
    plain, hidden = (strike(1.0, timbre=off, noise_db=each) for each in (-90.0, -36.0))
    assert plain.fitted(TIMBRE).unlike > 2
    assert hidden.fitted(TIMBRE).unlike < 1


@pytest.mark.parametrize(
    ("level_db", "likely"), [(-30, True), (-44.8, True), (-44.9, False), (-60, False)]
)
def test_what_stands_above_the_noise_is_likelier_with_a_knock(
    level_db: float, likely: bool
) -> None:
    """The noise is at -50 dB in each of twelve bands, as loud as the knock at -39."""
    assert (strike(1.0, level_db, noise_db=-50.0).fitted(TIMBRE).likelier > 1.6) is likely


def test_another_sound_is_not_likelier_with_a_knock() -> None:
    high = np.where(np.arange(12) < 6, -60.0, -8.0) + np.zeros((3, 1))
    low = np.where(np.arange(12) < 6, -8.0, -60.0) + np.zeros((3, 1))
    assert strike(1.0, -30.0, high, -60.0).fitted(high).likelier > 1.6
    assert strike(1.0, -30.0, low, -60.0).fitted(high).likelier < 1.6


def test_what_is_sought_is_as_loud_as_was_learnt() -> None:
    assert 10 * np.log10(KNOCK.powers) == pytest.approx(TIMBRE - 30)


@pytest.mark.parametrize("noise_db", [-60.0, -45.0, -38.5])
def test_knocks_that_are_hardly_likelier_than_noise_make_a_pattern_strange(noise_db: float) -> None:
    """By the square of the logarithm of what each lacks of 12, in 0.4."""
    heard = pattern(noise_db=noise_db)
    likelier = heard.strikes[0].fitted(TIMBRE).likelier
    fainter = 4 * (max(0.0, np.log(12 / likelier)) / 0.4) ** 2
    assert KNOCK.strangeness(heard) == pytest.approx(fainter, abs=0.1)


def test_a_knock_is_read_as_it_was_written_and_no_other() -> None:
    read = Knock.from_json(KNOCK.as_json())
    assert read._replace(timbre=0) == KNOCK._replace(timbre=0)
    assert (read.timbre == TIMBRE).all()
    with pytest.raises(ValueError, match="reshape"):
        Knock.from_json(KNOCK._replace(timbre=TIMBRE[:2]).as_json())


def test_the_middle_of_several_patterns_is_learnt() -> None:
    slower = pattern((0.24, 0.24, 0.46), 4 * (-34.0,), TIMBRE + 2)
    knock = learn([pattern(), slower, pattern((0.22, 0.22, 0.44), 4 * (-31.0,))])
    assert (knock.short_s, knock.long_s, knock.level_db) == pytest.approx((0.22, 0.44, -31))
    assert knock.timbre == pytest.approx(TIMBRE, abs=0.01)


def test_a_strike_has_what_it_adds_to_what_sounded_before() -> None:
    heard = strike(1.0, -30.0, noise_db=-50.0)
    assert heard.level_db == pytest.approx(-30)
    assert heard.clear_db == pytest.approx(-30 - (-50 + 10 * np.log10(12)))
    assert heard.timbre == pytest.approx(TIMBRE)
    hidden = strike(1.0, -80.0, noise_db=-50.0)
    assert hidden.own == pytest.approx(np.full((3, 12), 1e-6))  # a tenth of the noise at the least


def test_a_timbre_is_laid_over_what_sounded_before_at_the_level_that_fits_best() -> None:
    heard = strike(1.0, -30.0, noise_db=-60.0)
    assert heard.fitted(TIMBRE).level_db == pytest.approx(-30)
    assert heard.fitted(TIMBRE + 3).level_db == pytest.approx(-33)
    assert heard.fitted(TIMBRE).unlike == pytest.approx(0, abs=1e-6)
    assert heard.fitted(TIMBRE + 3).likelier == pytest.approx(heard.fitted(TIMBRE).likelier)


def shapes(share: np.ndarray) -> np.ndarray:
    """Of gamma distributions whose variance is that of the noise, of 22 rows before and of a hand.

    A mean of three rows, of four and of fourteen, of as many bins as are in the band; neighbours
    under a Hann window share some, so that they count a little more than half.
    """
    noise = 1 / (0.55 * np.outer([3, 4, 14], WIDTHS))
    return 1 / (noise + 0.5 * share**2 + (1 - share) ** 2 / (0.55 * 22 * WIDTHS))


def a_little_off() -> Strike:
    rng = np.random.default_rng(8)
    heard = strike(1.0, -35.0, noise_db=-50.0)
    return heard._replace(heard=heard.heard * rng.lognormal(0, 0.3, (3, 12)))


def test_how_much_likelier_it_is_is_that_of_gamma_distributions() -> None:
    """Those of `scipy.stats`; the gamma function of their shape is taken for Stirling's."""
    heard = a_little_off()

    def likelihood(laid: np.ndarray) -> float:
        expected = laid + heard.before
        shape = shapes(laid / expected)
        stirling = (shape - 0.5) * np.log(shape) - shape + np.log(2 * np.pi) / 2
        exact = gamma.logpdf(heard.heard, shape, scale=expected / shape)
        return float((exact + gammaln(shape) - stirling).sum())

    levels_db = heard.level_db + np.arange(-10, 11)
    best = max(likelihood(10 ** ((each + TIMBRE) / 10)) for each in levels_db)
    without = likelihood(np.zeros((3, 12)))
    assert heard.fitted(TIMBRE).likelier == pytest.approx(best - without)


def test_how_unlike_a_timbre_it_is_is_the_deviance_of_gamma_distributions() -> None:
    """Twice what `scipy.stats` gives less likelihood than what was heard itself would have."""
    heard = a_little_off()
    fit = heard.fitted(TIMBRE)
    laid = 10 ** ((fit.level_db + TIMBRE) / 10)
    shape = shapes(laid / (laid + heard.before))

    def likelihood(expected: np.ndarray) -> np.ndarray:
        return np.asarray(gamma.logpdf(heard.heard, shape, scale=expected / shape))

    deviance = 2 * (likelihood(heard.heard) - likelihood(laid + heard.before))
    assert fit.unlike == pytest.approx(deviance.mean())
