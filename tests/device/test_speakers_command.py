"""``darktimer speakers`` on a sound server."""

import json
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from null_sink import Ear, Server

from darktimer.cues.reader import load_cue_set
from darktimer.learn.sounds import Sounds
from darktimer.process.meanings import MOVE

ROOT = Path(__file__).parents[2]


def _run(server: Server, *options: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "darktimer", "speakers", *options],
        env=server.environment,
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=30,
    )


def test_the_server_is_listed_and_the_test_cue_arrives_bit_for_bit(
    even_server: Server, listen: Callable[..., Ear]
) -> None:
    for _ in range(3):  # a busy machine lets a stream stall now and then, and that is told
        ear = listen(even_server)
        ran = _run(even_server, "--play", "--json")
        time.sleep(0.3)
        heard = ear.heard().samples
        assert (ran.returncode, ran.stderr) == (0, "")
        told = json.loads(ran.stdout)
        if not told["troubles"]:
            break
    assert [each["name"] for each in told["speakers"] if each["default"]] == ["default"]
    assert told["troubles"] == []
    line = Sounds(load_cue_set("standard"), seed=0).quiet(MOVE)
    loudest = int(np.argmax(np.abs(line.astype(int))))
    begin = int(np.argmax(np.abs(heard.astype(int)))) - loudest
    assert np.array_equal(heard[begin : begin + len(line)], line)


def test_a_server_that_is_gone_is_one_line(server: Server) -> None:
    server.kill()
    ran = _run(server)
    assert ran.returncode == 1
    assert ran.stdout == ""
    assert ran.stderr.splitlines()[-1].startswith("speaker: there is none")
