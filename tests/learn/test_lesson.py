"""What is taught of a plan whose film is in pieces."""

from darktimer.cues.reader import load_cue_set
from darktimer.learn.lesson import lesson, lesson_of_plan, says
from darktimer.prepare.prepared import prepare


def test_the_answer_of_a_film_in_pieces_names_the_next_one() -> None:
    """Three of four pieces go in by themselves; the first does with the bath."""
    timeline = prepare("pieces-in-one-by-one", "standard", None).timeline
    words = lesson_of_plan(load_cue_set("standard"), timeline, "").words
    rows = [row for word in words if word.startswith("left-") for row in words[word]]
    pieces = {row[1] for row in rows if len(row) == 3}
    assert pieces == {"piece-1", "piece-2", "piece-3"}
    assert all(row[0] == "here-2" and row[2].startswith("left-") for row in rows if len(row) == 3)


def test_minutes_and_times_left_are_words_of_their_own() -> None:
    """So that who hears that it is a number, but counts wrongly, is not called ready."""
    cue_set = load_cue_set("standard")
    words = lesson_of_plan(
        cue_set, prepare("open-tub-half-agitation", "standard", None).timeline, ""
    ).words
    numbers = [word for word in words if word.startswith(("tally", "left"))]
    assert numbers == ["tally-5", "tally-10", "left-40", "left-120", "left-300"]
    assert all(row[-1] == word for word in numbers for row in words[word])
    assert says(cue_set, "tally-5").endswith(": 5")
    assert says(cue_set, "left-40").startswith("left in this step: 0:40, ")


def test_who_asks_where_there_is_no_bath_hears_a_time_that_was_learnt() -> None:
    timeline = prepare("room-for-light", "standard", None).timeline
    words = lesson_of_plan(load_cue_set("standard"), timeline, "").words
    assert [words[left] for left in words if left.startswith("left")] == [
        [("left-40",)],
        [("left-120",)],
        [("left-300",)],
    ]


def test_of_many_minutes_a_few_are_learnt() -> None:
    words = lesson(load_cue_set("standard"), "all").words
    assert [word for word in words if word.startswith("tally")] == [
        "tally-1",
        "tally-7",
        "tally-12",
    ]
    assert [word for word in words if word.startswith("left")] == [
        "left-40",
        "left-120",
        "left-300",
    ]
