"""Whom a sitting calls ready: nobody who guesses between two sounds, soon one who knows them.

A sitting is two drills, as `pages/sitting.py` holds it: the second only where the first was passed.
"""

from random import Random
from statistics import quantiles

import pytest
from scipy.stats import binom

from darktimer.learn.drill import ALLOWED, MOST_EACH, WINDOW, Drill

SITTINGS = 2_000
DOZEN = {f"sound-{k}": [(f"sound-{k}",)] for k in range(12)}
SIX = {word: DOZEN[word] for word in list(DOZEN)[:6]}
#: A lead-in of 0.7 s, a sound of 2.3 s (the mean of a shipped plan), a key after 1 s (assumed).
QUESTION_S = 4.0


def guesses(chance: Random, asked: str) -> str:
    """Somebody who knows all but two sounds, and tosses a coin whenever one of these is heard."""
    pair = ("sound-1", "sound-2")
    return chance.choice(pair) if asked in pair else asked


def always_says_one(_: Random, asked: str) -> str:
    return "sound-1" if asked == "sound-2" else asked


def knows(right: float):
    """Somebody who is right so often, and whose mistakes are half of them one neighbour."""

    def answers(chance: Random, asked: str) -> str:
        if chance.random() < right:
            return asked
        number = int(asked.removeprefix("sound-"))
        others = [number ^ 1] if chance.random() < 0.5 else [k for k in range(12) if k != number]
        return f"sound-{chance.choice(others)}"

    return answers


def drilled(words, seed: int, who) -> tuple[bool, int]:
    drill, chance, asked = Drill(words, seed), Random(seed), 0
    while row := drill.question():
        drill.answer(who(chance, row[0]))
        asked += 1
    return drill.ready, asked


def sitting(words, seed: int, who) -> tuple[bool, int]:
    quiet, asked = drilled(words, 2 * seed, who)
    if not quiet:
        return False, asked
    tap, more = drilled(words, 2 * seed + 1, who)
    return tap, asked + more


def chance_in_one_drill() -> float:
    """The bound that the drill's docstring derives, by another way to its binomials (scipy)."""
    coins, looks = 2 * WINDOW, 2 * (MOST_EACH - WINDOW)
    becomes = 0.5 * 0.5 * binom.pmf(ALLOWED, coins - 1, 0.5)
    return float(binom.cdf(ALLOWED, coins, 0.5) + looks * becomes)


def test_the_bound_of_a_sitting_is_one_in_a_thousand() -> None:
    assert chance_in_one_drill() ** 2 <= 1 / 1000


@pytest.mark.parametrize("who", [guesses, always_says_one])
def test_who_guesses_between_two_is_not_called_ready(who) -> None:
    """As often as chance allows in 999 of 1,000 such tests, where it is at the bound."""
    drills = [drilled(SIX, 2 * seed, who)[0] for seed in range(SITTINGS)]
    assert sum(drills) <= binom.ppf(0.999, SITTINGS, chance_in_one_drill())
    passed = [seed for seed, quiet in enumerate(drills) if quiet]
    ready = sum(sitting(SIX, seed, who)[0] for seed in passed)
    assert ready <= binom.ppf(0.999, SITTINGS, 1 / 1000)


@pytest.mark.parametrize("right", [0.95, 0.98])
def test_who_knows_a_dozen_sounds_is_ready_in_about_ten_minutes(right: float) -> None:
    sittings = [sitting(DOZEN, seed, knows(right)) for seed in range(200)]
    assert sum(ready for ready, _ in sittings) >= 0.95 * len(sittings)
    minutes = [asked * QUESTION_S / 60 for _, asked in sittings]
    assert quantiles(minutes, n=10)[4] <= 11
    assert max(minutes) <= 15
