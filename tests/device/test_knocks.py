"""Knocks on a bench that is a second sink: a run led by them alone; a microphone that goes away."""

import json
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from contextlib import ExitStack, suppress
from pathlib import Path
from queue import Empty, SimpleQueue
from typing import Any

import pytest
import soundfile
from null_sink import RATE, Ear, Server

from darktimer.cues.reader import load_cue_set
from darktimer.ear.hearing import hear
from darktimer.ear.recording import Recording
from darktimer.journal.folder import FILE_NAME
from darktimer.journal.journal import Journal
from tests.device.bench import GO_ON, WHERE, Bench
from tests.live.terminal import Terminal
from tests.live.witness import Witness

ROOT = Path(__file__).parents[2]
BLACK = b"\x1b[?25l"
PLAN = """
title: Led by knocks, invented and untested on film
vessel: {kind: tub, light: open, volume: 1.5 l}
habits: {lights out after: 1 s, loading: 3 s, transfer: 3 s, drain: none, countdown: 0,
  warnings: none, tally: none, opening: none, agitation: none}
steps:
  - load: by hand
  - fix: 4 s
"""
BUFFER_MS = 200
TRIES = 4
#: Listens as a run does, less patiently, and tells what it hears and what has become of it.
LISTENER = """
import json, time
from darktimer.live import knocks
knocks._BLOCK_S, knocks._REPORTED_S = 0.5, 1.2
with knocks.Knocks("bench") as listening:
    listening.prove()
    print(json.dumps("proven"), flush=True)
    while True:
        time.sleep(0.02)
        for key in listening.read():
            print(json.dumps("go on" if key.goes_on else "where am I"), flush=True)
        for news in listening.news():
            print(json.dumps(news.found), flush=True)
"""


@pytest.fixture
def bench(server: Server, ending: ExitStack) -> Bench:
    server.add_device("bench", "pulse device bench.monitor")
    bench = Bench(server)
    ending.callback(bench.end)
    return bench


def test_a_run_is_led_by_knocks_alone_from_loading_to_light_safe(
    server: Server, bench: Bench, ending: ExitStack, listen: Callable[..., Ear], tmp_path: Path
) -> None:
    """Its terminal is closed as the lights go out; what it says is recorded, and heard.

    A machine that itself waits for longer than a third of the buffer may take sound away.
    """
    plan, sounds, recording = (tmp_path / name for name in ("plan.yaml", "quick.yaml", "heard.wav"))
    plan.write_text(PLAN)
    shipped = (ROOT / "sounds" / "standard.yaml").read_text()
    sounds.write_text(shipped.replace("vast: 2600 ms", "vast: 500 ms"))
    ear = listen(server)
    buffer = f"{BUFFER_MS} ms"
    words = ["run", str(plan), "--cues", str(sounds), "--start-in", "0.1 s", "--buffer", buffer]
    run = Terminal(
        [sys.executable, "-m", "darktimer", *words, "--knocks", "--microphone", "bench"],
        server.environment | {"DARKTIMER_HOME": str(tmp_path), "TERM": "xterm"},
    )
    ending.callback(run.kill)
    with Witness() as witness:
        run.wait_for(BLACK)
        run.close()
        heard_in(tmp_path, "enter")
        knocked_on(bench, tmp_path, times=1)
        heard_in(tmp_path, "confirm")
        knocked_on(bench, tmp_path, times=2)
        heard_in(tmp_path, "light-safe")
    soundfile.write(recording, ear.heard().samples, RATE)
    said = [cue.meaning for cue in hear(Recording(recording), load_cue_set(str(sounds)))]
    assert [each for each in said if each != "hold"] == [
        "enter", "confirm", "enter", "stand", "light-safe",
    ]  # fmt: skip
    with Journal.open(tmp_path) as journal:
        events = journal.events(1)
    keys = [(event.meaning, event.detail) for event in events if event.kind == "key"]
    assert keys == 2 * [("go on", {"key": "knock"})]
    faults = {event.meaning for event in events if event.kind == "fault"}
    assert faults <= ({"stalled"} if witness.late_ms > BUFFER_MS / 3 else set())


def knocked_on(bench: Bench, home: Path, times: int) -> None:
    """Knocks, again if need be as a person would, until *go on* was taken so many times.

    On a busy machine a null sink may tear a knock.
    """
    for _ in range(TRIES):
        bench.knock(GO_ON)
        with suppress(AssertionError):
            return heard_in(home, "go on", times, limit_s=5)
    raise AssertionError("no knock was taken")


def heard_in(home: Path, meaning: str, times: int = 1, limit_s: float = 30) -> None:
    """Waits until the journal says that a cue was heard, or a key taken, so many times."""
    end = time.monotonic() + limit_s
    while time.monotonic() < end:
        if (home / FILE_NAME).exists():
            with Journal.open(home) as journal:
                run = journal.unfinished_run()
                events = journal.events(run.number) if run else []
            if sum(event.meaning == meaning for event in events) >= times:
                return
        time.sleep(0.05)
    raise AssertionError(f"{meaning} was never heard")


@pytest.fixture
def next_told(server: Server, bench: Bench, ending: ExitStack) -> Callable[..., Any]:
    """What somebody hears who listens to the bench, or what has become of the microphone."""
    listener = ending.enter_context(
        subprocess.Popen(
            [sys.executable, "-c", LISTENER],
            env=server.environment,
            cwd=ROOT,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        )
    )
    ending.callback(listener.kill)
    told: SimpleQueue[Any] = SimpleQueue()

    def read() -> None:
        for line in listener.stdout or []:
            told.put(json.loads(line))

    threading.Thread(target=read, daemon=True).start()

    def next_one(limit_s: float = 30) -> Any:
        return told.get(timeout=limit_s)

    assert next_one() == "proven"
    return next_one


def test_a_microphone_that_is_muted_or_taken_away_is_told_and_heard_again(
    server: Server, bench: Bench, ending: ExitStack, next_told: Callable[..., Any]
) -> None:
    bench.mute(True)
    assert next_told().startswith("knocks are not heard: bench: it gives only silence; unmute it")
    bench.mute(False)
    assert next_told() == "knocks are heard again"
    server.kill()
    assert next_told().startswith("knocks are not heard: ")
    bench.end()
    server.start()
    again = Bench(server)
    ending.callback(again.end)
    assert next_told() == "knocks are heard again"
    a_knock_is_taken(again, next_told)


def test_silence_in_the_place_of_the_microphone_is_told_and_left_when_that_returns(
    server: Server, bench: Bench, ending: ExitStack, next_told: Callable[..., Any]
) -> None:
    """The server moves the recording, here to what its default sink plays, and says nothing."""
    bench.end()
    server.remove_sink("bench")
    assert next_told().startswith("knocks are not heard: ")
    again = Bench(server)
    ending.callback(again.end)
    assert next_told() == "knocks are heard again"
    a_knock_is_taken(again, next_told)


def a_knock_is_taken(bench: Bench, next_told: Callable[..., Any]) -> None:
    time.sleep(1)
    for _ in range(TRIES):
        bench.knock(WHERE)
        with suppress(Empty):
            assert next_told(limit_s=5) == "where am I"
            return
    raise AssertionError("no knock was taken")
