"""Every onset is where the line of samples has it, under every load; recorded from a null sink.

The null sink's clock is ours, so not one frame may be out of place against the others.
"""

import time
from collections.abc import Callable

import numpy as np
import pytest
from marks import find
from null_sink import RATE, Ear, Server
from stage import Hogs, Player, measured

LOADS = {
    "idle": ([], 0, 20),
    "four hogs": ([], 4, 8),
    "busy thread": (["--load", "busy"], 0, 6),
    "long calls": (["--load", "calls", "--call-ms", "20"], 0, 6),
    "all at once": (["--load", "busy", "--load", "calls", "--call-ms", "20"], 4, 8),
}
LEAD_S = 1.5


@pytest.mark.parametrize("load", LOADS)
def test_every_onset_is_in_its_place(
    load: str,
    even_server: Server,
    listen: Callable[..., Ear],
    play: Callable[..., Player],
    hog: Callable[[int], Hogs],
) -> None:
    options, hogs, seconds = LOADS[load]
    ear = listen(even_server)
    hog(hogs)
    player = play(even_server, "--buffer-ms", "500", *options)
    time.sleep(LEAD_S + seconds)
    told = player.end()
    found = measured(ear.heard(), player.begin_ns)
    assert found.marks >= seconds * 4 - 3, "the first or the last are missing"
    assert found.lost == 0
    assert found.worst_frames <= 1, told["trouble"]
    assert abs(found.latency_ms) < 60, "the clock's own place"
    if load == "idle":
        assert told["trouble"] == []
        assert told["cpu"] < 0.03


def test_the_first_mark_is_whole_and_the_line_arrives_bit_for_bit(
    even_server: Server, listen: Callable[..., Ear], play: Callable[..., Player]
) -> None:
    from marks import Marks

    ear = listen(even_server)
    player = play(even_server, "--seconds", "3")
    time.sleep(LEAD_S + 3 + 0.5)
    player.end()
    samples = ear.heard().samples
    found = find(samples)
    assert found.numbers.tolist() == list(range(1, 12)), "the tail is not dropped either"
    zero = int(found.frames[0] - RATE // 4)
    assert np.array_equal(samples[zero : zero + 3 * RATE], Marks(3).fill(0, 3 * RATE))
