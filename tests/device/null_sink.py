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
from collections.abc import Callable
from pathlib import Path
from typing import Any, Self

import numpy as np
from numpy.typing import NDArray

RATE = 48_000

_ASOUNDRC = """
pcm.!default { type pulse }
ctl.!default { type pulse }
pcm.spare { type pulse device spare hint.description "spare speaker" }
"""
#: What decides where PipeWire's streams go, without the devices and the message bus of a desktop.
_WIREPLUMBER = {
    "main.lua.d": """
        default_access.properties["enable-flatpak-portal"] = false
        load_module("metadata")
        default_access.enable()
        device_defaults.enable()
        stream_defaults.enable()
        """,
    "bluetooth.lua.d": "",
}
_SINK = f"module-null-sink rate={RATE} channels=1 format=s16le"


class Server:
    """A PulseAudio server with the sinks ``nullsink`` (the default) and ``spare``.

    A null sink that nobody listens to renders 2 s ahead, so that what comes next is 2 s late. With
    ``short`` buffers, like a real card's, it cannot; but then its own clock is less even.
    """

    PROGRAMS: tuple[str, ...] = ("pulseaudio", "pactl", "parec")
    #: How late what it says will be heard is recorded.
    USUAL_MS = -20.0

    @classmethod
    def missing(cls) -> str | None:
        """The program that is not installed, if any."""
        return next((program for program in cls.PROGRAMS if not shutil.which(program)), None)

    def __init__(self, *, short: bool = False) -> None:
        self._sink = _SINK + (" norewinds=1" if short else "")
        self._folder = Path(tempfile.mkdtemp(prefix="null-sink-"))
        (self._folder / ".asoundrc").write_text(_ASOUNDRC)
        self._socket = self._folder / "native"
        self._processes: list[subprocess.Popen[bytes]] = []
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

    def add_device(self, name: str, kind: str) -> None:
        """One more in the list of the sound library, for programs that begin from now on."""
        with (self._folder / ".asoundrc").open("a") as file:
            file.write(f'pcm.{name} {{ type {kind} hint.description "{name}" }}\n')

    def start(self) -> None:
        self._socket.unlink(missing_ok=True)
        self._processes = [
            self._begun(
                *("pulseaudio", "-n", "--daemonize=no", "--use-pid-file=no"),
                *("--exit-idle-time=-1", "--disable-shm=yes"),
                *("-L", f"module-native-protocol-unix socket={self._socket} auth-anonymous=1"),
                *("-L", f"{self._sink} sink_name=nullsink"),
                *("-L", f"{self._sink} sink_name=spare"),
            )
        ]
        self._wait_for(lambda: self._asked("info").returncode == 0)
        self.tell("set-default-sink", "nullsink")

    def _begun(self, *words: str) -> subprocess.Popen[bytes]:
        return subprocess.Popen(
            words,
            env=self.environment,
            start_new_session=True,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )

    def _wait_for(self, ready: Callable[[], bool]) -> None:
        end = time.monotonic() + 30
        while not ready():
            if time.monotonic() > end:
                raise RuntimeError("the sound server does not answer")
            time.sleep(0.02)

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
        self.tell("load-module", *self.sink_words(name))
        self.tell("set-default-sink", name)

    def sink_words(self, name: str) -> list[str]:
        """The module that is one more sink, and what it takes."""
        return [*self._sink.split(), f"sink_name={name}"]

    def freeze(self) -> None:
        self._signal(signal.SIGSTOP)

    def thaw(self) -> None:
        self._signal(signal.SIGCONT)

    def kill(self) -> None:
        self._signal(signal.SIGKILL)
        for process in self._processes:
            process.wait()
        self._processes = []

    def __enter__(self) -> Self:
        """Starts it; it ends with the context."""
        self.start()
        return self

    def __exit__(self, *_: Any) -> None:
        self.end()

    def end(self) -> None:
        self.thaw()
        self.kill()
        shutil.rmtree(self._folder, ignore_errors=True)

    def _signal(self, number: signal.Signals) -> None:
        for process in self._processes:
            os.kill(process.pid, number)


class PipeWire(Server):
    """The same sinks on PipeWire, by the face that it shows to PulseAudio's programs.

    Three processes; without a message bus it has no real-time rank. Its sinks keep a clock of their
    own, in steps of the quantum.
    """

    PROGRAMS = ("pipewire", "wireplumber", "pipewire-pulse", "pactl", "parec")
    USUAL_MS = 10.5

    def __init__(self, *, short: bool = False) -> None:
        super().__init__(short=short)
        for part, text in _WIREPLUMBER.items():
            file = self._folder / "wireplumber" / part / "90-enable-all.lua"
            file.parent.mkdir(parents=True)
            file.write_text(text)

    def start(self) -> None:
        for name in ("pipewire-0", "pipewire-0.lock", "pid", self._socket.name):
            (self._folder / name).unlink(missing_ok=True)
        first, *others = self.PROGRAMS[:3]
        self._processes = [self._begun(first)]
        self._wait_for(lambda: (self._folder / "pipewire-0").exists())
        self._processes += map(self._begun, others)
        self._wait_for(lambda: self._asked("info").returncode == 0)
        for name in ("spare", "nullsink"):
            self.return_sink(name)

    def return_sink(self, name: str) -> None:
        self.tell("load-module", *self._sink.split(), f"sink_name={name}")
        # Which is the default is kept by a process that may begin last.
        self._wait_for(lambda: self._asked("set-default-sink", name).returncode == 0)


def kind_of_server() -> type[Server]:
    """``SOUND_SERVER`` in the environment may say ``pipewire``; without it, it is PulseAudio."""
    return {"pulseaudio": Server, "pipewire": PipeWire}[
        os.environ.get("SOUND_SERVER", "pulseaudio")
    ]


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
        return self.so_far()

    def so_far(self) -> "Heard":
        """The recording, which goes on."""
        frames, stamps = np.array(self._arrivals, np.int64).reshape(-1, 2).T
        whole = b"".join(self._chunks)
        samples = np.frombuffer(whole[: len(whole) // 2 * 2], np.int16)
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
        a suspended sink stands still; but of one second at least, since few chunks may all be late.
        """
        since = min(frame, int(self._frames[-1]) - RATE)
        near = (self._frames > since) & (self._frames < frame + 3 * RATE)
        starts = self._stamps[near] - self._frames[near] * 1_000_000_000 // RATE
        return int(starts.min()) + frame * 1_000_000_000 // RATE
