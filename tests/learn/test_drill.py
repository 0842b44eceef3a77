"""The drill with scripted answers: what it asks, when it ends, whom it calls ready."""

from collections import Counter
from itertools import chain

import pytest
from hypothesis import given
from hypothesis import strategies as st

from darktimer.cues.reader import load_cue_set
from darktimer.learn.drill import MOST_EACH, NEEDED, Drill
from darktimer.learn.lesson import LESSONS, lesson, says
from darktimer.process import meanings
from darktimer.shipped import names

LESSON = lesson(load_cue_set("standard"), "act-now").words


def answered(drill: Drill, knows: dict[str, str] | None = None) -> list[str]:
    """The words asked, each answered rightly but for what ``knows`` takes for something else."""
    asked = []
    while meaning := drill.question():
        word = meanings.family(meaning)
        drill.answer((knows or {}).get(word, word))
        asked.append(word)
    return asked


def test_who_knows_all_is_ready_after_six_of_each() -> None:
    drill = Drill(LESSON, seed=1)
    asked = Counter(answered(drill))
    assert drill.ready
    assert set(asked) == meanings.ACT_NOW
    assert all(times >= NEEDED for times in asked.values())
    assert sum(asked.values()) <= NEEDED * len(LESSON) + 10
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
    assert asked.count("stand") == MOST_EACH
    assert drill.scores["stand"].right == 0


def test_what_is_least_known_is_to_be_practised_first() -> None:
    drill = Drill({word: [word] for word in "abc"}, seed=1)
    drill.needed.update(a=2, b=9, c=0)
    assert drill.to_practise() == ["b", "a"]


def test_two_that_were_mixed_up_are_asked_twice_after_two_others_by_lot() -> None:
    first, second = set(), set()
    for seed in range(40):
        drill, asked = Drill(LESSON, seed), []
        while meaning := drill.question():
            word = meanings.family(meaning)
            drill.answer("alarm" if len(asked) == 4 and word != "alarm" else word)
            asked.append(word)
        if asked[4] != "alarm":
            assert {asked[7], asked[8]} <= {asked[4], "alarm"}
            first.add(asked[7] == "alarm")
            second.add(asked[8] == asked[7])
        assert drill.ready
    assert first == second == {False, True}


@pytest.mark.parametrize(
    ("answers", "needed"),
    [
        ("aaaaa", 1),
        ("aaaaaa", 0),
        ("baaaaaaaa", 1),
        ("baaaaaaaaa", 0),
        ("aaaaab", 4),
        ("aaaaabaaaa", 0),
        ("bbbbb", 9),
        ("bbbbbaaaaaaaaa", 0),
        ("abaabaaabaaaa", 5),
    ],
)
def test_a_word_needs_six_right_answers_and_three_more_for_each_mistake(answers, needed) -> None:
    """Nine in all at most, so that what was mixed up at first does not count for ever."""
    drill = Drill({"a": ["a"]}, seed=1)
    for answer in answers:
        assert drill.question() == "a"
        drill.answer(answer)
    assert drill.needed == {"a": needed}
    assert drill.ready is (needed == 0)
    assert (drill.question() is None) is drill.ready


def test_a_word_that_was_sure_and_is_mixed_up_is_asked_again() -> None:
    """Whatever was sure before: as one of few that are known, or of two that were mixed up."""
    for seed in range(20):
        drill, wrong = Drill({"a": ["a"], "b": ["b"], "c": ["c"]}, seed), False
        while word := drill.question():
            mixed = not wrong and drill.needed[word] == 0
            drill.answer("abc".replace(word, "")[0] if mixed else word)
            if mixed:
                assert drill.needed[word] == 3
                wrong = True
        if wrong:
            break
    assert wrong
    assert drill.ready


@given(st.integers(0, 2**31), st.lists(st.sampled_from([*LESSON]), max_size=200))
def test_whatever_is_answered_it_ends_and_its_sums_agree(seed: int, answers: list[str]) -> None:
    drill, asked = Drill(LESSON, seed), []
    for answer in answers:
        if (meaning := drill.question()) is None:
            break
        asked.append(drill.answer(answer))
        assert asked[-1] == meanings.family(meaning)
    assert len(asked) <= MOST_EACH * len(LESSON)
    assert sum(each.asked for each in drill.scores.values()) == len(asked)
    wrong = sum(each.asked - each.right for each in drill.scores.values())
    assert wrong == sum(drill.mistaken.values())


@pytest.mark.parametrize("name", names("sounds"))
def test_lessons_hold_words_that_the_set_can_say(name: str) -> None:
    cue_set = load_cue_set(name)
    for one in LESSONS:
        words = lesson(cue_set, one).words
        assert all(says(cue_set, word, played) for word, played in words.items())
        assert all(cue_set.pulses(meaning) for meaning in chain(*words.values()))
    assert set(lesson(cue_set, "act-now").words) == meanings.ACT_NOW
    assert len(lesson(cue_set, "baths").words) == len(cue_set.signatures)
    everything = {meanings.family(meaning) for meaning in cue_set.meanings()}
    assert set(map(meanings.family, lesson(cue_set, "all").words)) == everything
