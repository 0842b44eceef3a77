"""How sheets in a tray are shuffled: whole rounds, spread where their number is written."""

from typing import Any

import pytest

from darktimer.errors import FindingsError
from darktimer.plan.model import Plan
from darktimer.process.layout import Laid, lay_out


def bath(time: str, **shuffle: str) -> Laid:
    """Three sheets that enter 2 s apart and drain for 4 s: in the bath from 0:06 on."""
    written: dict[str, Any] = {
        "title": "A",
        "vessel": {"kind": "tray", "light": "open"},
        "film": {"format": "4x5 in", "sheets": "3"},
        "habits": {"transfer": "2 s", "drain": "4 s", "lights out after": "none"},
        "steps": [{"load": "1 min"}, {"soak": time, "agitation": shuffle}],
    }
    return lay_out(Plan.read(written)).steps[1]


def shuffled(time: str, each: str = "5 s", **rounds: str) -> tuple[list[Any], list[Any]]:
    """Bouts of moving, and the ticks after all sheets are in, in seconds from the first sheet."""
    laid = bath(time, **{"shuffle each": each, **rounds})
    start = laid.start_ms
    bouts = [((a - start) / 1000, (b - start) / 1000) for k, a, b in laid.spans if k == "agitate"]
    ticks = [((at - start) / 1000, what) for at, what in laid.ticks if at - start >= 6000]
    return bouts, ticks


def test_as_many_whole_rounds_as_fit() -> None:
    """In 1:00 there are 50 s: three rounds of 15 s, and 5 s of standing."""
    bouts, ticks = shuffled("1 min", **{"tell rounds": "yes"})
    assert bouts == [(6, 51)]
    # The cue that begins the bout calls for the first sheet of the first round.
    assert ticks == [
        (11, "sheet"),
        (16, "sheet"),
        (21, "round"),
        (26, "sheet"),
        (31, "sheet"),
        (36, "round"),
        (41, "sheet"),
        (46, "sheet"),
    ]


@pytest.mark.parametrize(("time", "end"), [("58 s", 51), ("57999 ms", 53.999), ("55 s", 51)])
def test_less_than_three_seconds_of_standing_are_moved_through(time: str, end: float) -> None:
    bouts, ticks = shuffled(time)
    assert bouts == [(6, end)]
    assert ticks[-1] == (46, "sheet")


def test_rounds_whose_number_is_written_are_spread() -> None:
    """Two in 50 s begin 25 s apart, and what begins each calls for its first sheet."""
    bouts, ticks = shuffled("1 min", rounds="2")
    assert bouts == [(6, 21), (31, 46)]
    assert ticks == [(11, "sheet"), (16, "sheet"), (36, "sheet"), (41, "sheet")]


@pytest.mark.parametrize(
    ("time", "bouts"),
    [("64 s", [(6, 21), (24, 39), (42, 57)]), ("63999 ms", [(6, 51)])],
)
def test_rounds_with_less_than_three_seconds_between_them_are_one_bout(
    time: str, bouts: list[tuple[int, int]]
) -> None:
    assert shuffled(time, rounds="3")[0] == bouts


def test_one_round_and_a_round_that_just_fits() -> None:
    assert shuffled("1 min", rounds="1")[0] == [(6, 21)]
    assert shuffled("25 s")[0] == [(6, 21)]
    assert shuffled("55 s", rounds="3")[0] == [(6, 51)]


@pytest.mark.parametrize(
    ("time", "rounds", "found", "remedy"),
    [
        ("1 min", {"rounds": "4"}, "4 x 15 s", "write fewer rounds"),
        ("24999 ms", {}, "1 x 15 s", "write a longer step"),
        ("24999 ms", {"rounds": "1"}, "1 x 15 s", "write a longer step"),
    ],
)
def test_rounds_that_do_not_fit_are_refused(
    time: str, rounds: dict[str, str], found: str, remedy: str
) -> None:
    with pytest.raises(FindingsError) as caught:
        shuffled(time, **rounds)
    (finding,) = caught.value.findings
    room = "50" if time == "1 min" else "14.999"
    assert finding.found == (
        f"{found} for a round of the sheets do not fit into the {room} s between transfer and drain"
    )
    assert finding.remedy.startswith(remedy)
