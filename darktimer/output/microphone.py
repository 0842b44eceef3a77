"""Records what a microphone hears, in daylight."""

from contextlib import suppress
from typing import Any, Final, Self

import numpy as np

from darktimer.cues.tone import Samples
from darktimer.errors import OutputError
from darktimer.output.devices import Device, chosen
from darktimer.output.portaudio import Stream, listed

_LATENCY_S: Final = 0.2
_CLOSES_S: Final = 1.0
_NOTHING: Final = np.zeros(0, np.int16)


def microphone(name: str | None = None) -> Device | None:
    """The microphone of that name, or the default; None where there is none and none is named."""
    found: tuple[Device, ...] = ()
    with suppress(OutputError):
        found = listed("input")
    if name and not found:
        remedy = "plug one in, or leave --microphone out and be asked what you hear"
        raise OutputError(name, "there is no microphone at all", remedy)
    return chosen(name, found, "microphone") if found else None


class Recorder(Stream):
    """A microphone from when it is made to the end of the context. Raises `OutputError`."""

    def __init__(self, rate: int, device: Device) -> None:
        self._blocks: list[Samples] = []
        super().__init__("input", device, rate, _LATENCY_S, callback=self._take)
        self.start()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close(_CLOSES_S)

    def heard(self) -> Samples:
        """Everything since the beginning, 16-bit mono; the recording goes on."""
        return np.concatenate([_NOTHING, *self._blocks])

    def _take(self, block: Any, count: int, times: Any, status: Any) -> None:
        self._blocks.append(block[:, 0].copy())
