"""A plan in files, so that a player can wait where a live run does."""

from pathlib import Path

import numpy as np
import pytest

from darktimer import shipped
from darktimer.cues.reader import load_cue_set
from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.live.gates import Waits, gates
from darktimer.live.telling import REMINDER_MS
from darktimer.live.tracks import Track, safe_by_hand, tracks
from darktimer.prepare.prepared import prepare
from darktimer.process import meanings
from darktimer.process.timeline import Timeline

STANDARD = load_cue_set("standard")
PLANS = shipped.names("sequences")
CLOSED = """
title: Closed, invented and untested on film
vessel: {{kind: spiral tank, light: closed, volume: 500 ml}}
habits: {{lights on: {}}}
steps:
  - load: by hand
  - soak: 30 s
  - fix: 5 min
"""


def cut(plan: str, waits: Waits) -> tuple[Timeline, list[Track]]:
    timeline = prepare(plan, "standard", None).timeline
    return timeline, list(tracks(timeline, STANDARD, waits))


@pytest.mark.parametrize("waits", [Waits.LOADING, Waits.TRANSFERS])
@pytest.mark.parametrize("plan", PLANS)
def test_the_stretches_are_the_whole_plan_but_for_the_waiting(plan: str, waits: Waits) -> None:
    timeline, found = cut(plan, waits)
    starts = [sum(track.plan_ms for track in found[:number]) for number in range(len(found))]
    assert [track.from_ms for track in found] == starts
    assert starts[-1] + found[-1].plan_ms == timeline.duration_ms
    cues = [
        cue._replace(at_ms=cue.at_ms + track.from_ms)
        for track in found
        for cue in track.line.cues
        if cue.meaning != meanings.HOLD
    ]
    said = [cue for cue in timeline.cues if cue.meaning != meanings.LIGHT_SAFE or cue in cues]
    assert cues == said


@pytest.mark.parametrize("waits", [Waits.LOADING, Waits.TRANSFERS])
@pytest.mark.parametrize("plan", PLANS)
def test_no_cue_is_where_a_player_may_lose_it(plan: str, waits: Waits) -> None:
    """No cue lies over an end, and none within the first half second of a later file."""
    for number, track in enumerate(cut(plan, waits)[1]):
        assert all(cue.end_ms <= track.line.duration_ms for cue in track.line.cues)
        assert not number or track.line.cues[0].at_ms >= 500


@pytest.mark.parametrize("waits", [Waits.LOADING, Waits.TRANSFERS])
@pytest.mark.parametrize("plan", PLANS)
def test_it_waits_where_a_live_run_does_and_says_so_to_the_end(plan: str, waits: Waits) -> None:
    timeline, found = cut(plan, waits)
    waiting = [track for track in found if track.wait_ms]
    assert len(waiting) == len(gates(timeline, waits))
    for track in waiting:
        said = [c.at_ms for c in track.line.cues if c.at_ms > track.plan_ms + REMINDER_MS]
        assert {c.meaning for c in track.line.cues if c.at_ms in said} == {meanings.HOLD}
        assert set(np.diff(said)) == {REMINDER_MS}
        assert track.line.duration_ms - said[-1] <= REMINDER_MS
        assert track.line.duration_ms == track.plan_ms + track.wait_ms
        assert track.wait_ms >= 600_000


@pytest.mark.parametrize("waits", [Waits.LOADING, Waits.TRANSFERS])
@pytest.mark.parametrize("plan", PLANS)
def test_light_is_called_safe_by_a_bath_and_never_by_the_end_of_a_wait(
    plan: str, waits: Waits
) -> None:
    """A player goes on by itself, with the vessel open still or the film not put away yet."""
    timeline, found = cut(plan, waits)
    planned = [cue.at_ms for cue in timeline.cues if cue.meaning == meanings.LIGHT_SAFE]
    safe = [
        track.from_ms + cue.at_ms
        for track in found
        for cue in track.line.cues
        if cue.meaning == meanings.LIGHT_SAFE
    ]
    hands_done = [step.end_ms for step in timeline.steps if step.kind in ("load", "put away")]
    by_hand = [at_ms for at_ms in planned if at_ms - max(hands_done) in range(60_000)]
    assert safe == ([] if by_hand else planned)
    assert safe_by_hand(timeline) is bool(by_hand)


@pytest.mark.parametrize("waits", [Waits.LOADING, Waits.TRANSFERS])
@pytest.mark.parametrize("brief", ["0.1 s", "1 s", "30 s"])
def test_light_is_not_called_safe_by_a_wait_however_short_the_pause_for_it(
    tmp_path: Path, brief: str, waits: Waits
) -> None:
    plan = tmp_path / "closed.yaml"
    plan.write_text(CLOSED.format(brief))
    _, found = cut(str(plan), waits)
    heard = {cue.meaning for track in found for cue in track.line.cues}
    assert meanings.HOLD in heard
    assert meanings.LIGHT_SAFE not in heard


def test_nothing_waits_anywhere_else() -> None:
    for track in cut("long-stand", Waits.TRANSFERS)[1]:
        held = any(cue.meaning == meanings.HOLD for cue in track.line.cues)
        assert held is bool(track.wait_ms)


def test_the_samples_of_the_stretches_are_those_of_the_whole() -> None:
    timeline, found = cut("load-and-soak", Waits.TRANSFERS)
    whole = Score(timeline, STANDARD, 8000, SPEAKERS["none"])
    parts = [
        Score(track.line, STANDARD, 8000, SPEAKERS["none"]).fill(0, track.plan_ms * 8)
        for track in found
    ]
    assert (np.concatenate(parts) == whole.fill(0, whole.frames)).all()


def test_a_plan_in_which_nothing_waits_is_one_file() -> None:
    timeline, _ = cut("long-stand", Waits.LOADING)
    steps = tuple(step._replace(kind="soak") for step in timeline.steps)
    (track,) = tracks(timeline._replace(steps=steps), STANDARD, Waits.LOADING)
    assert (track.plan_ms, track.wait_ms) == (timeline.duration_ms, 0)


def test_stretches_are_named_by_their_steps() -> None:
    _, found = cut("long-stand", Waits.LOADING)
    assert [t.title for t in found] == ["Get ready", "Load (next is go on)", "Soak to Done"]
    _, found = cut("long-stand", Waits.TRANSFERS)
    assert [t.title for t in found][-3:] == ["Fix", "Wash (next is go on)", "Wash to Done"]
