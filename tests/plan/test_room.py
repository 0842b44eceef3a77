"""A room that is tested for light: no bath in it, and light when the film is put away."""

import pytest

from darktimer.errors import FileError
from darktimer.plan.checks import warnings
from darktimer.plan.reader import read_plan_text
from darktimer.process.compiler import compile_plan

ROOM = """\
title: The room
vessel: {kind: room, light: open}
steps:
  - wait: 20 min
  - load: by hand
  - wait: 15 min
    name: Film out
  - put away: by hand
"""


def read(text, tmp_path):
    return read_plan_text(text, tmp_path / "room.yaml")


def test_light_is_safe_when_the_film_is_put_away(tmp_path):
    timeline = compile_plan(read(ROOM, tmp_path).plan, lambda _: 400)
    assert [(s.name, s.kind, s.dark) for s in timeline.steps] == [
        ("Get ready", "ready", False),
        ("Wait", "wait", True),
        ("Load", "load", True),
        ("Film out", "wait", True),
        ("Put away", "put away", True),
        ("Done", "done", False),
    ]
    away = timeline.steps[4]
    (safe,) = [cue.at_ms for cue in timeline.cues if cue.meaning == "light-safe"]
    assert safe == away.end_ms
    assert any("not before: the film is put away" in note for note in timeline.notes)


def test_nothing_is_lifted_or_moved_in_a_room(tmp_path):
    timeline = compile_plan(read(ROOM, tmp_path).plan, lambda _: 400)
    assert not {"lift", "move", "turn"} & {cue.meaning for cue in timeline.cues}
    assert {span.kind for span in timeline.spans if timeline.steps[span.step].kind == "wait"} == {
        "transfer", "stand",
    }  # fmt: skip
    film_out = timeline.steps[3]
    waited = [s for s in timeline.spans if s.step == 3 and s.kind == "stand"]
    assert sum(s.end_ms - s.start_ms for s in waited) == 15 * 60_000
    assert film_out.end_ms - film_out.start_ms == 15 * 60_000 + 5_000


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("light: open", "light: closed", "a room is closed to no light but by the dark"),
        ("  - load: by hand\n", "  - develop: 5 min\n    agitation: 1/2\n", "a room holds no bath"),
        ("kind: room", "kind: tub", "waiting is for a room"),
        ("  - put away: by hand\n", "  - put away: by hand\n  - wait: 1 min\n",
         "comes after the film was put away"),
        ("  - load: by hand\n", "", "no film was taken out"),
        ("wait: 20 min", "wait: 20", "has no unit"),
        ("put away: by hand", "put away: by foot", "found 'by foot'; write by hand"),
        ("wait: 20 min", "wait: 20 min\n    bath: tea", "a wait is in no bath"),
    ],
)  # fmt: skip
def test_what_a_room_cannot_be(old, new, said, tmp_path):
    with pytest.raises(FileError) as caught:
        read(ROOM.replace(old, new, 1), tmp_path)
    assert said in str(caught.value)


def test_film_can_be_loaded_into_what_is_then_closed(tmp_path):
    text = (
        "title: Loading only\nvessel: {kind: spiral tank, light: open}\n"
        "steps:\n  - load: by hand\n  - soak: 1 min\n  - put away: 2 min\n"
    )
    timeline = compile_plan(read(text, tmp_path).plan, lambda _: 400)
    assert timeline.steps[-2].end_ms - timeline.steps[-2].start_ms == 120_000
    assert "light-safe" in {cue.meaning for cue in timeline.cues}


@pytest.mark.parametrize(
    ("vessel", "doubtful"),
    [("tub, light: closed", True), ("tray, light: closed", True), ("tub, light: open", False),
     ("spiral tank, light: closed", False), ("drum, light: closed", False)],
)  # fmt: skip
def test_a_lid_that_may_come_off_between_baths_is_asked_about(vessel, doubtful, tmp_path):
    """Light would be called safe once the film is loaded, and the film lifted into it."""
    text = f"title: A lid\nvessel: {{kind: {vessel}}}\nsteps:\n  - load: by hand\n  - soak: 1 min\n"
    found = [each.found for each in warnings(read(text, tmp_path).plan)]
    assert any("in the light once the" in each for each in found) == doubtful
