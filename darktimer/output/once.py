"""Plays short sounds one at a time, and listens meanwhile; for daylight, where a slip is cheap.

One stream stays open from the first sound to the last, since opening and closing one for each is
what sound servers bear least. A run in the dark needs more than this: that is the speaker's
business. Raises `OutputError` where PortAudio or a device is missing.
"""

import threading
from contextlib import suppress
from typing import Any, Final, Self

import numpy as np

from darktimer.cues.tone import Samples
from darktimer.errors import OutputError
from darktimer.output.devices import RENDER_INSTEAD, Device, chosen, devices, portaudio

_LATENCY_S: Final = 0.2
_CLOSES_S: Final = 1.0
_NOTHING: Final = np.zeros(0, np.int16)


def play_once(samples: Samples, rate: int, device: str | None = None) -> None:
    """Plays 16-bit mono samples to their end on the speaker of that name, or the default."""
    with Player(rate, device) as player:
        player.begin(samples)
        player.wait()


class _Stream:
    """A stream of the library's, a context; closed without waiting for ever on a frozen server.

    One that is still open when the program ends can bring the library down.
    """

    def __init__(self, stream: Any) -> None:
        self._stream = stream

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _close(self) -> None:
        with suppress(Exception):
            self._stream.abort()
            self._stream.close()

    def close(self) -> None:
        """Ends the sound at once."""
        thread = threading.Thread(target=self._close, name="closing a sound", daemon=True)
        thread.start()
        thread.join(_CLOSES_S)


class Player(_Stream):
    """A speaker that plays one sound of 16-bit mono samples at a time, silence between them."""

    def __init__(self, rate: int, device: str | None = None) -> None:
        self._samples, self._at = _NOTHING, 0
        self._rate = rate
        self._over = threading.Event()
        self._over.set()
        super().__init__(_opened("OutputStream", chosen(device, devices()), rate, self._fill))

    def begin(self, samples: Samples) -> None:
        """Begins to play and returns at once; what was playing is ended."""
        self._over.clear()
        self._samples, self._at = samples, 0

    def wait(self) -> None:
        """Returns when the sound has been heard to its end; raises `OutputError` if it never is."""
        seconds = len(self._samples) / self._rate
        if not self._over.wait(seconds + 5 * _LATENCY_S + 2):
            raise OutputError("speaker", "it takes no sound any more", "see that it is still there")
        threading.Event().wait(2 * _LATENCY_S)

    def _fill(self, out: Any, count: int, times: Any, status: Any) -> None:
        out.fill(0)
        samples, at = self._samples, self._at
        part = samples[at : at + count]
        out[: len(part)] = part.reshape(-1, 1)
        if self._samples is samples:
            self._at = at + len(part)
        if not len(part):
            self._over.set()


class Recorder(_Stream):
    """A microphone from when it is made to `heard`."""

    def __init__(self, rate: int, device: Device) -> None:
        self._blocks: list[Samples] = []
        super().__init__(_opened("InputStream", device, rate, self._take))

    def heard(self) -> Samples:
        """Everything since the beginning, 16-bit mono; the recording goes on."""
        return np.concatenate([_NOTHING, *self._blocks])

    def _take(self, block: Any, count: int, times: Any, status: Any) -> None:
        self._blocks.append(block[:, 0].copy())


def microphone(name: str | None = None) -> Device | None:
    """The microphone of that name, or the default; None where there is none at all."""
    library = portaudio()
    try:
        listed = list(library.query_devices())
        default = library.query_devices(kind="input")["index"]
    except library.PortAudioError:
        return None
    found = tuple(
        Device(
            number,
            each["name"],
            library.query_hostapis(each["hostapi"])["name"],
            each["max_input_channels"],
            round(each["default_samplerate"]),
            number == default,
        )
        for number, each in enumerate(listed)
        if each["max_input_channels"] > 0
    )
    return chosen(name, found) if found else None


def _opened(kind: str, device: Device, rate: int, callback: Any) -> Any:
    """A running stream of one channel, or of two where the device takes no single one."""
    library = portaudio()
    fault: Exception | None = None
    for channels in (1, 2)[: device.channels]:
        try:
            stream = getattr(library, kind)(
                samplerate=rate,
                device=device.number,
                channels=channels,
                dtype="int16",
                latency=_LATENCY_S,
                callback=callback,
            )
            stream.start()
        except (library.PortAudioError, ValueError) as error:
            fault = error
        else:
            return stream
    mend = f"choose another device, {RENDER_INSTEAD}"
    raise OutputError(device.name, f"it cannot be opened ({fault})", mend)
