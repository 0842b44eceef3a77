"""Every onset is where the line of samples has it, under every load; recorded from null sinks.

A null sink's clock is ours, so not one frame may be out of place against the others.
"""

import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import numpy as np
from marks import Marks, find
from null_sink import RATE, Ear, Server
from stage import Hogs, Player, measured

#: What goes on within the process that plays, each at a sink of its own.
LOADS = {
    "nothing": [],
    "busy": ["--load", "busy"],
    "calls": ["--load", "calls", "--call-ms", "20"],
    "both": ["--load", "busy", "--load", "calls", "--call-ms", "20"],
    "knocks": ["--microphone", "knocks-heard"],
}
BUFFER = ("--buffer-ms", "500")
LEAD_S = 1.5

Listen = Callable[..., Ear]
Play = Callable[..., Player]


def assert_in_place(ear: Ear, player: Player, seconds: int, load: str) -> None:
    """Plays to the end; every onset of so many seconds is in its place."""
    trouble = player.end()["trouble"]
    found = measured(ear.heard(), player.begin_ns)
    assert found.marks >= seconds * 4 - 3, f"{load}: the first or the last are missing"
    assert found.lost == 0, load
    assert found.worst_frames <= 1, (load, found.off, trouble)
    assert abs(found.latency_ms) < 60, f"{load}: the clock's own place"


def test_every_onset_is_in_its_place(even_server: Server, listen: Listen, play: Play) -> None:
    ear = listen(even_server)
    player = play(even_server, *BUFFER)
    time.sleep(LEAD_S + 20)
    assert_in_place(ear, player, 20, "idle")
    assert player.told["trouble"] == []
    assert player.told["cpu"] < 0.03


def test_every_onset_is_in_its_place_beside_four_hogs_and_under_every_load(
    even_server: Server, listen: Listen, play: Play, hog: Callable[[int], Hogs]
) -> None:
    for load in LOADS:
        even_server.return_sink(load)
        even_server.add_device(load, f"pulse device {load}")
    even_server.add_device("knocks-heard", "pulse device knocks.monitor")
    even_server.tell("set-default-sink", "nullsink")
    ears = {load: listen(even_server, load) for load in LOADS}
    time.sleep(2.5)
    hog(4)
    with ThreadPoolExecutor() as side_by_side:
        playing = {
            load: side_by_side.submit(play, even_server, "--device", load, *BUFFER, *options)
            for load, options in LOADS.items()
        }
    time.sleep(LEAD_S + 8)
    for load in LOADS:
        assert_in_place(ears[load], playing[load].result(), 8, load)
        assert playing[load].result().told["knocks"] == [], "its own marks are no knocks"


def test_the_first_mark_is_whole_and_the_line_arrives_bit_for_bit(
    even_server: Server, listen: Listen, play: Play
) -> None:
    ear = listen(even_server)
    player = play(even_server, "--seconds", "3")
    time.sleep(LEAD_S + 3 + 0.5)
    player.end()
    samples = ear.heard().samples
    found = find(samples)
    assert found.numbers.tolist() == list(range(1, 12)), "the tail is not dropped either"
    zero = int(found.frames[0] - RATE // 4)
    assert np.array_equal(samples[zero : zero + 3 * RATE], Marks(3).fill(0, 3 * RATE))
