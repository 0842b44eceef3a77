"""Whom a sitting calls ready: nobody who guesses between two sounds, soon one who knows them."""

from collections.abc import Callable
from fractions import Fraction
from random import Random

import pytest
from scipy.optimize import brentq
from scipy.stats import binom

from darktimer.learn.drill import FOR_MISTAKE, MOST_EACH, MOST_NEEDED, NEEDED, Drill
from darktimer.shipped import names
from tests.benchmarks.lesson_minutes import knows, learns, minutes_of

SITTINGS = 5_000
FOUR = {f"sound-{k}": [f"sound-{k}"] for k in range(4)}
PAIR = ("sound-1", "sound-2")

Person = Callable[[Random, str, str], str]


def tosses_a_coin(chance: Random, asked: str, before: str) -> str:
    """Somebody who knows all but two sounds; ``before`` is which of these was asked last."""
    return chance.choice(PAIR)


def always_says_one(chance: Random, asked: str, before: str) -> str:
    return PAIR[0]


def says_the_other_one(chance: Random, asked: str, before: str) -> str:
    """Who thinks that now it must be the turn of the other."""
    return PAIR[before == PAIR[0]]


def sitting(words, seed: int, who: Person) -> bool:
    drill, chance, before = Drill(words, seed), Random(seed), PAIR[0]
    while asked := drill.question():
        drill.answer(who(chance, asked, before) if asked in PAIR else asked)
        before = asked if asked in PAIR else before
    return drill.ready


def becomes_sure(right: Fraction) -> Fraction:
    """How likely a word becomes sure where each answer is right with a chance, counted out."""
    needs, sure = {NEEDED: Fraction(1)}, Fraction(0)
    for _ in range(MOST_EACH):
        after: dict[int, Fraction] = {}
        for needed, chance in needs.items():
            more = min(needed + FOR_MISTAKE, MOST_NEEDED)
            for left, share in ((needed - 1, right), (more, 1 - right)):
                after[left] = after.get(left, Fraction(0)) + chance * share
        sure += after.pop(0, Fraction(0))
        needs = after
    return sure


def test_the_bound_of_a_sitting_is_one_in_a_thousand() -> None:
    """A coin may fall more often on one side: the bound is for the fair one."""
    chances = [Fraction(k, 20) for k in range(21)]
    both = [becomes_sure(p) * becomes_sure(1 - p) for p in chances]
    assert max(both) == becomes_sure(Fraction(1, 2)) ** 2
    assert round(1 / max(both)) == 1031


def test_a_mistake_weighs_as_in_the_test_of_a_guess_against_092() -> None:
    """Wald, Sequential Analysis (1947): the ratio of likelihoods, here without the limits."""
    knows = brentq(lambda p: (2 * p) ** FOR_MISTAKE * 2 * (1 - p) - 1, 0.6, 0.999)
    assert knows == pytest.approx(0.92, abs=0.005)


@pytest.mark.parametrize("who", [tosses_a_coin, always_says_one, says_the_other_one])
def test_who_guesses_between_two_is_not_called_ready(who: Person) -> None:
    """As often as chance allows in 999 of 1,000 such tests, where it is at the bound."""
    ready = sum(sitting(FOUR, seed, who) for seed in range(SITTINGS))
    assert ready <= binom.ppf(0.999, SITTINGS, 1 / 1000)


@pytest.mark.parametrize("plan", names("sequences"))
def test_who_knows_a_plan_is_ready_in_ten_minutes_and_with_answers_in_twelve(plan: str) -> None:
    """The benchmark says what is assumed of them, and of who learns while being asked."""
    own, whole = minutes_of(plan, knows, sittings=60)
    assert own.mean <= 10
    assert whole.mean <= 12
    assert whole.ready >= 0.95
    own, whole = minutes_of(plan, learns, sittings=10)
    assert own.mean <= 13
    assert whole.ready >= 0.8
