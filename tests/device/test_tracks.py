"""A general player plays the tracks; its own remote control presses *next*, which is *go on*."""

import shutil
import subprocess
import sys
import time
from contextlib import ExitStack
from pathlib import Path

import pytest
import soundfile
from null_sink import RATE, Ear, Server
from track_player import playing

from darktimer.cues.reader import load_cue_set
from darktimer.ear.hearing import hear
from darktimer.ear.recording import Recording
from tests.live.witness import skip_if_too_busy

PLAN = """
title: Tracks, invented and untested on film
vessel: {kind: tub, light: open, volume: 1.5 l}
habits: {lights out after: 5 s, loading: 10 s, warnings: none}
steps:
  - load: by hand
  - soak: 30 s
"""
GET_READY_S, LOADING_S = 1, 13


@pytest.mark.skipif(not shutil.which("mpv"), reason="mpv is not installed")
def test_next_is_go_on(server: Server, tmp_path: Path, ending: ExitStack) -> None:
    plan, folder = tmp_path / "plan.yaml", tmp_path / "tracks"
    plan.write_text(PLAN)
    render = ["render", str(plan), "--tracks", str(folder)]
    subprocess.run([sys.executable, "-m", "darktimer", *render], check=True, capture_output=True)
    ear = Ear(server)
    ending.callback(ear.heard)
    with playing(folder / "playlist.m3u8", server.environment) as player:
        for wait_s in (GET_READY_S, LOADING_S):
            time.sleep(wait_s)
            player.press_next()
        time.sleep(11)
    soundfile.write(tmp_path / "heard.wav", ear.heard().samples, RATE)
    heard = list(hear(Recording(tmp_path / "heard.wav"), load_cue_set("standard")))
    assert [cue.meaning for cue in heard] == [
        "enter",
        "hold",
        *("pip", "pip", "pip"),
        "enter",
        "stand",
    ]
    at_ms = [cue.at_ms for cue in heard]
    shown_ms = [at_ms[1] - at_ms[0], *(at - at_ms[2] for at in at_ms[3:])]
    in_place = pytest.approx([6500, 1000, 2000, 3000, 8000], abs=5)
    if shown_ms != in_place:  # a player that is kept waiting starts late again
        skip_if_too_busy()
    assert shown_ms == in_place
