"""simpleaudio in its own process, where it can be installed (Python 3.11)."""

import json
import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from null_sink import Ear, Server
from test_faults import lateness_ms

from darktimer.cues.reader import load_cue_set
from darktimer.learn.sounds import Sounds
from darktimer.output.simple import offered, unusable
from darktimer.process.meanings import MOVE

_PLAY = """
import json, time
from marks import Marks
from darktimer.output.clock import Clock
from darktimer.output.speaker import SpeakerStream
from darktimer.output.speakers import Speakers
clock = Clock()
begin_ns = clock.boot_ns() + 2_000_000_000
stream = SpeakerStream(Marks(60), Speakers(name="simpleaudio", buffer_ms=300), clock, begin_ns)
stream.start()
time.sleep(5)
stream._stream._child.kill()
time.sleep(3.5)
stream.close()
lag_ns = clock.boot_ns() - clock.monotonic_ns()
print(json.dumps({"begin_ns": begin_ns - lag_ns, "trouble": stream.trouble()}))
"""


def test_every_mark_begins_within_its_coarse_time_and_a_crash_is_survived(
    even_server: Server, listen: Callable[..., Ear]
) -> None:
    pytest.importorskip("simpleaudio", reason="the extra simpleaudio is not installed")
    ear = listen(even_server)
    here = Path(__file__)
    paths = os.pathsep.join([str(here.parent), str(here.parents[2])])
    done = subprocess.run(
        [sys.executable, "-c", _PLAY],
        env=even_server.environment | {"PYTHONPATH": paths},
        capture_output=True,
        text=True,
    )
    assert done.stderr == ""
    told = json.loads(done.stdout)
    time.sleep(0.3)

    class Begun:
        begin_ns = told["begin_ns"]

    late_ms = lateness_ms(ear.heard(), Begun())
    lost_ms, back_ms = (at_ms for _, at_ms, *_ in told["trouble"])
    again = range(back_ms // 250 + 2, 27)
    assert len(again) > 3
    assert set(range(3, lost_ms // 250 - 2)) | set(again) <= set(late_ms)
    settled = sorted(late for number, late in late_ms.items() if number > 1)
    assert settled[len(settled) * 3 // 4] - settled[0] < 80
    assert settled[-1] - settled[0] < 500, "more on a busy machine"
    assert [kind for kind, *_ in told["trouble"]] == ["lost", "back"]
    assert told["trouble"][1][3] < 1500


@pytest.mark.parametrize("portaudio", [True, False], ids=["beside PortAudio", "instead of it"])
def test_it_is_listed_chosen_by_name_and_heard(
    even_server: Server, listen: Callable[..., Ear], portaudio: bool
) -> None:
    pytest.importorskip("simpleaudio", reason="the extra simpleaudio is not installed")
    ear = listen(even_server)
    words = ["speakers", "--play", "--device", "simpleaudio", "--json"]
    hidden = "" if portaudio else "import sys; sys.modules['sounddevice'] = None; "
    program = f"{hidden}from darktimer.cli import main; main({words})"
    ran = subprocess.run(
        [sys.executable, "-c", program],
        env=even_server.environment,
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
    )
    assert (ran.returncode, ran.stderr) == (0, "")
    told = json.loads(ran.stdout)
    names = [each["name"] for each in told["speakers"]]
    assert names[-1] == "simpleaudio"
    assert (len(names) > 1) == portaudio
    assert told["troubles"] == []
    time.sleep(0.3)
    loud = np.abs(Sounds(load_cue_set("standard"), seed=0).quiet(MOVE).astype(int)) > 100
    assert (np.abs(ear.heard().samples.astype(int)) > 100).sum() == loud.sum()


def test_a_device_that_takes_no_sound_is_refused_here_too(server: Server) -> None:
    pytest.importorskip("simpleaudio", reason="the extra simpleaudio is not installed")
    server.tell("suspend-sink", "nullsink", "1")
    ran = subprocess.run(
        [sys.executable, "-m", "darktimer", "speakers", "--play", "--device", "simpleaudio"],
        env=server.environment,
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
    )
    assert ran.returncode == 1
    assert "simpleaudio: the device takes no sound; choose another" in ran.stderr


@pytest.mark.skipif(sys.version_info < (3, 12), reason="it plays on this Python")
def test_pythons_on_which_it_crashes_are_refused() -> None:
    assert "run darktimer on Python 3.11" in str(unusable())
    assert offered() == ()


@pytest.mark.skipif(sys.version_info >= (3, 12), reason="it is refused on this Python")
def test_where_it_is_missing_the_extra_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("darktimer.output.simple.find_spec", lambda name: None)
    assert "pip install 'darktimer[simpleaudio]'" in str(unusable())
    assert offered() == ()
