"""What is taught of a plan whose film is in pieces."""

from darktimer.cues.reader import load_cue_set
from darktimer.learn.lesson import lesson_of_plan
from darktimer.prepare.prepared import prepare


def test_the_answer_of_a_film_in_pieces_names_the_next_one() -> None:
    """Three of four pieces go in by themselves; the first does with the bath."""
    timeline = prepare("pieces-in-one-by-one", "standard", None).timeline
    rows = lesson_of_plan(load_cue_set("standard"), timeline, "").words["where am I"]
    pieces = {row[1] for row in rows if len(row) == 3}
    assert pieces == {"piece-1", "piece-2", "piece-3"}
    assert all(row[0] == "here-2" and row[2].startswith("left-") for row in rows if len(row) == 3)
