"""What a plan may say of pieces, and every disagreement with its place and remedy."""

from pathlib import Path
from typing import Any

import pytest

from darktimer.errors import FileError
from darktimer.plan.checks import warnings
from darktimer.plan.pieces import Pieces
from darktimer.plan.reader import read_plan, read_plan_text
from darktimer.plan.steps import Develop
from darktimer.process.compiler import compile_plan

OPEN = "kind: tub, light: open"
BEFORE, AFTER = ("load: by hand",), ("rinse: 1 min", "fix: 8 min, clearing: 3 min, bath: fixer")


def written(
    pieces: str,
    vessel: str = OPEN,
    before: tuple[str, ...] = BEFORE,
    after: tuple[str, ...] = AFTER,
    more: str = "",
) -> str:
    develop = f"develop: 12 min, agitation: 1/2, pieces: {{{pieces}}}{more}"
    steps = "".join(f"  - {{{each}}}\n" for each in (*before, develop, *after))
    return f"title: A test\nvessel: {{{vessel}}}\nsteps:\n{steps}"


def read(text: str) -> Pieces:
    steps = read_plan_text(text, Path("plan.yaml")).plan.steps
    return next(s.pieces for s in steps if isinstance(s, Develop) and s.pieces)


def faults(text: str) -> list[tuple[str, str, str]]:
    """Key, what was found, and the remedy."""
    with pytest.raises(FileError) as refusal:
        read_plan_text(text, Path("plan.yaml"))
    return [(each.key.rpartition("steps[")[2][3:], each.found, each.remedy)
            for each in refusal.value.faults]  # fmt: skip


def test_the_three_kinds_of_test_are_read() -> None:
    times = read(written("times: [6 min, 8:30, 12 min], in: one by one"))
    assert times.times_ms(720_000) == (360_000, 510_000, 720_000)
    assert (times.in_, times.out, times.holding_bath) == ("one by one", None, "water")
    ladder = read(written("count: 3, stops apart: 1, out: one by one, into: Fixer"))
    assert ladder.times_ms(720_000) == (180_000, 360_000, 720_000)
    assert ladder.holding_bath == "Fixer"
    standing = read(written("count: 2, standing: 1", vessel="kind: spiral tank, light: closed"))
    assert standing.times_ms(720_000) == (720_000, 720_000)


@pytest.mark.parametrize(
    ("stops", "longest", "expected"),
    [
        # 12 min / 2^(2/3), / 2^(1/3): 453.57 s and 571.46 s.
        ("1/3", 720_000, (454_000, 571_000, 720_000)),
        # 10 min / 2, / sqrt 2: 300 s and 424.26 s.
        ("1/2", 600_000, (300_000, 424_000, 600_000)),
        # The longest stays as it is written: 10:00.250.
        ("50 %", 600_250, (300_000, 424_000, 600_250)),
    ],
)
def test_a_ladder_falls_on_whole_seconds(
    stops: str, longest: int, expected: tuple[int, ...]
) -> None:
    ladder = Pieces.read({"count": "3", "stops apart": stops, "in": "one by one"})
    assert ladder.times_ms(longest) == expected


CUT = "develop: 12 min, agitation: 1/2"
TIMES = "times: [6 min, 12 min]"
NINE = ", ".join(f"{k} min" for k in range(4, 13))


@pytest.mark.parametrize(
    ("pieces", "key", "found", "remedy"),
    [
        (f"{TIMES}, in: one by one, out: one by one", "pieces", "both 'in' and 'out'", "write in:"),
        (TIMES, "pieces", "neither 'in' nor 'out' is written", "or out: one by one"),
        (f"{TIMES}, in: together", "pieces.in", "found 'together'", "one by one"),
        ("in: one by one", "pieces", "what the pieces differ in is missing", "stops apart"),
        (f"{TIMES}, standing: 1", "pieces", "both 'times' and 'standing' are written", "write t"),
        (f"{TIMES}, count: 2, in: one by one", "pieces.count", "both 'times' and 'count'", "leave"),
        ("times: [12 min], in: one by one", "pieces.times", "a single piece compares", "2 to 8"),
        (f"times: [{NINE}], in: one by one", "pieces.times", "found a list", "write at most 8"),
        ("times: [6 min, 11 min], in: one by one", "pieces.times",
         "the longest piece develops 11:00, the step lasts 12:00", "write develop: 11:00"),
        ("times: [6 min, 6 min, 12 min], in: one by one", "pieces.times", "the same time", "once"),
        ("count: 9, stops apart: 1/2, in: one by one", "pieces.count", "found 9", "2 to 8 pieces"),
        ("count: 1, stops apart: 1/2, in: one by one", "pieces.count", "found 1", "2 to 8 pieces"),
        ("stops apart: 1/2, in: one by one", "pieces", "'count' is missing", "2 to 8 pieces"),
        ("count: 3, stops apart: 2, in: one by one", "pieces.stops apart", "at most 1", "1/2"),
        ("count: 2, standing: 2", "pieces.standing", "2 of 2 pieces stand", "at least one"),
        ("count: 2, standing: 1, in: one by one", "pieces.in", "go in and out together", "leave"),
        (f"{TIMES}, in: one by one, into: water", "pieces.into", "only where they go out", "leave"),
        (f"{TIMES}, out: one by one, into: stop", "pieces.into", "no later step has a bath 'stop'",
         "write water, or the bath of a later step"),
        (f"{TIMES}, in: one by one, agitation: stand", "pieces.agitation", "does not belong here",
         "write standing: 1 for a piece that is left alone"),
    ],
)  # fmt: skip
def test_pieces_that_disagree_with_themselves(
    pieces: str, key: str, found: str, remedy: str
) -> None:
    ((at, what, mend),) = faults(written(pieces))
    assert at == key
    assert found in what
    assert remedy in mend


@pytest.mark.parametrize(
    ("keys", "key", "found", "remedy"),
    [
        ({"vessel": "kind: spiral tank, light: closed"}, "pieces", "not opened for each", "open"),
        ({"vessel": "kind: tray, light: open}\nfilm: {format: 4x5 in, sheets: 4"}, "pieces",
         "pieces of 4 sheets, of which each is a piece", "as many as there are sheets, 4"),
        ({"vessel": f"{OPEN}}}\nfilms: [{{format: 120}}, {{format: 120}}]\nroom: 20 C #"}, "pieces",
         "2 films are cut into pieces at once", "one film"),
        ({"more": ", repeat: 2"}, "repeat", "a bath with pieces is repeated", "by itself"),
        ({"more": ", adjust: for temperature, time is for: 20 C, temperature: 22 C"}, "adjust",
         "a test of times is adjusted", "write the times as they are"),
        ({"before": (*BEFORE, "stop: 1 min")}, "pieces.in", "what the stop left in them", "out"),
        ({"before": (*BEFORE, f"{CUT}, pieces: {{{TIMES}, out: one by one}}", "rinse: 1 min")},
         "pieces", "cut into pieces twice", "of one step"),
    ],
)  # fmt: skip
def test_pieces_that_disagree_with_the_plan(
    keys: dict[str, Any], key: str, found: str, remedy: str
) -> None:
    told = [
        each for each in faults(written(f"{TIMES}, in: one by one", **keys)) if found in each[1]
    ]
    ((at, _, mend),) = told
    assert at == key
    assert remedy in mend


def test_sheets_that_differ_lie_side_by_side_and_change_baths_together() -> None:
    plan = read_plan("sheets-that-differ").plan
    assert (plan.vessel.kind, plan.sheets, plan.films[0].sheets) == ("tray", 0, 3)
    timeline = compile_plan(plan, lambda _: 400)
    assert not {"sheet"} & {cue.meaning for cue in timeline.cues}


def test_a_drum_does_not_stand() -> None:
    ((at, found, _),) = faults(written("count: 2, standing: 1", vessel="kind: drum, light: closed"))
    assert (at, found) == ("pieces.standing", "a drum that stands wets a part of its film only")


def test_what_stands_apart_has_bath_of_its_own() -> None:
    vessel = "kind: tub, light: open, volume: "
    with pytest.raises(FileError) as refusal:
        read(written("count: 2, standing: 1", vessel=f"{vessel}1 l"))
    assert refusal.value.faults[0].key == "vessel.volume"
    assert "two of 1 l" in refusal.value.faults[0].remedy
    assert read(written("count: 2, standing: 1", vessel=f"{vessel}two of 1 l")).standing == 1


@pytest.mark.parametrize("before", ["soak: 1 min", "rinse: 1 min", "wash: 2 min"])
def test_pieces_may_wait_in_water(before: str) -> None:
    assert read(written(f"{TIMES}, in: one by one", before=(*BEFORE, before)))


def test_only_a_develop_has_pieces() -> None:
    text = written(f"{TIMES}, in: one by one").replace("rinse: 1 min", "rinse: 1 min, pieces: {}")
    ((at, _, remedy),) = faults(text)
    assert (at, remedy) == ("pieces", "only a develop is a test of pieces; write it there")


def test_the_shortest_piece_is_long_enough_to_develop_evenly() -> None:
    def doubts(times: str) -> list[str]:
        text = written(f"times: [{times}, 12 min], in: one by one")
        plan = read_plan_text(text, Path("plan.yaml")).plan
        return [each.found for each in warnings(plan) if "short time" in each.found]

    assert doubts("299 s") == ["4:59 is a short time to develop"]
    assert doubts("5 min") == []


def test_a_ladder_has_as_many_pieces_as_sheets_and_at_most_eight() -> None:
    vessel = "kind: tray, light: open}\nfilm: {format: 4x5 in, sheets: 8"
    assert read(written("count: 8, stops apart: 1/3, in: one by one", vessel=vessel)).count == 8


def test_pieces_wait_in_a_later_bath_and_not_in_the_one_they_leave() -> None:
    own = written("count: 2, stops apart: 1, out: one by one, into: brew", more=", bath: brew")
    ((at, found, _),) = faults(own)
    assert (at, found) == ("pieces.into", "no later step has a bath 'brew'")
