"""No flag hides another, and no staff runs through one."""

from hypothesis import given
from hypothesis import strategies as st

from darktimer.paper.flags import Wish, hoisted

RIGHT = 500.0
wishes = st.builds(Wish, st.floats(0, RIGHT), st.floats(5, 150), st.floats(1, 100))


@given(st.lists(wishes, max_size=20))
def test_flags_keep_clear(made: list[Wish]) -> None:
    flags = hoisted(made, RIGHT, 4)
    for flag in flags:
        assert flag.end <= RIGHT
        assert flag.at == made[flag.label].at
        for other in flags:
            if other is not flag and other.level == flag.level:
                assert flag.end <= other.start or other.end <= flag.start
            if other.level < flag.level:
                assert not other.start < flag.at < other.end


def test_neighbours_stack_so_that_all_find_room() -> None:
    made = [Wish(10.0 * n, 60.0, 1.0) for n in range(4)]
    flags = {flag.label: flag.level for flag in hoisted(made, RIGHT, 4)}
    assert flags == {0: 3, 1: 2, 2: 1, 3: 0}


def test_a_flag_at_the_edge_flies_inward() -> None:
    (flag,) = hoisted([Wish(490.0, 60.0, 1.0)], RIGHT, 4)
    assert flag.flies_left
    assert (flag.start, flag.end) == (430.0, 490.0)
