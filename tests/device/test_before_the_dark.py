"""A speaker that will not do is refused in the light; blocks of any length are heard."""

import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from null_sink import Ear, Server
from stage import Player
from test_faults import lateness_ms

from tests.live.witness import Witness

ROOT = Path(__file__).parents[2]
BLACK = "\x1b[?25l"


def _run(server: Server, *words: str) -> subprocess.CompletedProcess[str]:
    """A run with an output that would show the dark, on a plan that needs it."""
    return subprocess.run(
        [sys.executable, "-m", "darktimer", "run", "open-tub-half-agitation", *words],
        env=server.environment | {"DARKTIMER_HOME": server.environment["HOME"] + "/journal"},
        cwd=ROOT,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=60,
    )


@pytest.mark.parametrize(
    ("fault", "says"),
    [("swallows", "the device takes sound faster than it can be heard; choose another speaker"),
     ("second", "the device takes sound faster than it can be heard; choose another speaker"),
     ("suspended", "the device takes no sound; choose another speaker"),
     ("frozen", "the sound system does not answer")],
)  # fmt: skip
def test_a_speaker_that_keeps_no_time_is_refused_in_the_light(
    server: Server, fault: str, says: str
) -> None:
    words = ("--start-in", "0.1 s")
    if fault in ("swallows", "second"):
        server.add_device("swallows", "null")
        choice = "--speaker-name" if fault == "swallows" else "--second-speaker"
        words = (*words, choice, "swallows")
    elif fault == "suspended":
        server.tell("suspend-sink", "nullsink", "1")
    else:
        server.freeze()
    began = time.monotonic()
    ran = _run(server, *words)
    assert time.monotonic() - began < 30, "it does not hang"
    assert ran.returncode == 1
    assert says in ran.stderr
    assert "darktimer render" in ran.stderr
    assert BLACK not in ran.stdout
    assert not (Path(server.environment["HOME"]) / "journal" / "dark.log").exists()


@pytest.mark.parametrize("asked_ms", ["20", "60"])
def test_what_the_environment_says_of_latency_takes_no_sound_away(
    server: Server, listen: Callable[..., Ear], play: Callable[..., Player], asked_ms: str
) -> None:
    ear = listen(server)
    server.environment["PULSE_LATENCY_MSEC"] = asked_ms
    player = play(server)
    time.sleep(3.5)
    told = player.end()
    late_ms = lateness_ms(ear.heard(), player)
    assert set(range(1, 9)) <= set(late_ms)
    assert told["trouble"] == []


@pytest.mark.parametrize("buffer_ms", [60, 3200, 5000])
def test_every_mark_is_heard_with_a_buffer_of_any_length(
    even_server: Server, listen: Callable[..., Ear], play: Callable[..., Player], buffer_ms: int
) -> None:
    """A machine that itself waits for longer than a third of the buffer may take sound away."""
    ear = listen(even_server)
    with Witness() as witness:
        player = play(even_server, "--buffer-ms", str(buffer_ms))
        time.sleep(max(0, -(time.monotonic_ns() - player.begin_ns) / 1e9) + 6)
    told = player.end()
    if witness.late_ms > buffer_ms / 3:
        pytest.skip(f"the machine kept everybody waiting for {witness.late_ms:.0f} ms")
    late_ms = lateness_ms(ear.heard(), player)
    assert told["trouble"] == []
    assert set(range(2, 20)) <= set(late_ms)
    assert max(late_ms.values()) - min(late_ms.values()) < 5.5


@pytest.mark.parametrize("buffer", ["10 ms", "5.1 s", "1 min"])
def test_a_buffer_that_cannot_work_is_wrong_usage(buffer: str) -> None:
    ran = subprocess.run(
        [sys.executable, "-m", "darktimer", "run", "stand", "--buffer", buffer],
        cwd=ROOT,
        capture_output=True,
        text=True,
    )
    assert ran.returncode == 2
    assert "60 ms to 5 s" in ran.stderr
