"""PortAudio: loading it, its lists of devices, and every stream that this process has.

Its one state is the whole process's, and reading its lists afresh ends all streams: that is done
only while there are none. Opening and closing block for as long as a sound server is frozen: no
thread that matters opens, and closing is waited for no longer than a limit.
"""

import atexit
import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext, suppress
from typing import Any, Final, Literal

from darktimer.errors import OutputError
from darktimer.output.devices import RENDER_INSTEAD, Device

Direction = Literal["output", "input"]

_INSTALL: Final = (
    "install PortAudio (Debian, Ubuntu: libportaudio2; Fedora: portaudio; "
    f"macOS: brew install portaudio), {RENDER_INSTEAD}"
)
_TURN_S: Final = 1.0
_turn: Final = threading.Lock()
#: Being opened, open, or being closed; a callback must outlive its closing.
_streams: Final[set["Stream"]] = set()
#: What it was before the library was loaded.
_error_stream: Final[list[int]] = []


def portaudio() -> Any:
    """The library, loaded when first asked for. Raises `OutputError` where it is missing."""
    os.environ.pop("PULSE_LATENCY_MSEC", None)  # overrules the buffer asked for: nothing plays
    if not _error_stream:
        with suppress(OSError):
            _error_stream.append(os.dup(2))
    try:
        import sounddevice
    except (OSError, ImportError):
        raise OutputError("speaker", "PortAudio is not installed", _INSTALL) from None
    # At exit it would wait for a frozen sound server for ever; the system clears up as well.
    atexit.unregister(sounddevice._exit_handler)
    return sounddevice


def give_back_error_stream() -> None:
    """In the light: loading hides it, and on a frozen server does so for ever."""
    for kept in _error_stream:
        os.dup2(kept, 2)


def listed(kind: Direction = "output") -> tuple[Device, ...]:
    """Every speaker, or microphone, as the library last found them. Raises `OutputError`."""
    library = portaudio()
    try:
        systems = [system["name"] for system in library.query_hostapis()]
        default, found = _default(library, kind), list(library.query_devices())
    except library.PortAudioError as error:
        raise _unlisted(error) from None
    return tuple(
        Device(
            number,
            each["name"],
            systems[each["hostapi"]],
            each[f"max_{kind}_channels"],
            round(each["default_samplerate"]),
            number == default,
        )
        for number, each in enumerate(found)
        if each[f"max_{kind}_channels"] > 0
    )


def _default(library: Any, kind: Direction) -> int:
    try:
        return int(library.query_devices(kind=kind)["index"])
    except library.PortAudioError:
        return -1


def _unlisted(error: Exception) -> OutputError:
    reason = f"the speakers cannot be listed ({error})"
    return OutputError("speaker", reason, f"see that sound works elsewhere, {RENDER_INSTEAD}")


@contextmanager
def turn() -> Iterator[bool]:
    """The lists take one caller at a time; one that hangs is not waited for: whether it is ours."""
    ours = _turn.acquire(timeout=_TURN_S)
    try:
        yield ours
    finally:
        if ours:
            _turn.release()


def look_again(ours: bool) -> bool:
    """Reads the lists afresh, if the turn is ours and no stream is there to be ended by it."""
    if not ours or not _made_way():
        return False
    library = portaudio()
    try:
        library._terminate()
        library._initialize()
    except library.PortAudioError as error:
        raise _unlisted(error) from None
    return True


def _made_way() -> bool:
    """Ends those streams that give way, where there are no others: whether none is left."""
    there = tuple(_streams)
    if all(each.gives_way for each in there):
        for each in there:
            each._ended_within(_TURN_S, in_turn=True)
    return not _streams


class Stream:
    """One stream of 16-bit samples, of two channels only where the device takes no single one.

    Callbacks are called in the device's own thread. Raises `OutputError` where it cannot be opened.
    One that ``gives_way``, once it is open, is ended by whoever must read the lists afresh.
    """

    gives_way = False

    def __init__(
        self, kind: Direction, device: Device, rate: int, latency_s: float, **more: Any
    ) -> None:
        library = portaudio()
        make = library.OutputStream if kind == "output" else library.InputStream
        asked = {"samplerate": rate, "device": device.number, "dtype": "int16"}
        self._faults = (library.PortAudioError, ValueError)
        self._device = device
        self._ends = False
        fault: Exception | None = None
        _streams.add(self)
        for channels in (1, 2)[: device.channels]:
            try:
                self.stream = make(**asked, channels=channels, latency=latency_s, **more)
                return
            except self._faults as error:
                fault = error
        _streams.discard(self)
        raise _unopened(device, rate, fault)

    def start(self) -> None:
        """The callback is called from now on. Raises `OutputError`."""
        try:
            self.stream.start()
        except self._faults as error:
            self.close()
            raise _unopened(self._device, 0, error) from None

    def close(self, limit_s: float = 0.0) -> None:
        """Ends the sound at once and waits no longer than the limit for the device to be closed."""
        self._ended_within(limit_s, in_turn=False)

    def _ended_within(self, limit_s: float, in_turn: bool) -> None:
        thread = threading.Thread(
            target=self._close, args=(in_turn,), name="closing a device", daemon=True
        )
        thread.start()
        thread.join(limit_s)

    def _close(self, in_turn: bool) -> None:
        """Once: what the library has forgotten is not to be shown to it again."""
        with nullcontext() if in_turn else turn():
            if self._ends:
                return
            self._ends = True
            with suppress(Exception):
                self.stream.abort()
                self.stream.close()
            _streams.discard(self)


def _unopened(device: Device, rate: int, fault: Exception | None) -> OutputError:
    reason = f"it cannot be opened ({fault})"
    if rate and rate != device.rate and "rate" in str(fault):
        reason = f"it takes {device.rate} samples a second, not {rate}"
    return OutputError(device.name, reason, f"choose another device, {RENDER_INSTEAD}")
