"""Speakers that are not there: they open or refuse, play, fall silent, as they are told."""

from typing import Any

import pytest

from darktimer.errors import OutputError
from darktimer.output.clock import Clock
from darktimer.output.devices import Device


class Speaker:
    """A device; `darktimer.output.protocol.Playing` once it is opened, and opened again and again.

    ``opens``: whether it does; ``fault``: why it is of no use; ``proves``: whether it keeps time.
    """

    buffer_ms = 300
    next_frame: int | None = None
    finished = False

    def __init__(self, name: str) -> None:
        self.name = name
        self.opens, self.proves, self.fault = True, True, ""
        self.first_frame: int | None = None
        self.heard_ns: int | None = None
        self.opened = self.retired = 0

    def open(self) -> "Speaker":
        if not self.opens:
            raise OutputError(self.name, "it cannot be opened", "choose another")
        self.opened += 1
        self.first_frame = 0
        return self

    def tend(self, now_ns: int) -> str:
        if not self.fault:
            self.heard_ns = Clock().boot_ns()
        return self.fault

    def proven(self, now_ns: int) -> bool:
        return self.proves

    def close(self, limit_s: float = 0.0) -> None:
        self.retired += 1


class Shop:
    """Speakers by their names, in place of PortAudio's."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, *names: str) -> None:
        self.speakers = {name: Speaker(name) for name in names}
        listed = tuple(
            Device(number, name, "made up", 2, 48_000, number == 0)
            for number, name in enumerate(names)
        )
        monkeypatch.setattr("darktimer.output.search.listed", lambda: listed)
        monkeypatch.setattr("darktimer.output.search.look_again", lambda ours: False)
        monkeypatch.setattr("darktimer.output.speaker.DeviceStream", self._card)

    def __getitem__(self, name: str) -> Speaker:
        return self.speakers[name]

    def _card(self, sound: Any, device: Device, *rest: Any) -> Speaker:
        return self.speakers[device.name].open()
