"""What a microphone hears: each block as it comes, or the whole of it, in daylight."""

from collections.abc import Callable
from contextlib import suppress
from typing import Any, Final, Self

import numpy as np

from darktimer.cues.tone import Samples
from darktimer.errors import OutputError
from darktimer.output.devices import Device, chosen
from darktimer.output.portaudio import Stream, listed

_LATENCY_S: Final = 0.2
_CLOSES_S: Final = 1.0
_BE_ASKED: Final = "leave --microphone out and be asked what you hear"
_NOTHING: Final = np.zeros(0, np.int16)


def microphone(name: str | None = None, otherwise: str = _BE_ASKED) -> Device | None:
    """The microphone of that name, or the default; None where there is none and none is named.

    Raises `OutputError` for a name in vain; ``otherwise`` is what to do without a microphone.
    """
    found: tuple[Device, ...] = ()
    with suppress(OutputError):
        found = listed("input")
    if name and not found:
        raise OutputError(name, "there is no microphone at all", f"plug one in, or {otherwise}")
    return chosen(name, found, "microphone") if found else None


class Microphone(Stream):
    """From when it is made to the end of the context; ``take`` is given blocks of 16-bit mono.

    That is called in the device's own thread. A speaker is sought before a microphone is kept.
    Raises `OutputError` where it cannot be opened.
    """

    def __init__(
        self,
        device: Device,
        rate: int,
        take: Callable[[Samples], object],
        latency_s: float = _LATENCY_S,
    ) -> None:
        self.name, self.rate = device.name, rate
        self.finished = False
        self._hand_over = take
        super().__init__(
            *("input", device, rate, latency_s),
            callback=self._take,
            finished_callback=self._finish,
        )
        self.start()
        self.gives_way = True

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close(_CLOSES_S)

    def _take(self, block: Any, count: int, times: Any, status: Any) -> None:
        self._hand_over(block[:, 0].copy())

    def _finish(self) -> None:
        self.finished = True


class Recorder(Microphone):
    """A microphone that keeps all that it hears."""

    def __init__(self, rate: int, device: Device) -> None:
        self._blocks: list[Samples] = []
        super().__init__(device, rate, self._blocks.append)

    def heard(self) -> Samples:
        """Everything since the beginning, 16-bit mono; the recording goes on."""
        return np.concatenate([_NOTHING, *self._blocks])
