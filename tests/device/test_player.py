"""Short sounds on a sound server without a card: heard whole, and heard by our own microphone."""

import json
import signal
import subprocess
import sys

import numpy as np
from null_sink import RATE, Ear, Server

PROGRAM = """
import json, sys, time
import numpy as np
from darktimer.cues.reader import load_cue_set
from darktimer.learn.sounds import Sounds
from darktimer.output.microphone import Recorder, microphone
from darktimer.output.player import Player
from darktimer.output.speakers import Speakers
sounds = Sounds(load_cue_set("standard"), seed=1)
cue = sounds.quiet("move")
with Recorder(sounds.rate, microphone()) as ear:
    time.sleep(0.5)
    with Player(Speakers(rate=sounds.rate)) as player:
        player.begin(sounds.quiet("light-safe"))  # cut short by the next
        time.sleep(0.2)
        player.begin(cue)
        player.wait()
        player.begin(cue)
        player.wait()
    heard = ear.heard()
print(json.dumps({"sent": int((np.abs(cue.astype(int)) > 100).sum()),
                  "heard": int((np.abs(heard.astype(int)) > 100).sum())}))
"""


def test_a_sound_is_played_whole_and_the_next_ends_the_one_before(server: Server) -> None:
    server.tell("set-default-source", "nullsink.monitor")
    ear = Ear(server)
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM],
        env=server.environment,
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    told = json.loads(done.stdout.splitlines()[-1])
    heard = np.abs(ear.heard().samples.astype(int)) > 100
    assert RATE == 48_000
    assert heard.sum() / told["sent"] == 2.0
    assert told["heard"] / told["sent"] > 1.9


def test_ctrl_c_while_a_sound_check_listens_closes_what_it_opened(server: Server) -> None:
    server.tell("set-default-source", "nullsink.monitor")
    command = [sys.executable, "-u", "-m", "darktimer", "soundcheck", "--json"]
    with subprocess.Popen(
        command, env=server.environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as check:
        assert check.stderr
        assert any("softer than a run" in line for line in check.stderr)  # it plays now
        check.send_signal(signal.SIGINT)
        _, told = check.communicate(timeout=30)
    assert told.splitlines()[-1] == "Stopped."
    assert check.returncode == 1
