"""A general player of music without a screen, led by its own remote control."""

import json
import socket
import subprocess
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Final

_BEGINS_S: Final = 20
#: A line of JSON for each press.
_NEXT: Final = json.dumps({"command": ["playlist-next"]}).encode() + b"\n"


class TrackPlayer:
    """One that plays; ``process`` ends by itself after the last file."""

    def __init__(self, process: "subprocess.Popen[bytes]", remote: socket.socket) -> None:
        self.process = process
        self._remote = remote

    def press_next(self) -> None:
        self._remote.sendall(_NEXT)


@contextmanager
def playing(playlist: Path, environment: Mapping[str, str]) -> Iterator[TrackPlayer]:
    """Plays a list to the sound server of an environment; what still plays at the end is killed."""
    control = playlist.parent / "control"
    words = ["mpv", "--no-config", "--no-video", "--ao=pulse", "--really-quiet"]
    words += [f"--input-ipc-server={control}", str(playlist)]
    with subprocess.Popen(words, env=environment, start_new_session=True) as process:
        try:
            with _connected(control) as remote:
                yield TrackPlayer(process, remote)
        finally:
            process.kill()


def _connected(control: Path) -> socket.socket:
    """To the player's remote control, which it opens a moment after it began."""
    remote, end = socket.socket(socket.AF_UNIX), time.monotonic() + _BEGINS_S
    while remote.connect_ex(str(control)):
        assert time.monotonic() < end, "the player does not begin"
        time.sleep(0.05)
    return remote
