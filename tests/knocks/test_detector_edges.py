"""What of some strikes is a pattern, to the edges: of strikes made up for it."""

from types import SimpleNamespace

import numpy as np
import pytest

from darktimer.knocks.detector import Condition, KnockDetector
from darktimer.knocks.learning import Knock
from darktimer.knocks.patterns import Knocked, KnocksHeard
from darktimer.knocks.strikes import Strike
from tests.knocks.strikes_made import TIMBRE, strike

#: Three quick knocks and one after a longer rest; the last of them 0.8 s after the first.
MOMENTS = (2.0, 2.2, 2.4, 2.8)
FOUR = [strike(at_s) for at_s in MOMENTS]
KNOCK = Knock(0.2, 0.4, -30.0, TIMBRE)


def pattern(strikes: list[Strike], knock: Knock | None = None) -> Knocked | None:
    detector = KnockDetector(16_000, knock)
    if knock:
        strikes = [s._replace(likelier=s.fitted(knock.timbre).likelier) for s in strikes]
    detector._strikes = sorted(strikes, key=lambda each: each.at_s)
    detector._alike = [each for each in detector._strikes if detector._may_be(each)]
    (last,) = [each for each in strikes if each.at_s == MOMENTS[-1]]
    heard = detector._pattern(last)
    return heard.pattern if heard else None


def test_a_pattern_is_four_strikes_that_end_with_the_last() -> None:
    assert pattern(FOUR) is pattern(FOUR, KNOCK) is Knocked.GO_ON
    assert pattern([strike(at_s) for at_s in (2.0, 2.4, 2.6, 2.8)]) is Knocked.WHERE
    assert pattern(FOUR[1:]) is None
    assert pattern([*FOUR[:3], strike(2.8, -55.0)]) is None


@pytest.mark.parametrize(
    ("at_s", "alone"),
    [
        (1.44, True), (1.46, False), (2.07, True), (2.09, False), (2.12, False), (2.6, False),
        (2.87, True), (2.89, False), (2.92, False), (2.94, True),
    ],
)  # fmt: skip
@pytest.mark.parametrize("knock", [None, KNOCK])
def test_a_fifth_knock_in_it_or_near_it_is_no_pattern_but_an_echo_is_one(
    at_s: float, alone: bool, knock: Knock | None
) -> None:
    """Within 0.55 s before and 0.13 s after; an echo comes within 80 ms."""
    assert (pattern([*FOUR, strike(at_s)], knock) is Knocked.GO_ON) is alone


@pytest.mark.parametrize(
    ("softer_db", "heard"),
    [(0.3, True), (0.2, False)],
)
@pytest.mark.parametrize("knock", [None, KNOCK])
def test_other_strikes_are_softer(softer_db: float, knock: Knock | None, heard: bool) -> None:
    """Than 10 dB less by 2.35 dB times the root of what is allowed, 17.2."""
    other = strike(2.5, -30.0 - softer_db)
    assert (pattern([*FOUR, other], knock) is Knocked.GO_ON) is heard


@pytest.mark.parametrize(
    ("at_s", "softer_db", "row"),
    [(2.6, 2.9, True), (2.6, 3.1, False), (2.628, 2.9, True), (2.632, 2.9, False)],
)
@pytest.mark.parametrize("knock", [None, KNOCK])
def test_of_an_even_row_no_strike_is_left_out_for_being_hardly_softer(
    at_s: float, softer_db: float, row: bool, knock: Knock | None
) -> None:
    """A drop each fifth of a second: without the fourth, three quick ones and one after a rest."""
    four = [*FOUR, strike(at_s, -30.0 - softer_db)]
    assert (pattern(four, knock) is None) is row


def test_where_no_knock_was_learnt_what_does_not_stand_clear_is_no_other() -> None:
    detector, heard = KnockDetector(16_000), KnocksHeard(Knocked.GO_ON, 2.8, tuple(FOUR))
    clear, noise = strike(2.6), strike(2.55, noise_db=-35.0)
    detector._strikes = [*FOUR, clear, noise]
    assert detector._others(heard) == [clear]


@pytest.mark.parametrize(
    ("factor", "own"), [(1.51, True), (1.53, False), (0.67, True), (0.65, False)]
)
def test_a_persons_own_has_their_pace(factor: float, own: bool) -> None:
    """By e to 0.093 times the root of 20.2, 1.52; theirs are 0.17 s and 0.34 s here."""
    four = [strike(2.8 - 0.85 * factor * (2.8 - at_s)) for at_s in MOMENTS]
    assert (pattern(four, KNOCK._replace(short_s=0.17, long_s=0.34)) is Knocked.GO_ON) is own
    assert pattern(four) is Knocked.GO_ON


@pytest.mark.parametrize(("level_db", "own"), [(-15.3, True), (-15.1, False), (-44.7, True)])
def test_a_persons_own_is_as_loud(level_db: float, own: bool) -> None:
    """Within 14.8 dB, if all else is as it was learnt."""
    four = [strike(at_s, level_db) for at_s in MOMENTS]
    assert (pattern(four, KNOCK) is Knocked.GO_ON) is own
    assert pattern(four) is Knocked.GO_ON


@pytest.mark.parametrize(("likelier", "forgiven"), [(149.0, False), (151.0, True)])
@pytest.mark.parametrize("number", range(4))
def test_of_a_pattern_without_a_faint_knock_more_is_forgiven(
    number: int, likelier: float, forgiven: bool
) -> None:
    """Louder by 14 dB than what was learnt: the square of 14 in 3.3 is 18, and 17.2 is allowed."""
    detector = KnockDetector(16_000, KNOCK)
    four = [strike(at_s, -16.0)._replace(likelier=1000.0) for at_s in MOMENTS]
    four[number] = four[number]._replace(likelier=likelier)
    detector._strikes = detector._alike = four
    assert (detector._pattern(four[-1]) is not None) is forgiven


@pytest.mark.parametrize(("level_db", "sure"), [(-18.1, True), (-17.9, False)])
def test_a_pattern_is_sure_that_is_not_nearly_as_strange_as_it_may_be(
    level_db: float, sure: bool
) -> None:
    """Louder by 12 dB: of the square of 12 in 3.3, 13.2, 3 is forgiven, and 10.2 is sure."""
    detector = KnockDetector(16_000, KNOCK)
    four = [strike(at_s, level_db)._replace(likelier=1000.0) for at_s in MOMENTS]
    detector._strikes = detector._alike = four
    heard = detector._pattern(four[-1])
    assert heard
    assert heard.sure is sure


def test_three_plain_knocks_carry_a_soft_one() -> None:
    soft = [*FOUR[:3], strike(2.8, -40.0)]
    assert pattern(soft, KNOCK) is Knocked.GO_ON
    assert pattern([*FOUR[:3], strike(2.8, -55.0)], KNOCK) is None


def test_what_sounds_otherwise_is_not_ones_own_nor_like_three_others() -> None:
    other = np.where(np.arange(12) < 6, 12.0, -12.0) + TIMBRE
    assert pattern([strike(at_s, timbre=other) for at_s in MOMENTS], KNOCK) is None
    assert pattern([strike(at_s, timbre=other) for at_s in MOMENTS]) is Knocked.GO_ON
    nearly = (TIMBRE + other) / 2
    assert pattern([*FOUR[:2], strike(2.4, timbre=nearly), FOUR[3]], KNOCK) is Knocked.GO_ON
    assert pattern([*FOUR[:1], *[strike(m, timbre=other) for m in MOMENTS[1:3]], FOUR[3]]) is None


def test_a_pattern_is_sought_among_the_ten_loudest() -> None:
    """So that a din takes no time: nine before the last, three of which are its own."""
    louder = [strike(1.18 + number / 50, -20.0) for number in range(8)]
    assert pattern([*FOUR, *louder[:7]]) is Knocked.GO_ON
    assert pattern([*FOUR, *louder]) is None


def test_what_a_pattern_was_made_of_makes_no_other() -> None:
    detector = KnockDetector(16_000)
    later = strike(3.2)
    detector._strikes = detector._alike = [*FOUR, later]
    assert detector._pattern(FOUR[-1])
    assert detector._alike == [later]


def test_where_no_knock_was_learnt_one_stands_clear_of_what_sounded_before() -> None:
    own, any_ones = KnockDetector(16_000, KNOCK), KnockDetector(16_000)
    noises_db = (-49.0, -50.0)  # in each of twelve bands: above it by -1.8 dB and by -0.8
    faint = [strike(1.0, -40.0, noise_db=each) for each in noises_db]
    assert [any_ones._may_be(each) for each in faint] == [False, True]
    assert [own._may_be(each) for each in faint] == [True, True]


@pytest.mark.parametrize(("likelier", "heard"), [(6.4, False), (6.6, True)])
@pytest.mark.parametrize("number", range(4))
def test_the_first_knock_is_no_piece_of_noise(number: int, likelier: float, heard: bool) -> None:
    """Noise is in time with three quick ones now and then; one in another's tail may be faint."""
    detector, four = KnockDetector(16_000, KNOCK), [each._replace(likelier=100.0) for each in FOUR]
    four[number] = four[number]._replace(likelier=likelier)
    detector._strikes = detector._alike = four
    assert (detector._pattern(four[-1]) is not None) is (heard or number > 0)


@pytest.mark.parametrize(("likelier", "alone"), [(19, True), (21, False)])
@pytest.mark.parametrize("noise_db", [-35.0, -90.0])
def test_what_is_like_the_knocks_is_another_whether_it_stands_clear_or_not(
    likelier: float, alone: bool, noise_db: float
) -> None:
    """A fifth as much likelier with the own knock as the middle one of the pattern's."""
    detector = KnockDetector(16_000, KNOCK)
    four = [s._replace(likelier=n) for s, n in zip(FOUR, (900.0, 100.0, 100.0, 5.0), strict=True)]
    detector._strikes = [*four, strike(2.6, noise_db=noise_db)._replace(likelier=likelier)]
    assert (detector._others(KnocksHeard(Knocked.GO_ON, 2.8, tuple(four))) == []) is alone


@pytest.mark.parametrize(
    ("at_s", "level_db", "heard"),
    [(2.74, -36.0, [2.8]), (2.74, -31.0, [2.74]), (2.86, -36.0, [2.8])],
)
def test_of_patterns_that_end_within_130_ms_the_least_strange_is_heard(
    at_s: float, level_db: float, heard: list[float]
) -> None:
    """Else noise just before the last knock is taken for it, and the knock for an echo of that."""
    strikes = sorted([*FOUR, strike(at_s, level_db)], key=lambda each: each.at_s)
    detector = KnockDetector(16_000, KNOCK)
    detector._strikes = detector._alike = [each._replace(likelier=100.0) for each in strikes]
    ends = [each.at_s for each in detector._strikes[3:] if detector._pattern(each)]
    assert ends == heard


def test_strikes_are_remembered_for_two_patterns_and_wait_for_the_quiet_after_them() -> None:
    detector = KnockDetector(16_000)
    detector._finder = SimpleNamespace(known_s=10.0)
    detector._take([strike(at_s) for at_s in (5.5, 5.7, 9.86, 9.88)])
    assert [each.at_s for each in detector._strikes] == [5.7, 9.86, 9.88]
    assert [each.at_s for each in detector._alike] == [5.7, 9.86, 9.88]
    assert [each.at_s for each in detector._over()] == [5.5, 5.7, 9.86]
    assert [each.at_s for each in detector._waiting] == [9.88]


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
