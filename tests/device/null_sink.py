"""A sound card that is not there: a private sound server whose sink plays to nobody, and an ear.

Every process of it lives in a folder of its own and is ended by its own number, so that several
can run side by side and none touches the user's server.
"""

import os
import shutil
import signal
import subprocess
import tempfile
import threading
import time
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

RATE = 48_000
PROGRAMS = ("pulseaudio", "pactl", "parec")

_ASOUNDRC = """
pcm.!default { type pulse }
ctl.!default { type pulse }
pcm.spare { type pulse device spare hint.description "spare speaker" }
"""
_SINK = f"module-null-sink rate={RATE} channels=1 format=s16le"


def missing() -> str | None:
    """The program that is not installed, if any."""
    return next((program for program in PROGRAMS if not shutil.which(program)), None)


class Server:
    """A PulseAudio server with the sinks ``nullsink`` (the default) and ``spare``.

    A null sink that nobody listens to renders 2 s ahead, so that what comes next is 2 s late. With
    ``short`` buffers, like a real card's, it cannot; but then its own clock is less even.
    """

    def __init__(self, *, short: bool = False) -> None:
        self._sink = _SINK + (" norewinds=1" if short else "")
        self._folder = Path(tempfile.mkdtemp(prefix="null-sink-"))
        (self._folder / ".asoundrc").write_text(_ASOUNDRC)
        self._socket = self._folder / "native.sock"
        self._process: subprocess.Popen[bytes] | None = None
        kept = {k: v for k, v in os.environ.items() if not k.startswith(("DBUS_", "PULSE_"))}
        here = dict.fromkeys(
            (
                "HOME",
                "XDG_RUNTIME_DIR",
                "XDG_CONFIG_HOME",
                "PULSE_RUNTIME_PATH",
                "PULSE_STATE_PATH",
            ),
            str(self._folder),
        )
        self.environment = kept | here | {"PULSE_SERVER": f"unix:{self._socket}"}

    def start(self) -> None:
        self._socket.unlink(missing_ok=True)
        self._process = subprocess.Popen(
            [
                *("pulseaudio", "-n", "--daemonize=no", "--use-pid-file=no"),
                *("--exit-idle-time=-1", "--disable-shm=yes"),
                *("-L", f"module-native-protocol-unix socket={self._socket} auth-anonymous=1"),
                *("-L", f"{self._sink} sink_name=nullsink"),
                *("-L", f"{self._sink} sink_name=spare"),
            ],
            env=self.environment,
            start_new_session=True,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        self._wait_for_answer()
        self.tell("set-default-sink", "nullsink")

    def _wait_for_answer(self) -> None:
        for _ in range(200):
            if self._asked("info").returncode == 0:
                return
            time.sleep(0.02)
        raise RuntimeError("the sound server does not answer")

    def _asked(self, *words: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            ["pactl", *words], env=self.environment, capture_output=True, text=True, timeout=10
        )

    def tell(self, *words: str) -> str:
        """Runs one command of the server's and returns what it says."""
        done = self._asked(*words)
        if done.returncode:
            raise RuntimeError(f"pactl {' '.join(words)}: {done.stderr}")
        return done.stdout.strip()

    def remove_sink(self, name: str) -> None:
        lines = self.tell("list", "short", "modules").splitlines()
        number = next(line.split()[0] for line in lines if f"sink_name={name}" in line)
        self.tell("unload-module", number)

    def return_sink(self, name: str) -> None:
        self.tell("load-module", *self._sink.split(), f"sink_name={name}")
        self.tell("set-default-sink", name)

    def freeze(self) -> None:
        self._signal(signal.SIGSTOP)

    def thaw(self) -> None:
        self._signal(signal.SIGCONT)

    def kill(self) -> None:
        self._signal(signal.SIGKILL)
        assert self._process
        self._process.wait()
        self._process = None

    def end(self) -> None:
        if self._process:
            self.thaw()
            self.kill()
        shutil.rmtree(self._folder, ignore_errors=True)

    def _signal(self, number: signal.Signals) -> None:
        assert self._process
        os.kill(self._process.pid, number)


class Ear:
    """Records a sink's monitor; each chunk is stamped with the monotonic clock as it arrives."""

    def __init__(self, server: Server, sink: str = "nullsink") -> None:
        self._chunks: list[bytes] = []
        self._arrivals: list[tuple[int, int]] = []
        self._process = subprocess.Popen(
            [
                *("parec", "-d", f"{sink}.monitor", "--raw", "--format=s16le"),
                *(f"--rate={RATE}", "--channels=1", "--latency-msec=20"),
            ],
            env=server.environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        self._thread = threading.Thread(target=self._listen, daemon=True)
        self._thread.start()

    def _listen(self) -> None:
        assert self._process.stdout
        frames = 0
        while chunk := os.read(self._process.stdout.fileno(), 1 << 16):
            frames += len(chunk) // 2
            self._arrivals.append((frames, time.monotonic_ns()))
            self._chunks.append(chunk)

    def heard(self) -> "Heard":
        """Ends the recording and returns it."""
        self._process.kill()
        self._process.wait()
        self._thread.join(5)
        if self._process.stdout:
            self._process.stdout.close()
        whole = b"".join(self._chunks)
        samples = np.frombuffer(whole[: len(whole) // 2 * 2], np.int16)
        frames, stamps = np.array(self._arrivals, np.int64).reshape(-1, 2).T
        return Heard(samples, frames, stamps)


class Heard:
    """A recording, with the frames received by each time stamp."""

    def __init__(
        self, samples: NDArray[np.int16], frames: NDArray[np.int64], stamps: NDArray[np.int64]
    ) -> None:
        self.samples = samples
        self._frames = frames
        self._stamps = stamps

    def monotonic_ns(self, frame: int) -> int:
        """When a frame was heard: no later than any chunk that holds later ones arrived.

        The lower envelope over the three seconds after it, since the sink's clock may wander and
        a suspended sink stands still.
        """
        near = (self._frames > frame) & (self._frames < frame + 3 * RATE)
        starts = self._stamps[near] - self._frames[near] * 1_000_000_000 // RATE
        return int(starts.min()) + frame * 1_000_000_000 // RATE
