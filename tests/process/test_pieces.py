"""A film in pieces: each has its own time to the millisecond, and hands do one thing at a time."""

from collections.abc import Callable
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from darktimer.errors import DarktimerError, FindingsError
from darktimer.process.timeline import FilmPiece, Span, Timeline

Compiled = Callable[..., Timeline]
LOAD = {"load": "by hand"}
IN, OUT = {"in": "one by one"}, {"out": "one by one"}
#: The step begins at 210 s: 30 s until the lights go out, 3 min of loading.
BEGINS_MS = 210_000


@pytest.fixture
def develop(compiled: Compiled) -> Callable[..., Timeline]:
    """A develop in an open tub, covered 5 s after it begins and lifted 10 s before its end."""

    def work(pieces: Any, agitation: Any = "none", time: str = "4 min", **keys: Any) -> Timeline:
        step = {"develop": time, "agitation": agitation, "opening": "none", "pieces": pieces}
        step |= {key: keys.pop(key) for key in keys.keys() & {"drain", "transfer", "opening"}}
        quiet = {"tally": "none", "heartbeat": "none", "baths told by": "signature"}
        steps = [LOAD, step, {"stop": "1 min"}]
        vessel = {"kind": "tub", "light": "open"}
        return compiled(**{"vessel": vessel, "habits": quiet, "steps": steps, **keys})

    return work


def spans(timeline: Timeline, piece: int | None = None) -> list[tuple[str, int, int]]:
    """What is done in the develop, or lived through by a piece, in seconds from its begin."""
    those = timeline.spans_of(timeline.pieces[piece - 1]) if piece else timeline.spans
    found = [s for s in those if timeline.steps[s.step].kind == "develop"]
    return [(s.kind, *((ms - BEGINS_MS) // 1000 for ms in (s.start_ms, s.end_ms))) for s in found]


def heard(timeline: Timeline, family: str) -> list[tuple[float, str]]:
    found = [c for c in timeline.cues if timeline.steps[c.step].kind in ("develop", "stop")]
    return [
        ((c.at_ms - BEGINS_MS) / 1000, c.meaning) for c in found if c.meaning.startswith(family)
    ]


def refused(develop: Callable[..., Timeline], *args: Any, **keys: Any) -> list[str]:
    with pytest.raises(FindingsError) as refusal:
        develop(*args, **keys)
    assert {each.path[:2] for each in refusal.value.findings} == {("steps", 1)}
    return [each.found for each in refusal.value.findings]


THREE = {"times": ["2 min", "3 min", "4 min"]}


def test_pieces_go_in_one_by_one_so_that_all_leave_together(
    develop: Callable[..., Timeline],
) -> None:
    """The longest first; each so much later as its time is shorter; pips, and its number before."""
    timeline = develop({**THREE, **IN})
    assert heard(timeline, "enter") == [
        (0, "enter-develop"), (60, "enter-develop"), (120, "enter-develop"), (245, "enter-stop"),
    ]  # fmt: skip
    assert heard(timeline, "piece") == [
        (40, "piece-2"), (100, "piece-1"),
    ]  # fmt: skip
    assert [at for at, _ in heard(timeline, "pip")][:6] == [57, 58, 59, 117, 118, 119]
    assert heard(timeline, "lift")[0] == (235, "lift")
    assert spans(timeline) == [
        ("transfer", 0, 5), ("stand", 5, 60), ("piece", 60, 65), ("stand", 65, 120),
        ("piece", 120, 125), ("stand", 125, 235), ("drain", 235, 245),
    ]  # fmt: skip
    assert spans(timeline, 1) == [("transfer", 120, 125), ("stand", 125, 235), ("drain", 235, 245)]
    assert spans(timeline, 2) == [
        ("transfer", 60, 65), ("stand", 65, 120), ("stand", 120, 125), ("stand", 125, 235),
        ("drain", 235, 245),
    ]  # fmt: skip
    assert [p.time_ms for p in timeline.pieces] == [120_000, 180_000, 240_000]
    assert {p.step for p in timeline.pieces} == {2}


def test_pieces_go_out_one_by_one_into_water(develop: Callable[..., Timeline]) -> None:
    """Each is lifted, drains, and is laid into water at its time; the last goes with its step."""
    timeline = develop({**THREE, **OUT})
    assert heard(timeline, "lift")[:3] == [(115, "lift"), (175, "lift"), (235, "lift")]
    assert heard(timeline, "enter") == [
        (0, "enter-develop"), (125, "enter-rinse"), (185, "enter-rinse"), (245, "enter-stop"),
    ]  # fmt: skip
    assert heard(timeline, "piece") == [
        (95, "piece-1"), (155, "piece-2"),
    ]  # fmt: skip
    pips = [112, 113, 114, 122, 123, 124, 172, 173, 174, 182, 183, 184]
    assert [at for at, _ in heard(timeline, "pip")][:12] == pips
    assert spans(timeline, 1) == [("transfer", 0, 5), ("stand", 5, 115), ("drain", 115, 125)]
    assert spans(timeline)[1:4] == [("stand", 5, 115), ("piece", 115, 130), ("stand", 130, 175)]
    undrained = develop({**THREE, **OUT}, drain="none")
    assert heard(undrained, "enter-rinse") == [(125, "enter-rinse"), (185, "enter-rinse")]
    assert heard(undrained, "lift")[0][0] > 245
    assert spans(undrained, 1) == [("transfer", 0, 5), ("stand", 5, 125)]


def test_they_wait_in_a_later_bath_of_the_plan(develop: Callable[..., Timeline]) -> None:
    timeline = develop({**THREE, **OUT, "into": "Stop"})
    assert [meaning for _, meaning in heard(timeline, "enter")] == [
        "enter-develop",
        *["enter-stop"] * 3,
    ]
    assert "wait in Stop: piece 1 after 2:00, piece 2 after 3:00" in timeline.notes[1]


def test_the_bath_is_told_as_the_plan_tells_baths(develop: Callable[..., Timeline]) -> None:
    """The places from the left: developer 1, stop 2; water that is in no step has none."""
    by_order, by_place = ({"habits": {"baths told by": each}} for each in ("order", "place"))

    def told(more: dict[str, str], habits: dict[str, Any]) -> list[str]:
        return [meaning for _, meaning in heard(develop({**THREE, **more}, **habits), "enter")]

    assert told(IN, by_order) == told(OUT, by_order) == ["enter"] * 4
    assert told(IN, by_place) == ["enter-1", "enter-1", "enter-1", "enter-2"]
    assert told(OUT, by_place) == ["enter-1", "enter", "enter", "enter-2"]
    assert told({**OUT, "into": "stop"}, by_place) == ["enter-1", *["enter-2"] * 3]


def test_minutes_beside_pieces_are_told_where_asked(develop: Callable[..., Timeline]) -> None:
    pieces, usual = {"times": ["20 min", "30 min"], **IN}, {"habits": {}}
    assert heard(develop(pieces, time="30 min", **usual), "tally") == []
    asked = develop(pieces, time="30 min", habits={"tally": "15 min"})
    assert [meaning for _, meaning in heard(asked, "tally")] == ["tally-15"]
    alone = develop({"count": "2", "standing": "1"}, time="30 min", **usual)
    assert heard(alone, "tally")


def test_the_numbers_stay_as_they_are_written(develop: Callable[..., Timeline]) -> None:
    timeline = develop({"times": ["4 min", "2 min", "3 min"], **IN})
    assert [p.number for p in timeline.pieces] == [1, 2, 3]
    assert [meaning for _, meaning in heard(timeline, "piece")] == ["piece-3", "piece-2"]
    told = "piece 1 at 0:00 for 4:00, piece 3 at 1:00 for 3:00, piece 2 at 2:00 for 2:00."
    assert told in timeline.notes[1]


def test_a_ladder_is_of_equal_ratios(develop: Callable[..., Timeline]) -> None:
    """16 min and half stops below: by the square root of 2, 11:18.8, 8:00, 5:39.4 and 4:00."""
    timeline = develop({"count": "5", "stops apart": "1/2", **IN}, time="16 min")
    assert [p.time_ms for p in timeline.pieces] == [240_000, 339_000, 480_000, 679_000, 960_000]


@pytest.mark.parametrize(
    ("starts", "drain", "part"),
    [
        ("full", "inside", 185),
        ("full", "after", 195),
        ("pour", "inside", 180),
        ("pour", "after", 190),
    ],
)
@pytest.mark.parametrize("way", [IN, OUT])
def test_a_piece_keeps_the_convention_of_time(
    develop: Callable[..., Timeline], starts: str, drain: str, part: int, way: dict[str, str]
) -> None:
    ways = {"clock starts": starts, "drain is": drain}
    timeline = develop({**THREE, **way}, **ways)
    piece = timeline.pieces[1]
    assert piece.end_ms - piece.start_ms == 1000 * part


# Moving gives way


@pytest.mark.parametrize(
    ("times", "expected"),
    [
        # In the midst of a bout.
        ("2:45", [("agitate", 65, 75), ("piece", 75, 80), ("agitate", 80, 95)]),
        # 2 s of a bout are left before it.
        ("2:53", [("stand", 35, 67), ("piece", 67, 72), ("agitate", 72, 95)]),
        # 2 s of standing are left before it, and are moved.
        ("2:23", [("agitate", 65, 97), ("piece", 97, 102), ("stand", 102, 125)]),
        # 2 s of standing are left after it, and are moved.
        ("3:02", [("stand", 35, 58), ("piece", 58, 63), ("agitate", 63, 95)]),
        # 2 s of a bout are left after it.
        ("2:32", [("agitate", 65, 88), ("piece", 88, 93), ("stand", 93, 125)]),
        # 3 s are long enough.
        ("2:52", [("agitate", 65, 68), ("piece", 68, 73), ("agitate", 73, 95)]),
        ("2:22", [("stand", 95, 98), ("piece", 98, 103), ("stand", 103, 125)]),
        ("3:03", [("stand", 35, 57), ("piece", 57, 62), ("stand", 62, 65)]),
    ],
)
def test_moving_rests_while_a_piece_goes_in_and_leaves_no_crumb(
    develop: Callable[..., Timeline], times: str, expected: list[tuple[str, int, int]]
) -> None:
    """A bout from 1:05 to 1:35 after the step began; what is under 3 s joins what is around it."""
    timeline = develop({"times": [times, "4 min"], **IN}, {"share": "1/2", "cycle": "1 min"})
    found = spans(timeline)
    at = [kind for kind, _, _ in found].index("piece")
    assert found[at - 1 : at + 2] == expected


def test_what_gives_way_is_told(develop: Callable[..., Timeline]) -> None:
    timeline = develop({**THREE, **IN}, "continuous")
    assert spans(timeline)[1:4] == [("agitate", 5, 60), ("piece", 60, 65), ("agitate", 65, 120)]
    assert heard(timeline, "move")[:3] == [(5, "move"), (65, "move"), (125, "move")]
    told = "While a piece goes in or out nothing is moved: 0:10 of moving gives way."
    assert told in timeline.notes
    assert not any("gives way" in note for note in develop({**THREE, **IN}).notes)


# What hands cannot do


def test_two_pieces_need_ten_seconds_between_them(develop: Callable[..., Timeline]) -> None:
    """Each takes 5 s of transfer; two moments are named."""
    assert develop({"times": ["3 min", "3:15", "4 min"], **IN}).pieces
    assert refused(develop, {"times": ["3 min", "3:14", "4 min"], **IN}) == [
        "piece 2 is due at 0:41 and takes 5 s, but piece 1 is due at 0:55"
    ]
    assert refused(develop, {"times": ["3 min", "3:24", "4 min"], **OUT}) == [
        "piece 1 is due at 2:50 and takes 15 s, but piece 2 is due at 3:14"
    ]
    assert develop({"times": ["3 min", "3:25", "4 min"], **OUT}).pieces
    assert refused(develop, {"times": ["3 min", "3:14.999", "4 min"], **IN})


def test_a_piece_needs_ten_seconds_from_the_film_and_to_its_lift(
    develop: Callable[..., Timeline],
) -> None:
    assert develop({"times": ["20 s", "3:45", "4 min"], **IN}).pieces
    assert refused(develop, {"times": ["19 s", "3:46", "4 min"], **IN}) == [
        "the film is covered at 0:00, but piece 2 is due at 0:09",
        "piece 1 is due at 3:36 and takes 5 s, but all are due to leave at 3:50",
    ]
    assert refused(develop, {"times": ["3:46", "4 min"], **IN}) == [
        "the film is covered at 0:00, but piece 1 is due at 0:09"
    ]
    assert refused(develop, {"times": ["3:58", "4 min"], **IN}) == [
        "the film is covered at 0:00, but piece 1 is due at -0:03"
    ]


@pytest.mark.parametrize("time", ["5 s", "10 s", "14 s"])
def test_a_piece_has_no_time_in_the_drain(develop: Callable[..., Timeline], time: str) -> None:
    (found,) = refused(develop, {"times": [time, "4 min"], **IN})
    assert found.endswith("but all are due to leave at 3:50")


TURNS = {"inversions": "2", "within": "5 s", "every": "1 min"}


@pytest.mark.parametrize(
    ("time", "turned"),
    [
        ("2 min", None),  # in at 1:55, by 2:00, where turns begin
        ("1:58", "2:01.1"),  # in by 2:02
        ("1:56", "2:01.1"),  # in by 2:04
        ("1:50.1", "2:01.1"),  # due at 2:04.9, and the bout ends at 2:05
        ("1:50", None),  # due at 2:05
    ],
)
def test_turns_are_counted_and_so_give_no_way(
    develop: Callable[..., Timeline], time: str, turned: str | None
) -> None:
    pieces = {"times": [time, "4 min"], **IN}
    if turned is None:
        assert develop(pieces, TURNS).pieces
        return
    (found,) = refused(develop, pieces, TURNS)
    assert found.endswith(f"but the film is to be turned at {turned}")


def test_who_turns_the_film_round_does_so_clear_of_pieces(develop: Callable[..., Timeline]) -> None:
    """Turned at each minute; 1.4 s before a piece that is due and 1.1 s after it are kept free."""
    rotation = {"reverse every": "1 min"}
    (found,) = refused(develop, {"times": ["2 min", "4 min"], **IN}, rotation)
    assert found == "piece 1 is due at 1:55, but the film is to be turned at 2:00"
    (found,) = refused(develop, {"times": ["1:54", "4 min"], **IN}, rotation)
    assert found == "piece 1 is due at 2:01, but the film is to be turned at 2:00"
    assert develop({"times": ["1:53.6", "4 min"], **IN}, rotation).pieces  # due at 2:01.4
    assert refused(develop, {"times": ["1:53.601", "4 min"], **IN}, rotation)
    assert develop({"times": ["2:01.1", "4 min"], **IN}, rotation).pieces  # over at 1:58.9
    assert refused(develop, {"times": ["2:01.099", "4 min"], **IN}, rotation)


# Pieces that are left alone


def test_some_stand_in_a_vessel_of_their_own(develop: Callable[..., Timeline]) -> None:
    """All are moved in the opening; from then on only the first two are."""
    pieces = {"count": "3", "standing": "1"}
    timeline = develop(pieces, {"share": "1/2", "cycle": "1 min"}, opening="10 s")
    assert [(p.number, p.stands_ms) for p in timeline.pieces] == [
        (1, None), (2, None), (3, BEGINS_MS + 15_000),
    ]  # fmt: skip
    assert spans(timeline, 1) == spans(timeline, 2) == spans(timeline)
    moving = [span for span in spans(timeline, 3) if span[0] == "agitate"]
    assert moving == [("agitate", 5, 15)]
    assert len([span for span in spans(timeline) if span[0] == "agitate"]) > 2
    assert "from the opening on only the others are moved, not piece 3." in timeline.notes[1]
    two = develop({"count": "4", "standing": "2"}, "continuous", opening="10 s")
    assert "not pieces 3 to 4." in two.notes[1]


def test_who_moves_on_is_told_when_the_others_are_left_alone(
    develop: Callable[..., Timeline],
) -> None:
    timeline = develop({"count": "2", "standing": "1"}, "continuous", opening="10 s")
    assert spans(timeline)[1:3] == [("agitate", 5, 15), ("agitate", 15, 235)]
    assert heard(timeline, "move")[:2] == [(5, "move"), (15, "move")]
    still = develop({"count": "2", "standing": "1"}, "continuous", opening="none")
    assert spans(still, 2)[1] == ("stand", 5, 235)


# Laws


def seconds(least: int, most: int) -> st.SearchStrategy[str]:
    return st.integers(least, most).map("{} s".format)


WAYS = st.one_of(
    st.sampled_from(["continuous", "stand", "none", "1/2", "1/3"]),
    st.builds(lambda k: {"reverse every": f"{k} s"}, st.integers(20, 90)),
    st.builds(
        lambda n, k: {"inversions": f"{n}", "every": f"{k} s"},
        st.integers(1, 4),
        st.integers(20, 90),
    ),
)


@settings(
    max_examples=200,
    deadline=None,
    suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow,
                           HealthCheck.function_scoped_fixture],
)  # fmt: skip
@given(
    times=st.lists(st.integers(60, 1200), min_size=2, max_size=8, unique=True),
    way=st.sampled_from([IN, OUT]),
    agitation=WAYS,
    conventions=st.fixed_dictionaries(
        {},
        optional={
            "clock starts": st.sampled_from(["full", "pour"]),
            "drain is": st.sampled_from(["inside", "after"]),
        },
    ),
    habits=st.fixed_dictionaries(
        {"drain": st.just("none") | seconds(3, 20), "transfer": seconds(3, 10)},
        optional={"opening": st.just("none") | seconds(10, 60)},
    ),
)
def test_the_spans_of_each_piece_tile_its_own_time(
    compiled: Compiled,
    times: list[int],
    way: dict[str, str],
    agitation: Any,
    conventions: dict[str, str],
    habits: dict[str, str],
) -> None:
    """To the millisecond; and no two cues cover each other, whatever is accepted."""
    pieces = {"times": [f"{each} s" for each in times], **way}
    step = {"develop": f"{max(times)} s", "agitation": agitation, "pieces": pieces}
    vessel = {"kind": "tub", "light": "open"}
    try:
        timeline = compiled(
            **conventions, vessel=vessel, habits=habits, steps=[LOAD, step, {"stop": "1 min"}]
        )
    except DarktimerError:
        assume(False)
        raise AssertionError("never reached") from None
    whole = [span for span in timeline.spans if span.step == 2]
    assert all(a.end_ms == b.start_ms for a, b in pairwise(whole))
    for piece, time in zip(timeline.pieces, times, strict=True):
        _lives_its_own_time(timeline, piece, 1000 * time)
        _is_called_for(timeline, piece, 1000 * (max(times) - time), way)
    assert all(one.end_ms + 500 <= two.at_ms for one, two in pairwise(timeline.cues))


def _lives_its_own_time(timeline: Timeline, piece: FilmPiece, time_ms: int) -> None:
    own: list[Span] = timeline.spans_of(piece)
    assert (own[0].start_ms, own[-1].end_ms) == (piece.start_ms, piece.end_ms)
    assert all(a.end_ms == b.start_ms and a.end_ms > a.start_ms for a, b in pairwise(own))
    assert own[0].kind == "transfer"
    assert not any(span.kind in ("piece", "transfer") for span in own[1:])
    inside = [span for span in own if span.kind not in timeline.outside]
    assert sum(span.end_ms - span.start_ms for span in inside) == time_ms == piece.time_ms


def _is_called_for(timeline: Timeline, piece: FilmPiece, sooner_ms: int, way: Any) -> None:
    """By a cue at its exact moment, so much later in, or sooner out, as its time is shorter."""
    step = timeline.steps[piece.step]
    moment_ms = step.start_ms + sooner_ms if way is IN else step.end_ms - sooner_ms
    assert (piece.start_ms if way is IN else piece.end_ms) == moment_ms
    acts = {(cue.at_ms, cue.meaning) for cue in timeline.cues}
    assert (moment_ms, "enter") in acts
