"""The library's one state: it is never taken from under a stream."""

import threading
import time
from types import SimpleNamespace

import pytest

from darktimer.errors import OutputError
from darktimer.output import portaudio
from darktimer.output.devices import Device
from darktimer.output.microphone import Microphone

USB = Device(2, "USB speaker", "ALSA", 2, 48_000, False)


class _FaultError(Exception):
    pass


class Library:
    """Counts how often it was ended; streams open, refuse one channel, or hang when closed."""

    PortAudioError = _FaultError

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.ended = self.closed = 0
        self.refused: set[int] = set()
        self.starts = True
        self.may_close = threading.Event()
        self.may_close.set()
        self.OutputStream = self.InputStream = self._stream
        monkeypatch.setattr(portaudio, "portaudio", lambda: self)

    def _terminate(self) -> None:
        self.ended += 1

    def _initialize(self) -> None: ...

    def _stream(self, *, channels: int, **_: object) -> SimpleNamespace:
        if channels in self.refused:
            raise _FaultError(f"{channels} channels")
        return SimpleNamespace(
            start=self._start, abort=self.may_close.wait, close=self._close, channels=channels
        )

    def _close(self) -> None:
        self.closed += 1

    def _start(self) -> None:
        if not self.starts:
            raise _FaultError("no start")


@pytest.fixture
def library(monkeypatch: pytest.MonkeyPatch) -> Library:
    return Library(monkeypatch)


def _opened() -> portaudio.Stream:
    return portaudio.Stream("output", USB, 48_000, 0.2)


def test_the_lists_are_read_afresh_only_while_no_stream_is_open_or_closing(
    library: Library,
) -> None:
    assert portaudio.look_again(True)
    stream = _opened()
    assert not portaudio.look_again(True)
    library.may_close.clear()
    stream.close(0.01)
    assert not portaudio.look_again(True), "a frozen server holds up the closing"
    library.may_close.set()
    stream.close(1)
    assert portaudio.look_again(True)
    assert library.ended == 2


def _microphone() -> Microphone:
    return Microphone(USB, 48_000, lambda block: None)


def test_a_microphone_gives_way_and_is_shown_to_the_library_only_once(library: Library) -> None:
    heard = _microphone()
    assert portaudio.look_again(True), "a speaker is sought before a microphone is kept"
    heard.close(1)
    assert (library.ended, library.closed) == (1, 1)


def test_a_microphone_gives_no_way_beside_a_speaker_or_while_it_cannot_be_closed(
    library: Library, monkeypatch: pytest.MonkeyPatch
) -> None:
    heard, stream = _microphone(), _opened()
    assert not portaudio.look_again(True)
    assert library.closed == 0
    stream.close(1)
    monkeypatch.setattr(portaudio, "_TURN_S", 0.05)
    library.may_close.clear()
    assert not portaudio.look_again(True), "a frozen server holds up the closing"
    assert not portaudio.look_again(True)
    library.may_close.set()
    heard.close(1)
    assert library.ended == 0
    end = time.monotonic() + 1
    while not portaudio.look_again(True):
        assert time.monotonic() < end


def test_not_out_of_turn_either(library: Library) -> None:
    assert not portaudio.look_again(False)
    with portaudio.turn() as ours:
        assert ours
        others: list[bool] = []

        def wait() -> None:
            with portaudio.turn() as theirs:
                others.append(theirs)

        thread = threading.Thread(target=wait)
        thread.start()
        thread.join()
    assert others == [False], "who hangs is not waited for, and is left its turn"
    assert library.ended == 0


def test_two_channels_where_one_will_not_do(library: Library) -> None:
    library.refused = {1}
    stream = _opened()
    assert stream.stream.channels == 2
    stream.close(1)


def test_what_cannot_be_opened_or_started_leaves_nothing_open(library: Library) -> None:
    library.refused = {1, 2}
    with pytest.raises(OutputError, match=r"USB speaker: it cannot be opened \(2 channels\)"):
        _opened()
    library.refused, library.starts = set(), False
    with pytest.raises(OutputError, match="no start"):
        _opened().start()
    thread = next((t for t in threading.enumerate() if t.name == "closing a device"), None)
    if thread:
        thread.join(1)
    assert portaudio.look_again(True)
