"""A room tested for light is led from the first wait to the scrap that is put away."""

import pytest

from darktimer.live.gates import Waits
from darktimer.pages.closing import print_closing
from darktimer.pages.live_view import Scene
from tests.live.plans import OTHER, SPACE, cue_set
from tests.live.studio import Studio

ROOM = """
title: A room, invented and untested on film
vessel: {kind: room, light: open}
habits: {lights out after: 5 s, loading: 20 s}
steps:
  - wait: 2 min
  - load: by hand
  - wait: 1 min
    name: Film out
  - put away: by hand
"""


@pytest.fixture
def studio():
    return Studio(ROOM, Waits.LOADING)


def heard(studio):
    return [e.meaning for e in studio.notes.events if e.kind == "cue"]


def test_light_waits_until_the_film_is_said_to_be_away(studio):
    """The scrap is laid out at leisure, and put away at leisure: each asks, and is told twice."""
    studio.keys.press(60_000, SPACE)  # a leak is seen
    studio.until(600_000)
    assert studio.session.now().at_ms >= 600_000
    assert "light-safe" not in heard(studio)
    for at_ms in (600_000, 601_500):
        studio.keys.press(at_ms, SPACE)
    studio.until(1_000_000)
    assert "light-safe" not in heard(studio), "the film lies out until somebody says otherwise"
    studio.keys.press(1_000_000, SPACE)
    studio.until(1_010_000)
    assert "light-safe" not in heard(studio), "one key is not enough"
    for at_ms in (1_010_000, 1_011_500):
        studio.keys.press(at_ms, SPACE)
    studio.until(1_040_000)
    assert heard(studio).count("light-safe") == 1
    assert studio.screen.dark
    studio.keys.press(1_041_000, OTHER)
    studio.until(1_060_000)
    assert not studio.screen.dark
    assert next(e.at_ms for e in studio.session.log if e.meaning == "marked") // 1000 == 60


def test_before_that_no_key_gives_light(studio):
    for at_ms in range(10_000, 100_000, 7_000):
        studio.keys.press(at_ms, OTHER)
    studio.until(100_000)
    assert studio.screen.dark


def test_a_lit_screen_speaks_of_waiting_and_of_no_bath():
    studio = Studio(ROOM, Waits.LOADING, dark=False)
    studio.until(7_000)
    assert Scene(studio.session, cue_set()).hands == "Get ready to wait"
    studio.until(60_000)
    assert Scene(studio.session, cue_set()).hands == "Wait in the dark"


def test_at_its_end_it_asks_for_leaks_and_fog_and_for_no_developer(studio, capsys):
    print_closing(studio.session, 7, [])
    page = capsys.readouterr().out
    assert "where you saw light come in" in page
    assert "fogged" in page
    assert "developer" not in page
    assert "darktimer journal add-result 7" in page
