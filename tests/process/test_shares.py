"""How a share of the time is dealt to cycles: exact, even, plain, and without crumbs."""

from itertools import pairwise

import pytest

from darktimer.errors import FindingsError
from darktimer.plan.model import Plan
from darktimer.process.layout import lay_out

VESSEL = {"kind": "tub", "light": "closed"}


def bouts(
    time: str, share: str, cycle: str = "1 min", opening: str = "none", drain: str = "none"
) -> list[tuple[float, float]]:
    """When the film moves, in seconds from the moment that it is covered."""
    agitation = {"share": share, "cycle": cycle}
    step = {"develop": time, "agitation": agitation, "opening": opening, "drain": drain}
    habits = {"lights out after": "none"}
    laid = lay_out(Plan.read({"title": "A", "vessel": VESSEL, "habits": habits, "steps": [step]}))
    first = laid.steps[0]
    return [
        ((start - first.clock_ms) / 1000, (end - first.clock_ms) / 1000)
        for kind, start, end in first.spans
        if kind == "agitate"
    ]


@pytest.mark.parametrize("cycle", [20, 45, 60])
@pytest.mark.parametrize(("share", "part"), [("1/4", 0.25), ("1/2", 0.5), ("70 %", 0.7)])
def test_whole_cycles_each_begin_with_their_share(cycle: int, share: str, part: float) -> None:
    for cycles in range(1, 7):
        found = bouts(f"{cycles * cycle} s", share, f"{cycle} s")
        begun = [k * cycle for k in range(cycles)]
        assert found == [(start, start + round(cycle * part, 3)) for start in begun]


@pytest.mark.parametrize(
    ("time", "starts"),
    [
        ("150 s", [0, 60, 120]),
        ("149998 ms", [0, 60]),
        ("60 s", [0]),
        ("91 s", [0, 60]),
        ("89 s", [0]),
        ("20 s", [0]),
    ],
)
def test_a_last_piece_is_a_cycle_of_its_own_from_half_a_cycle_on(
    time: str, starts: list[int]
) -> None:
    assert [start for start, _ in bouts(time, "1/2")] == starts


def test_what_the_opening_has_used_is_dealt_evenly_to_the_cycles_after_it() -> None:
    """Half of 5 min is 150 s: 30 s at first, then 30 s in each of four cycles."""
    assert bouts("5 min", "1/2", opening="30 s") == [(60 * k, 60 * k + 30) for k in range(5)]
    # 150 s less 20 s are 130 s: 32.5 s in each of four.
    assert bouts("5 min", "1/2", opening="20 s") == [
        (0, 20),
        *((60 * k, 60 * k + 32.5) for k in range(1, 5)),
    ]
    # After an opening of 70 s the next cycle begins at 2:00: 80 s in three.
    found = bouts("5 min", "1/2", opening="70 s")
    assert [start for start, _ in found] == [0, 120, 180, 240]
    assert [end - start for start, end in found[1:]] == pytest.approx([80 / 3] * 3, abs=2e-3)


def test_an_opening_is_no_longer_than_the_share() -> None:
    assert bouts("5 min", "1/5", opening="2 min") == [(0, 60)]
    assert bouts("2 min", "1/2", opening="58 s") == [(0, 60)]  # 2 s more would be a crumb


def test_a_share_may_fill_all_that_transfer_and_drain_leave_and_no_more() -> None:
    assert bouts("100 s", "9/10", drain="10 s") == [(0, 90)]
    assert bouts("100 s", "1") == [(0, 100)]
    with pytest.raises(FindingsError) as caught:
        bouts("100 s", "91 %", drain="10 s")
    assert str(caught.value.findings[0].found) == (
        "91/100 of the time is 91 s, but transfer and drain leave only 90 s"
    )


def test_bouts_of_short_cycles_are_fewer_and_longer() -> None:
    """A quarter of 10 s would be 2.5 s: five bouts of 3 s are as much as six of those."""
    assert bouts("1 min", "1/4", "10 s") == [(10 * k, 10 * k + 3) for k in range(5)]


def test_cycles_are_taken_together_where_the_opening_left_too_little_for_each() -> None:
    """A quarter of 2 min less 10 s are 20 s: 1.8 s in each cycle, or 4 s in every other."""
    found = bouts("2 min", "1/4", "10 s", opening="10 s")
    assert found == [(0, 10), *((20 * k, 20 * k + 4) for k in range(1, 6))]


def test_standing_that_would_be_crumbs_is_put_before_all_that_moves() -> None:
    """Of 3:30 a tenth stands, 21 s: 20 s of it until the next cycle, and 1 s more."""
    assert bouts("210 s", "9/10", opening="40 s") == [(0, 40), (61, 210)]
    assert bouts("220 s", "9/10", opening="50 s", drain="10 s") == [(0, 50), (62, 210)]


def test_cycles_that_leave_no_time_to_stand_are_refused_as_they_were_asked_for() -> None:
    with pytest.raises(FindingsError, match=r"standing lasts only 1\.09 s"):
        bouts("2 min", "9/10", "10 s")


def test_what_an_opening_leaves_is_not_crumbled() -> None:
    """Of 30 s in 5 min the opening has 20 s: 10 s in four cycles would be 2.5 s each."""
    assert bouts("5 min", "1/10", opening="20 s") == [(0, 20), (240, 250)]


def test_no_share_is_dealt_in_crumbs() -> None:
    """3 s of moving or standing is little enough for hands in the dark."""
    for time in range(60, 600, 7):
        for share in ("1/5", "1/3", "1/2", "60 %", "3/4"):
            for opening in ("none", "14 s", "30 s"):
                found = bouts(f"{time} s", share, "30 s", opening, "10 s")
                edges = [0, *(edge for bout in found for edge in bout), time - 10]
                lengths = [two - one for one, two in pairwise(edges) if two != one]
                assert min(lengths) > 2.9995, (time, share, opening, found)


@pytest.mark.parametrize(
    ("asked", "expected"),
    [
        # 20 s less 10 s: the one cycle after the opening has just the 10 s that are left.
        (("40 s", "1/2", "30 s", "10 s"), [(0, 10), (30, 40)]),
        # Half of 30 s is less than the opening, and no cycle begins after it.
        (("30 s", "1/2", "10 s", "20 s", "10 s"), [(0, 15)]),
        # 36 s in cycles of 20 and 25 s: halves would leave 2 s of standing; 11 and all 25 do not.
        (("45 s", "4/5", "20 s"), [(0, 11), (20, 45)]),
        # 8.75 s in four cycles are 2.19 s each, near the 2.5 s asked for: cycles stay, and three
        # bouts are longer than four.
        (("35 s", "1/4", "10 s"), [(0, 2.916), (10, 12.917), (20, 22.917)]),
        # 20 s in ten cycles are 2 s each, four fifths of what is asked: just enough.
        (
            ("2 min", "1/4", "10 s", "10 s", "10 s"),
            [(0, 12.222), *((10 * k, 10 * k + 2.222) for k in range(2, 10))],
        ),
        # 36.667 s of 45 move: 8.333 s of standing are too little for four cycles; two together do.
        (("55 s", "2/3", "10 s", "none", "10 s"), [(0, 11.667), (20, 45)]),
    ],
)
def test_the_plainest_way_without_hurry_is_taken(
    asked: tuple[str, ...], expected: list[tuple[float, float]]
) -> None:
    found = bouts(*asked)
    assert [start for start, _ in found] == [start for start, _ in expected]
    assert [end for _, end in found] == pytest.approx([end for _, end in expected], abs=2e-3)
