"""A rehearsal in a terminal of its own, on a real sound server."""

import pytest
from click import unstyle

from tests.live.dark_room import DarkRoom, written_plan


@pytest.mark.parametrize("options", [("--plain",), ()])
def test_a_brisk_rehearsal_shows_what_is_heard_and_how_late_a_press_was(server, tmp_path, options):
    plan, sounds = written_plan(tmp_path)
    words = ("rehearse", str(plan), "--cues", str(sounds), "--no-gates", "--brisk", *options)
    room = DarkRoom(server, tmp_path / "home", *words, "--from", "develop")
    try:
        room.wait_for(b"begin moving")
        room.wait_for(b"go on to the next step: fix (enter-fix)")
        room.press(b" ", b"\x03")
        assert room.ended() == 0
        page = unstyle(room.written.partition(b"Late by")[2].decode())
        assert page.split()[1:3] == ["Fix", "enter-fix"]
        assert not (tmp_path / "home").exists(), "a rehearsal is no run of the journal"
    finally:
        room.kill()
