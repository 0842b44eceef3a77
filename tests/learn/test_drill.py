"""The drill with scripted answers: what it asks, when it ends, whom it calls ready."""

from collections import Counter
from itertools import chain, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from darktimer.cues.reader import load_cue_set
from darktimer.learn.drill import RUNNING, Drill
from darktimer.learn.lesson import LESSONS, lesson, says
from darktimer.process import meanings
from darktimer.shipped import names

LESSON = lesson(load_cue_set("standard"), "act-now").words


def answered(drill: Drill, knows: dict[str, str] | None = None) -> list[str]:
    """The words asked, each answered rightly but for what ``knows`` takes for something else."""
    asked = []
    while row := drill.question():
        (meaning,) = row
        word = meanings.family(meaning)
        drill.answer((knows or {}).get(word, word))
        asked.append(word)
    return asked


def test_who_knows_all_is_ready_after_three_of_each() -> None:
    drill = Drill(LESSON, seed=1)
    asked = Counter(answered(drill))
    assert drill.ready
    assert set(asked) == meanings.ACT_NOW
    assert all(times >= RUNNING for times in asked.values())
    assert sum(asked.values()) <= RUNNING * len(LESSON) + 4
    assert drill.to_practise() == []


def test_the_same_seed_asks_the_same() -> None:
    first, same, other = (answered(Drill(LESSON, seed)) for seed in (5, 5, 6))
    assert first == same != other


def test_who_mixes_two_up_is_not_ready_and_told_which() -> None:
    drill = Drill(LESSON, seed=2)
    asked = answered(drill, {"stand": "move"})
    assert not drill.ready
    assert drill.to_practise() == ["stand"]
    assert drill.taken_for("stand") == ["move"]
    assert len(asked) == 12 * len(LESSON)
    assert drill.scores["stand"].right == 0
    assert drill.scores["stand"].asked == asked.count("stand")


def test_what_was_missed_comes_again_after_two_others() -> None:
    drill, asked = Drill(LESSON, seed=3), []
    while row := drill.question():
        (meaning,) = row
        word = meanings.family(meaning)
        drill.answer("alarm" if len(asked) == 4 and word != "alarm" else word)
        asked.append(word)
    assert asked[7] == asked[4]
    assert drill.ready


def test_one_mistake_begins_the_row_of_three_again() -> None:
    drill = Drill({"move": [("move",)]}, seed=1)
    for answer in ("move", "move", "stand", "move", "move"):
        assert drill.question()
        drill.answer(answer)
    assert not drill.ready
    assert drill.question()
    drill.answer("move")
    assert drill.ready
    assert drill.question() is None


@given(st.integers(0, 2**31), st.lists(st.sampled_from([*LESSON]), max_size=200))
def test_whatever_is_answered_it_ends_and_its_sums_agree(seed: int, answers: list[str]) -> None:
    drill, asked = Drill(LESSON, seed), []
    for answer in answers:
        if (row := drill.question()) is None:
            break
        asked.append(drill.answer(answer))
        assert asked[-1] == meanings.family(row[0])
    assert len(asked) <= 12 * len(LESSON)
    assert sum(each.asked for each in drill.scores.values()) == len(asked)
    wrong = sum(each.asked - each.right for each in drill.scores.values())
    assert wrong == sum(drill.mistaken.values())
    missed = {word for word, _ in drill.mistaken}
    assert all(one != two or one in missed for one, two in pairwise(asked))


@pytest.mark.parametrize("name", names("sounds"))
def test_lessons_hold_words_that_the_set_can_say(name: str) -> None:
    cue_set = load_cue_set(name)
    for one in LESSONS:
        words = lesson(cue_set, one).words
        assert all(says(cue_set, word) for word in words)
        assert all(cue_set.pulses(meaning) for (meaning,) in chain(*words.values()))
    assert set(lesson(cue_set, "act-now").words) == meanings.ACT_NOW
    assert len(lesson(cue_set, "baths").words) == len(cue_set.signatures)
    everything = {meanings.family(meaning) for meaning in cue_set.meanings()}
    assert set(lesson(cue_set, "all").words) == everything
