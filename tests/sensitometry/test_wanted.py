"""The time for a wanted gamma: laws, widths, and what is refused."""

from math import exp, log, sqrt

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from darktimer.sensitometry.estimate import Estimate
from darktimer.sensitometry.refusal import SensitometryError
from darktimer.sensitometry.time_law import Piece, fitted_law
from darktimer.sensitometry.wanted import TimeCurve, breadths, time_curve, time_for

MINUTE = 60_000


def pieces(*points: tuple[float, float], unsure: float = 0.01) -> list[Piece]:
    return [Piece(round(minutes * MINUTE), Estimate(g, unsure)) for minutes, g in points]


def by_law(greatest: float, k: float, lag: float, *minutes: float) -> list[Piece]:
    return pieces(*((t, greatest * (1 - exp(-k * (t - lag)))) for t in minutes))


def gammas(*points: tuple[float, float], unsure: float = 0.01) -> TimeCurve:
    return time_curve("gamma", pieces(*points, unsure=unsure))


@given(st.floats(0.6, 2.0), st.floats(0.06, 0.4), st.floats(-1.0, 3.0))
def test_a_law_is_found_again_with_its_lag(greatest: float, k: float, lag: float) -> None:
    law = fitted_law(tuple(by_law(greatest, k, lag, 6, 8.5, 12, 17)))
    assert law.misfit < 0.01
    assert law.bent
    assert law.value_at(10 * MINUTE) == pytest.approx(
        greatest * (1 - exp(-k * (10 - lag))), rel=1e-4
    )
    assert law.greatest == pytest.approx(greatest, rel=0.01)
    assert law.lag_ms == pytest.approx(lag * MINUTE, abs=0.05 * MINUTE)


def test_three_times_tell_the_lag() -> None:
    law = fitted_law(tuple(by_law(1.1, 0.14, 2, 6, 10, 18)))
    assert law.lag_ms == pytest.approx(2 * MINUTE, rel=0.01)
    assert law.greatest == pytest.approx(1.1, rel=0.01)


@pytest.mark.parametrize(
    ("points", "misfit"),
    [
        # the law goes through the means, 2 uncertainties off; it needs two pieces, with a lag three
        ([(6, 0.48), (6, 0.52), (12, 0.68), (12, 0.72)], sqrt(4 * 4 / 2)),
        ([(6, 0.48), (6, 0.52), (12, 0.70)], sqrt(2 * 4)),
        ([(6, 0.48), (6, 0.52), (9, 0.61), (9, 0.65), (14, 0.74)], sqrt(4 * 4 / 2)),
        ([(6, 0.50), (12, 0.70)], 0),
    ],
)
def test_the_misfit_is_for_each_piece_more_than_needed(
    points: list[tuple[float, float]], misfit: float
) -> None:
    assert fitted_law(tuple(pieces(*points))).misfit == pytest.approx(misfit, abs=0.01)


@given(st.floats(0.6, 2.0), st.floats(0.06, 0.2))
def test_two_pieces_tell_a_law_without_a_lag(greatest: float, k: float) -> None:
    law = fitted_law(tuple(by_law(greatest, k, 0, 6, 12)))
    assert law.greatest == pytest.approx(greatest, rel=1e-3)
    assert law.lag_ms == pytest.approx(0, abs=1)


@settings(max_examples=25)
@given(st.floats(6.5, 16.5), st.floats(0.08, 0.25), st.floats(0, 2))
def test_the_time_reaches_the_value_and_lies_in_its_width(
    time: float, k: float, lag: float
) -> None:
    curve = time_curve("gamma", by_law(1.2, k, lag, 6, 8.5, 12, 17))
    wanted = 1.2 * (1 - exp(-k * (time - lag)))
    try:
        found = time_for(curve, wanted)
    except SensitometryError:  # so near to the greatest that no time can be told
        assume(False)
    assert found.time_ms == pytest.approx(time * MINUTE, rel=1e-3)
    assert found.low_ms < found.time_ms < found.high_ms


def test_less_doubt_makes_a_narrower_width() -> None:
    widths = []
    for unsure in (0.005, 0.02):
        found = time_for(gammas((6, 0.5), (9, 0.67), (13.5, 0.84), unsure=unsure), 0.75)
        widths.append(log(found.high_ms / found.low_ms))
    assert 1.5 * widths[0] < widths[1]


def test_pieces_off_the_law_make_a_wider_width() -> None:
    on = by_law(1.1, 0.12, 1, 6, 8.5, 12, 17)
    off = [
        piece._replace(value=Estimate(piece.value.value + side * 0.02, 0.01))
        for piece, side in zip(on, (1, -1, 1, -1), strict=True)
    ]
    widths = []
    for each in (on, off):
        found = time_for(time_curve("gamma", each), 0.75)
        widths.append(log(found.high_ms / found.low_ms))
    assert widths[1] > 1.5 * widths[0]


def test_what_no_law_is_known_of_is_in_the_width() -> None:
    """Two pieces without doubt, one at twice the time of the other: still some per cent."""
    found = time_for(gammas((6, 0.5), (12, 0.75), unsure=1e-6), 0.64)
    drawn = 6 * MINUTE * (12 / 6) ** ((0.64 - 0.5) / 0.25)
    straight = 6 * MINUTE * (1 + (0.64 - 0.5) / 0.25)
    law = found.time_ms
    assert found.high_ms / law == pytest.approx(max(drawn / law, straight / law) ** 2, rel=1e-3)


def test_the_order_of_pieces_is_of_no_matter() -> None:
    points = [(6, 0.5), (9, 0.67), (13.5, 0.84)]
    assert gammas(*points) == gammas(*points[::-1])


def test_a_time_may_be_developed_twice() -> None:
    found = time_for(gammas((6, 0.51), (6, 0.49), (9, 0.66), (9, 0.68), (13.5, 0.84)), 0.67)
    assert found.time_ms == pytest.approx(9 * MINUTE, rel=0.02)


def test_the_greatest_is_told_where_the_pieces_bend() -> None:
    found = time_curve("gamma", by_law(1.0, 0.15, 0, 5, 10, 20, 40)).greatest
    assert found is not None
    assert found.value == pytest.approx(1.0, abs=0.01)
    assert 0.005 < found.uncertainty < 0.03
    assert gammas((6, 0.4), (9, 0.6), (12, 0.8)).greatest is None
    assert gammas((6, 0.4), (9, 0.55), (12, 0.68), unsure=0.03).greatest is None


def test_pieces_that_rise_in_a_straight_line_still_tell_a_time() -> None:
    curve = gammas((6, 0.4), (9, 0.6), (12, 0.8))
    assert not curve.law.bent
    assert time_for(curve, 0.7).time_ms == pytest.approx(10.5 * MINUTE, rel=0.01)


@pytest.mark.parametrize(
    ("points", "words"),
    [
        ([], "one time only"),
        ([(6, 0.5)], "develop a second piece"),
        ([(6, 0.5), (6, 0.52)], "one time only"),
        ([(6, 0.5), (8.5, 0.7), (12, 0.6)], r"falls from 0.70 ± 0.01 after 8:30 to 0.60 ± 0.01"),
        ([(6, 0.5), (8.5, 0.51), (12, 0.52)], "hardly rises"),
        (
            [(6, 0.3), (12, 0.9)],
            r"from 0.30 ± 0.01 after 6:00 to 0.90 ± 0.01 after 12:00 .* a third piece",
        ),
        ([(6, 0.4), (8.5, 0.7), (12, 0.72), (17, 1.1)], "times further from any curve"),
        ([(0, 0.3), (12, 0.9)], "development time 0"),
        ([(6, 0.0), (12, 0.9)], "gamma 0 is not above zero"),
    ],
)
def test_pieces_that_make_no_curve(points: list[tuple[float, float]], words: str) -> None:
    with pytest.raises(SensitometryError, match=words) as caught:
        gammas(*points)
    assert caught.value.remedy


def test_a_fall_within_the_noise_is_none() -> None:
    """Two uncertainties of a difference: 0.085 of readings known to 0.03."""
    gammas((6, 0.5), (8.5, 0.63), (12, 0.546), (17, 0.75), unsure=0.03)
    with pytest.raises(SensitometryError, match="falls"):
        gammas((6, 0.5), (8.5, 0.63), (12, 0.544), (17, 0.75), unsure=0.03)


@pytest.mark.parametrize(
    ("wanted", "words"),
    [
        (1.1, r"gamma 1.10 is beyond 1.00 ± 0.02, the greatest that this film reaches"),
        (0.99, "is more than any piece has: 0.95"),
        (0.50, "is less than any piece has: 0.53"),
        (0, "gamma 0 is not above zero"),
    ],
)
def test_what_the_pieces_do_not_reach(wanted: float, words: str) -> None:
    curve = time_curve("gamma", by_law(1.0, 0.15, 0, 5, 10, 15, 20))
    with pytest.raises(SensitometryError, match=words) as caught:
        time_for(curve, wanted)
    assert caught.value.remedy


def test_pieces_reach_as_far_as_they_are_unsure() -> None:
    """Two uncertainties of 0.01 past 0.528 and 0.950, and past the greatest."""
    curve = time_curve("gamma", by_law(1.0, 0.15, 0, 5, 10, 15, 20))
    assert time_for(curve, 0.509).time_ms < 5 * MINUTE
    assert time_for(curve, 0.967).time_ms > 20 * MINUTE
    greatest = curve.greatest
    assert greatest is not None
    for wanted, words in (
        (0.507, "less than any piece"),
        (0.973, "more than any piece"),
        (greatest.value + 1.9 * greatest.uncertainty, "more than any piece"),
        (greatest.value + 2.1 * greatest.uncertainty, "is beyond"),
    ):
        with pytest.raises(SensitometryError, match=words):
            time_for(curve, wanted)


def test_pieces_four_times_further_off_than_their_readings_make_no_curve() -> None:
    gammas((6, 0.473), (6, 0.527), (12, 0.7))  # 2.7 uncertainties, twice, of one piece too many
    with pytest.raises(SensitometryError, match=r"4\.4 times further"):
        gammas((6, 0.469), (6, 0.531), (12, 0.7), unsure=0.01)


def test_a_width_of_nearly_a_stop_is_told_and_its_greatest_is_not() -> None:
    points = [(6, 0.55), (8.5, 0.64), (12, 0.73), (17, 0.79)]
    curve = gammas(*points, unsure=0.05)
    found = time_for(curve, 0.68)
    assert found.high_ms / found.low_ms == pytest.approx(1.93, abs=0.02)
    assert curve.greatest is None  # 0.85 ± 0.28
    assert gammas(*points, unsure=0.035).greatest is not None


def test_a_width_of_more_than_a_stop_is_no_time() -> None:
    noisy = gammas((6, 0.55), (8.5, 0.62), (12, 0.70), (17, 0.76), unsure=0.05)
    with pytest.raises(SensitometryError, match="by more than one stop of time"):
        time_for(noisy, 0.65)
    with pytest.raises(SensitometryError, match="more than one stop"):  # next to the greatest
        time_for(gammas((6, 0.70), (12, 0.80), (24, 0.81)), 0.82)


def test_the_width_is_even_in_the_logarithm_of_time() -> None:
    found = time_for(gammas((6, 0.5), (9, 0.67), (13.5, 0.84)), 0.75)
    assert found.time_ms == pytest.approx(sqrt(found.low_ms * found.high_ms), rel=1e-5)


@pytest.mark.parametrize("points", [((6, 0.50), (12, 0.70)), ((5, 0.4), (8, 0.55), (13, 0.7))])
def test_a_law_is_as_wide_at_a_time_as_its_time_is_for_a_value(
    points: tuple[tuple[float, float], ...],
) -> None:
    """Both ends of a time's width lie on the edges of the law, as far as it is straight there."""
    curve = gammas(*points, unsure=0.003)
    drawn = list(breadths(curve, 201))
    assert drawn[0].time_ms == points[0][0] * MINUTE
    assert drawn[-1].time_ms == pytest.approx(points[-1][0] * MINUTE)
    for each in drawn[60:140:20]:
        assert each.value == pytest.approx(curve.law.value_at(each.time_ms))
        assert each.high - each.value == pytest.approx(each.value - each.low)
        time = time_for(curve, each.value)
        slope = (drawn[-1].value - drawn[0].value) / (drawn[-1].time_ms - drawn[0].time_ms)
        assert time.time_ms == pytest.approx(each.time_ms, abs=1)
        assert time.high_ms - time.low_ms == pytest.approx((each.high - each.low) / slope, rel=0.4)


@pytest.mark.parametrize(("unsure", "told"), [(0.005, True), (0.006, False)])
def test_a_greatest_value_is_told_where_it_is_sure_to_a_fifth(unsure: float, told: bool) -> None:
    """Of 0.5, in pieces that come near it: sure to 0.09 and to 0.11 by their readings."""
    found = gammas(*((t, 0.5 * (1 - exp(-0.1 * t))) for t in (6, 9, 14)), unsure=unsure)
    assert (found.greatest is not None) is told


def test_pieces_that_have_all_they_can_get_are_next_to_a_step() -> None:
    """By the longest piece, 12 times the time in which a law without a lag lacks 1 / e."""
    law = fitted_law(tuple(pieces((6, 0.7), (12, 0.7))))
    assert law.k_per_ms * 12 * MINUTE == pytest.approx(12, rel=0.01)


@pytest.mark.parametrize(("bend", "bent"), [(0.03, True), (0.01, False)])
def test_a_law_is_bent_where_it_is_more_than_next_to_straight(bend: float, bent: bool) -> None:
    law = fitted_law(tuple(by_law(20.0, bend / 17, 0, 6, 17)))
    assert law.bent is bent
