"""Plays one short sound, or plays it and listens; for daylight, where a slip costs nothing.

A run in the dark needs more than this: that is the speaker's business. Raises `OutputError` where
PortAudio or a device is missing.
"""

from typing import Any

from darktimer.cues.tone import Samples
from darktimer.errors import OutputError
from darktimer.output.devices import RENDER_INSTEAD, Device, chosen, devices, portaudio


def play_once(samples: Samples, rate: int, device: str | None = None) -> None:
    """Plays 16-bit mono samples to their end on the speaker of that name, or the default."""
    begin(samples, rate, device)
    portaudio().wait()


def begin(samples: Samples, rate: int, device: str | None = None) -> None:
    """Begins to play and returns at once; what was playing is ended."""
    library, speaker = portaudio(), chosen(device, devices())
    fault: Exception | None = None
    for channels in (1, 2)[: speaker.channels]:
        try:
            played = samples.reshape(-1, 1).repeat(channels, axis=1)
            library.play(played, rate, device=speaker.number)
        except (library.PortAudioError, ValueError) as error:
            fault = error
        else:
            return
    raise _unopened(speaker, fault)


def hush() -> None:
    """Ends what `begin` began."""
    portaudio().stop(ignore_errors=True)


def microphone(name: str | None = None) -> Device | None:
    """The microphone of that name, or the default; None where there is none at all."""
    library = portaudio()
    listed = list(enumerate(library.query_devices()))
    try:
        number = library.query_devices(kind="input")["index"]
    except library.PortAudioError:
        number = -1
    found = tuple(
        Device(
            n, d["name"], "", d["max_input_channels"], round(d["default_samplerate"]), n == number
        )
        for n, d in listed
        if d["max_input_channels"] > 0
    )
    return chosen(name, found) if found else None


def play_and_hear(samples: Samples, rate: int, device: str | None, ear: Device) -> Samples:
    """What the microphone hears while the samples are played: as many samples, 16-bit mono."""
    library, speaker = portaudio(), chosen(device, devices())
    try:
        heard: Any = library.playrec(
            samples.reshape(-1, 1),
            rate,
            channels=1,
            dtype="int16",
            device=(ear.number, speaker.number),
            blocking=True,
        )
    except (library.PortAudioError, ValueError) as error:
        raise _unopened(speaker, error) from None
    recorded: Samples = heard[:, 0]
    return recorded


def _unopened(device: Device, fault: Exception | None) -> OutputError:
    mend = f"choose another device, {RENDER_INSTEAD}"
    return OutputError(device.name, f"it cannot be opened ({fault})", mend)
