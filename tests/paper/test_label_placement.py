"""No label hides another, and no leader line runs through one."""

from hypothesis import given
from hypothesis import strategies as st

from darktimer.paper.label_placement import Label, place_labels

RIGHT = 500.0
LABELS = st.builds(Label, st.floats(0, RIGHT), st.floats(5, 150), st.floats(1, 100))


@given(st.lists(LABELS, max_size=20))
def test_labels_keep_clear(made: list[Label]) -> None:
    placed = place_labels(made, RIGHT, 4)
    for label in placed:
        assert label.end <= RIGHT
        assert label.at == made[label.label].at
        for other in placed:
            if other is not label and other.level == label.level:
                assert label.end <= other.start or other.end <= label.start
            if other.level < label.level:
                assert not other.start < label.at < other.end


def test_neighbours_stack_so_that_all_find_room() -> None:
    made = [Label(10.0 * n, 60.0, 1.0) for n in range(4)]
    placed = {label.label: label.level for label in place_labels(made, RIGHT, 4)}
    assert placed == {0: 3, 1: 2, 2: 1, 3: 0}


def test_a_label_at_the_edge_stands_inward() -> None:
    (label,) = place_labels([Label(490.0, 60.0, 1.0)], RIGHT, 4)
    assert (label.start, label.end) == (430.0, 490.0)


def test_what_has_no_room_to_its_right_stands_to_the_left() -> None:
    made = [Label(0.0, 30.0, 1.0), Label(100.0, 60.0, 1.0), Label(130.0, 60.0, 1.0)]
    starts = {label.label: label.start for label in place_labels(made, RIGHT, 1)}
    assert starts == {0: 0.0, 1: 40.0, 2: 130.0}


def test_what_found_no_room_is_placed_first_the_next_time() -> None:
    """The leader of the second at the edge runs through the first, unless that stands lower."""
    made = [Label(180.0, 60.0, 1.0), Label(40.0, 40.0, 1.0), Label(190.0, 50.0, 1.0)]
    assert {label.label for label in place_labels(made, 200.0, 2)} == {0, 1, 2}
