"""What is taught of a plan, and of a whole set."""

import pytest

from darktimer.cues.reader import load_cue_set
from darktimer.learn.lesson import WordSounds, lesson, lesson_of_plan, says
from darktimer.prepare.prepared import prepare
from darktimer.shipped import names

STANDARD = load_cue_set("standard")


def words_of(plan: str) -> WordSounds:
    return lesson_of_plan(STANDARD, prepare(plan, "standard", None).timeline, "").words


def test_each_sound_of_an_answer_is_a_word() -> None:
    """Where I am: the vessel, the piece that is the next, the time left."""
    words = words_of("pieces-in-one-by-one")
    assert words["here"] == ["here-1", "here-2", "here-3", "here-4", "here-5"]
    assert words["piece"] == ["piece-3", "piece-2", "piece-1"]
    assert says(STANDARD, "here", words["here"]) == "you are at ..., the answer to any other key"
    assert says(STANDARD, "piece", words["piece"]) == "the next piece ..."


@pytest.mark.parametrize("plan", names("sequences"))
def test_who_asks_where_there_is_no_bath_hears_a_time_that_was_learnt(plan: str) -> None:
    assert {"left-20", "left-120", "left-180"} <= {*words_of(plan)}


def test_what_is_a_number_is_told_in_words_where_it_is_one_sound() -> None:
    """As the card tells it."""
    words = words_of("long-stand")
    assert words["ready"] == ["ready-1"]
    assert says(STANDARD, "ready", words["ready"]) == STANDARD.says("ready-1")


def test_minutes_and_times_left_are_words_of_their_own() -> None:
    """So that who hears that it is a number, but counts wrongly, is not called ready."""
    words = words_of("open-tub-half-agitation")
    numbers = [word for word in words if word.startswith(("tally", "left"))]
    assert numbers == ["tally-5", "tally-10", "left-20", "left-120", "left-180"]
    assert all(words[word] == [word] for word in numbers)
    assert says(STANDARD, "tally-5", ["tally-5"]).endswith(": 5")
    assert says(STANDARD, "left-20", ["left-20"]).startswith("left in this step: 0:20, ")


def test_of_many_minutes_a_few_are_learnt() -> None:
    words = lesson(STANDARD, "all").words
    assert [word for word in words if word.startswith("tally")] == [
        "tally-1",
        "tally-7",
        "tally-12",
    ]
    assert [word for word in words if word.startswith("left")] == [
        "left-20",
        "left-120",
        "left-180",
    ]
