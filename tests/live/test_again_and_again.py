"""A whole run whose server, or which itself, is killed again and again.

`tests/benchmarks` has the same with as many kills as one likes.
"""

from pathlib import Path

from tests.device.null_sink import Server
from tests.live.kills import killed
from tests.live.returns import returns

BACK_WITHIN_MS = 2_000
#: A null sink's constant, by which its streams differ.
SINK_MS, STREAMS_DIFFER_MS = -20, 75


def test_sound_is_back_each_time_the_server_is(server: Server, tmp_path: Path) -> None:
    found, room = returns(server, tmp_path, kills=2)
    try:
        for each in found:
            assert each.cues[:2] == ("back", "here-develop")
            assert each.sound_ms <= each.cue_ms <= BACK_WITHIN_MS + each.late_ms
            assert each.heard_ms <= BACK_WITHIN_MS + each.late_ms
        assert room.since_black == b""
    finally:
        room.kill()


def test_a_run_killed_at_random_moments_is_taken_up_each_time(
    server: Server, tmp_path: Path
) -> None:
    found = killed(server, tmp_path, kills=8, seed=3)
    assert found.rows_lost == 0
    assert found.light == 0
    assert found.taken_up, "the last one at least"
    assert all(abs(each.off_ms) <= 5 for each in found.taken_up)
    assert found.late_ms, "some act at least"
    assert max(abs(each - SINK_MS) for each in found.late_ms) <= STREAMS_DIFFER_MS
    assert [each for each in found.cues if each in ("back", "here-develop")] == [
        "back",
        "here-develop",
    ]
