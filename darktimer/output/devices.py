"""The speakers a system offers, by the names people know, and which one is meant.

Everything that touches PortAudio's own state (loading it, its list of devices) is here.
"""

import atexit
from typing import Any, Final, NamedTuple

from darktimer.errors import OutputError

#: What to do instead of playing live, for the end of an error's text.
RENDER_INSTEAD: Final = "or write a file with darktimer render and play that"

_INSTALL: Final = (
    "install PortAudio (Debian, Ubuntu: libportaudio2; Fedora: portaudio; "
    f"macOS: brew install portaudio), {RENDER_INSTEAD}"
)


class Device(NamedTuple):
    """Something that plays sound. ``number`` holds until the list is read afresh."""

    number: int
    name: str
    system: str
    channels: int
    rate: int
    is_default: bool


def portaudio() -> Any:
    """The library, loaded when first asked for. Raises `OutputError` where it is missing."""
    try:
        import sounddevice
    except (OSError, ImportError):
        raise OutputError("speaker", "PortAudio is not installed", _INSTALL) from None
    # At exit it would wait for a frozen sound server for ever; the system clears up as well.
    atexit.unregister(sounddevice._exit_handler)
    return sounddevice


def devices() -> tuple[Device, ...]:
    """Every device that plays sound, as PortAudio last found them. Raises `OutputError`."""
    library = portaudio()
    try:
        systems = [system["name"] for system in library.query_hostapis()]
        default = _default(library)
        found = list(library.query_devices())
    except library.PortAudioError as error:
        raise _unlisted(error) from None
    return tuple(
        Device(
            number,
            each["name"],
            systems[each["hostapi"]],
            each["max_output_channels"],
            round(each["default_samplerate"]),
            number == default,
        )
        for number, each in enumerate(found)
        if each["max_output_channels"] > 0
    )


def _default(library: Any) -> int:
    try:
        return int(library.query_devices(kind="output")["index"])
    except library.PortAudioError:
        return -1


def _unlisted(error: Exception) -> OutputError:
    reason = f"the speakers cannot be listed ({error})"
    return OutputError("speaker", reason, f"see that sound works elsewhere, {RENDER_INSTEAD}")


def look_again() -> None:
    """Reads the list of devices afresh; no stream may be open. May block on a frozen server."""
    library = portaudio()
    try:
        library._terminate()
        library._initialize()
    except library.PortAudioError as error:
        raise _unlisted(error) from None


def chosen(name: str | None, among: tuple[Device, ...]) -> Device:
    """The device of that name, whole or in part, or the default. Raises `OutputError`."""
    if not among:
        mend = f"plug one in or start the sound server, {RENDER_INSTEAD}"
        raise OutputError("speaker", "there is none", mend)
    if name is None:
        return next((each for each in among if each.is_default), among[0])
    for same in (_equal, _within):
        meant = [each for each in among if same(name.casefold(), each)]
        if len({each.name for each in meant}) == 1:
            return next((each for each in meant if each.is_default), meant[0])
        if meant:
            raise OutputError(name, "this may be any of several speakers", _write_one_of(meant))
    raise OutputError(name, "there is no such speaker", _write_one_of(among))


def _equal(name: str, device: Device) -> bool:
    return name in (device.name.casefold(), f"{device.name}, {device.system}".casefold())


def _within(name: str, device: Device) -> bool:
    return name in f"{device.name}, {device.system}".casefold()


def _write_one_of(among: tuple[Device, ...] | list[Device]) -> str:
    names = dict.fromkeys(each.name for each in among)
    return f"write one of: {'; '.join(names)}"
