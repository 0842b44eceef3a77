"""Which rests mean what, to the edges; what of a pattern is a person's own."""

import numpy as np
import pytest

from darktimer.knocks.learning import Knock, learn
from darktimer.knocks.patterns import Knocked, KnocksHeard, meant, rests_between
from darktimer.knocks.strikes import Strike, Timbre, middle

STRUCK = np.array([-9.0, -6.0, -7.0, -8.0, -9.0, -10.0])
BANDS = np.array([STRUCK, STRUCK - 15])
TIMBRE = Timbre(BANDS, np.full((2, 6), -60.0))
KNOCK = Knock(0.2, 0.4, -30.0, TIMBRE)


def pattern(
    rests: tuple[float, ...] = (0.2, 0.2, 0.4), level_db: float = -30.0, timbre: Timbre = TIMBRE
) -> KnocksHeard:
    moments = np.cumsum([1.0, *rests]).tolist()
    strikes = tuple(Strike(at_s, level_db, timbre) for at_s in moments)
    return KnocksHeard(Knocked.GO_ON, moments[-1], strikes)


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
    assert heard.rests_s == pytest.approx((0.2, 0.4))
    assert rests_between(heard.strikes) == pytest.approx([0.18, 0.22, 0.4])
    assert heard.level_db == -30
    assert heard.timbre.unlike_db(TIMBRE) == 0


@pytest.mark.parametrize(
    ("heard", "own"),
    [
        (pattern(), True),
        (pattern((0.25, 0.25, 0.5)), True),
        (pattern((0.26, 0.26, 0.52)), False),
        (pattern((0.16, 0.16, 0.32)), True),
        (pattern((0.15, 0.15, 0.3)), False),
        (pattern((0.155, 0.155, 0.34)), False),
        (pattern((0.17, 0.17, 0.305)), False),
        (pattern((0.2, 0.2, 0.49)), True),
        (pattern((0.2, 0.2, 0.51)), False),
        (pattern((0.2, 0.2, 0.325)), True),
        (pattern((0.2, 0.2, 0.315)), False),
        (pattern(level_db=-20.0), True),
        (pattern(level_db=-19.9), False),
        (pattern(level_db=-40.0), True),
        (pattern(level_db=-40.1), False),
        (pattern(timbre=TIMBRE._replace(bands_db=BANDS + 2.5)), True),
        (pattern(timbre=TIMBRE._replace(bands_db=BANDS + 2.7)), False),
    ],
)
def test_a_persons_own_is_within_what_was_learnt(heard: KnocksHeard, own: bool) -> None:
    assert KNOCK.is_in(heard) is own


def test_the_middle_of_several_patterns_is_learnt() -> None:
    slower = pattern((0.24, 0.24, 0.46), -34.0, Timbre(BANDS + 2, np.full((2, 6), -50.0)))
    knock = learn([pattern(), slower, pattern((0.22, 0.22, 0.44), -31.0)])
    assert (knock.short_s, knock.long_s, knock.level_db) == pytest.approx((0.22, 0.44, -31))
    assert knock.timbre.bands_db == pytest.approx(BANDS + 2 / 3)
    assert knock.timbre.noise_db == pytest.approx(np.full((2, 6), -170 / 3))


def test_timbres_are_compared_where_noise_hides_neither() -> None:
    other = Timbre(BANDS + np.array([[6, 0, 0, 0, 0, 0], 6 * [0]]), TIMBRE.noise_db)
    assert TIMBRE.unlike_db(other) == pytest.approx(np.sqrt(36 / 12))
    hidden = Timbre(BANDS, np.full((2, 6), 0.0))
    assert hidden.unlike_db(other) == other.unlike_db(hidden) == 0
    assert middle([TIMBRE, other]).bands_db[0, 0] == STRUCK[0] + 3
    assert Strike(0, -20, Timbre(BANDS, np.full((2, 6), -10.0))).noise_db == pytest.approx(
        -22.218, abs=0.001
    )


def test_what_noise_hides_does_not_make_timbres_alike() -> None:
    noise_db = np.array([[0.0, -60, -60, 0, 0, 0], 6 * [0.0]])
    here, there = (Timbre(BANDS + by, noise_db) for by in (0, 4))
    assert here.unlike_db(there) == pytest.approx(4)


def test_one_spectrum_that_rings_longer_is_another_timbre() -> None:
    longer = Timbre(BANDS + np.array([[0.0], [8.0]]), TIMBRE.noise_db)
    assert not KNOCK.is_in(pattern(timbre=longer))
