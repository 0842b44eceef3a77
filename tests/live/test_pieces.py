"""A cut film led live: which piece is next, and a piece whose moment fell into a silence."""

import pytest

from darktimer.live.gates import Waits
from darktimer.live.missed import LATE_MS
from darktimer.prepare.prepared import prepare
from darktimer.process import meanings
from tests.live.plans import OTHER
from tests.live.studio import Studio
from tests.live.test_conductor import Run, now, press

CUT = """
title: Cut, invented and untested on film
vessel: {{kind: tub, light: open, volume: 1.5 l}}
habits: {{lights out after: 2 s, loading: 5 s, opening: none, warnings: 15 s, heartbeat: none}}
steps:
  - load: by hand
  - develop: 3 min
    agitation: {{share: 1/2, cycle: 40 s}}
    pieces: {{times: [1 min, 2 min, 150 s, 3 min], {way}}}
  - rinse: 30 s
  - fix: 1 min
"""
IN, OUT = CUT.format(way="in: one by one"), CUT.format(way="out: one by one")
#: The develop begins at 7 s, and the hands need 5 s to get film into it: pieces 3, 2 and 1 go in
#: at 37 s, 67 s and 127 s. Lifted they are 10 s before their time is over, at 62, 122 and 152 s.
BEGINS_MS = 7_000


def run_of(text: str) -> Run:
    return Run(text, Waits.NOWHERE)


def heard(run: Run, from_ms: int, to_ms: int) -> list[str]:
    """What sounds between two moments, but for what moves the film."""
    return [
        cue.meaning
        for cue in run.cues
        if from_ms <= cue.at_ms < to_ms and cue.meaning not in ("move", "stand", "pip")
    ]


@pytest.mark.parametrize(
    ("text", "at_ms", "told", "until_ms"),
    [
        (IN, 10_000, ["here-1", "piece-3"], 37_000),
        (IN, 46_000, ["here-1", "piece-2"], 67_000),
        (IN, 72_000, ["here-1", "piece-1"], 127_000),
        (IN, 132_000, ["here-1"], 192_000),
        (OUT, 20_000, ["here-1", "piece-1"], 62_000),
        (OUT, 80_000, ["here-1", "piece-2"], 122_000),
        (OUT, 165_000, ["here-1"], 192_000),
    ],
)
def test_who_asks_hears_which_piece_is_next_and_the_time_until_then(
    text: str, at_ms: int, told: list[str], until_ms: int
) -> None:
    run = run_of(text)
    press(run, OTHER, at_ms)
    *said, left = run.state.queue.said
    assert [cue.meaning for cue in said] == told
    assert left.meaning == meanings.left((until_ms - left.at_ms) // 1000)


def test_no_gate_stands_at_a_piece() -> None:
    """The others develop on meanwhile: only loading and the changes of all the film wait."""
    assert [gate.step for gate in Run(IN, Waits.TRANSFERS).state.gates] == [1, 2, 3, 4]


def test_a_piece_whose_moment_was_not_heard_is_due_until_all_leave() -> None:
    """Long after ten seconds, by its number and the act, once; then where the run is."""
    run = run_of(IN)
    run.advance(30_000)
    run.silent(36_000, 36_900 + LATE_MS + 5_000)
    after = heard(run, 51_000, 66_000)
    assert after[:2] == ["piece-3", "enter"]
    assert after[2:4] == ["back", "here-1"]
    assert after.count("enter") == 1
    (told,) = [event for event in run.log if event.meaning.startswith("late")]
    assert told.meaning == "late piece-3"
    assert heard(run, 66_000, 70_000) == ["enter"]  # piece 2 on its moment


def test_each_of_several_missed_pieces_is_told_by_its_number() -> None:
    run = run_of(IN)
    run.silent(30_000, 75_000)
    told = [cue.meaning for cue in run.cues if cue.at_ms >= 75_000 - 300]
    first = told.index("enter")
    assert told[first - 1] == "piece-3"
    second = told.index("enter", first + 1)
    assert "piece-2" in told[first:second]


def test_a_missed_piece_is_not_put_in_when_all_are_about_to_leave() -> None:
    """The last piece goes in at 127 s; all are lifted at 182 s."""
    run = run_of(IN)
    run.silent(126_000, 179_000)
    assert "enter" not in heard(run, 178_000, 192_000)
    assert "missed piece-1" in [event.meaning for event in run.log]


def test_a_missed_piece_is_taken_out_however_late() -> None:
    run = run_of(OUT)
    run.silent(60_000, 100_000)
    assert heard(run, 99_000, 112_000)[:2] == ["piece-1", "enter"]
    assert "missed lift" in [event.meaning for event in run.log]


def test_who_takes_a_run_up_owes_the_pieces_that_nobody_heard() -> None:
    """Killed at 35 s, gone on with at 80 s: pieces 3 and 2 were due meanwhile, piece 1 is next."""
    first = run_of(IN)
    first.advance(35_000)
    told = {(c.meaning, c.at_ms) for c in first.cues if c.end_ms <= 35_000}
    run = run_of(IN)
    run.take_up(first.state.kept(), told, 35_000, now(80_000))
    run.silent(35_000, 80_000, ms=80_000)
    after = [cue.meaning for cue in run.cues if 80_000 <= cue.at_ms < 110_000]
    acts = [each for each in after if each.startswith("piece") or each == "enter"]
    assert acts == ["piece-3", "enter", "piece-2", "enter", "piece-1"]
    assert [e.meaning for e in run.log if e.meaning.startswith("late")] == [
        "late piece-3", "late piece-2",
    ]  # fmt: skip
    assert [c.at_ms for c in run.cues if c.meaning == meanings.enter()][-3:-2] == [127_000]


def test_the_ladder_is_rehearsed_with_every_piece_in_its_order() -> None:
    """Brisk: 70 minutes in less than a quarter of that, each number before its act."""
    line = prepare("ladder-for-an-unknown-time", "standard", None).timeline
    studio = Studio(dark=False, line=line, samples=False, skip_silence=True)
    studio.until(line.duration_ms)
    assert studio.tape.position_ms() < line.duration_ms / 4
    cues = [cue.meaning for cue in studio.conductor.state.cues]
    told = [each for each in cues if each.startswith("piece") or each == "enter"]
    rest = ["enter"] * (len(told) - 11)
    assert told == [
        *("enter", "enter", "enter", "piece-4", "enter", "piece-3", "enter", "piece-2"),
        *("enter", "piece-1", "enter", *rest),
    ]
