"""A time from words about pieces."""

from math import exp, log, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from darktimer.sensitometry.by_eye import Judged, by_eye
from darktimer.sensitometry.refusal import SensitometryError

MINUTE = 60_000


def looked(*said: tuple[float, int | None, int | None]) -> list[Judged]:
    return [Judged(round(minutes * MINUTE), *figures) for minutes, *figures in said]


def time(*said: tuple[float, int | None, int | None]) -> tuple[float, float, float]:
    low, middle, high = (by_eye(looked(*said)).time[at] / MINUTE for at in (1, 0, 2))
    return low, middle, high


@pytest.mark.parametrize(
    ("said", "low", "middle", "high"),
    [
        # a thin piece and a dense one: half way in the logarithm, or by a third of it
        ([(6, -2, None), (8, -1, None), (10, 1, None)], 8, sqrt(80), 10),
        ([(8, -2, None), (10, 1, None)], 8, 8 * 1.25 ** (2 / 3), 10),
        ([(8, None, -1), (10, None, 2)], 8, 8 * 1.25 ** (1 / 3), 10),
        # one that is right, and the times at which another word begins
        ([(6, -1, None), (8, 0, None), (11, 1, None)], sqrt(48), 8, sqrt(88)),
        # two that are right, and three
        (
            [(5, -1, None), (6, 0, None), (8, 0, None), (10, 0, None), (13, 1, None)],
            6,
            sqrt(60),
            10,
        ),
        ([(6, -1, None), (8, 0, None), (10, 0, None), (13, 1, None)], 8, sqrt(80), 10),
        # density and contrast together: -1.5 and +0.5, and a piece that is right in one
        ([(8, -2, -1), (10, 0, 1)], 8, 8 * 1.25 ** (3 / 4), 10),
        ([(8, -1, 0), (10, 1, 0)], 8, sqrt(80), 10),
        # the same time twice
        ([(6, -1, None), (8, 0, None), (8, 1, None)], 6, 6 * (8 / 6) ** (2 / 3), 8),
        # others further off
        (
            [(5, -2, None), (6, -2, None), (8, -1, None), (10, 1, None), (13, 2, None)],
            *(8, sqrt(80), 10),
        ),
        # in any order
        ([(10, 1, None), (8, -1, None)], 8, sqrt(80), 10),
    ],
)
def test_between_the_two_best(
    said: list[tuple[float, int | None, int | None]], low: float, middle: float, high: float
) -> None:
    assert time(*said) == pytest.approx((low, middle, high), abs=0.001)
    assert by_eye(looked(*said)).caveats == ()


@given(st.lists(st.integers(-2, 2), min_size=2, max_size=8))
def test_words_in_order_give_a_time_among_the_pieces_or_what_to_develop(words: list[int]) -> None:
    said = [(6 * sqrt(2) ** at, word, None) for at, word in enumerate(sorted(words))]
    if min(words) > 0 or max(words) < 0:
        with pytest.raises(SensitometryError, match="develop a piece"):
            time(*said)
        return
    low, middle, high = time(*said)
    assert 6 - 1e-3 <= low <= middle <= high <= said[-1][0] + 1e-3


def test_where_density_and_contrast_part_contrast_has_its_way() -> None:
    found = by_eye(looked((6, 0, -2), (9, 1, -1), (13, 2, 1)))
    assert found.time.time_ms == pytest.approx(exp((log(9) + log(13)) / 2) * MINUTE, abs=1)
    assert "less exposure" in found.caveats[0]
    found = by_eye(looked((6, -2, -1), (9, -2, 0), (13, -1, 2)))
    assert found.time.time_ms == 9 * MINUTE
    assert "more exposure" in found.caveats[0]


def test_density_and_contrast_part_by_more_than_a_word() -> None:
    """They are compared at the time that suits both best, here 9:00."""
    together = by_eye(looked((6, -1, -2), (9, 0, -1), (9, 0, 1), (13, 2, 2)))
    assert together.time.time_ms == 9 * MINUTE
    assert together.caveats == ()
    apart = by_eye(looked((6, -1, -2), (9, 1, -1), (13, 2, 2)))
    assert apart.time.time_ms > 9 * MINUTE
    assert "less exposure" in apart.caveats[0]


@pytest.mark.parametrize(
    ("words", "doubt"),
    [((-1, 0), "no piece was developed longer than 8:00"), ((0, 1), "less than 6:00")],
)
def test_the_best_at_an_end_may_not_be_the_best(words: tuple[int, int], doubt: str) -> None:
    found = by_eye(looked((6, words[0], None), (8, words[1], None)))
    assert doubt in found.caveats[0]


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ([], "judge two pieces or more"),
        ([(8, 0, 0)], "judge two pieces or more"),
        ([(8, 0, 0), (8, 1, 0)], "of two different times"),
        ([(8, 0, None), (10, None, 1)], "each by the same"),
        ([(8, 1, None), (10, -1, None)], r"density is \+1 after 8:00 and -1 after 10:00"),
        ([(8, -1, 1), (10, 1, -1)], r"contrast is \+1 after 8:00"),
        (
            [(6, -2, None), (8, -2, None), (10, -1, None)],
            "10:00 comes nearest.*develop a piece longer",
        ),
        ([(8, 1, None), (10, 2, None)], "8:00 comes nearest.*for a shorter time"),
        ([(0, -1, None), (10, 1, None)], "development time 0"),
    ],
)
def test_words_that_tell_no_time(
    said: list[tuple[float, int | None, int | None]], words: str
) -> None:
    with pytest.raises(SensitometryError, match=words) as caught:
        by_eye(looked(*said))
    assert caught.value.remedy


def test_the_two_scales_are_compared_at_the_time_that_suits_both() -> None:
    """At 9:00, where both together are right, they are a word apart; further on they are two."""
    found = by_eye(looked((6, -1, -1), (9, 0, 0), (13, 2, 0)))
    assert found.caveats == ()
    assert found.time.time_ms == 9 * MINUTE
