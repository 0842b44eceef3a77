"""Which speaker is meant."""

import sys

import pytest

from darktimer.errors import OutputError
from darktimer.output import portaudio
from darktimer.output.devices import Device, chosen

BUILT_IN = Device(0, "Built-in Audio", "ALSA", 2, 48_000, False)
DEFAULT = Device(1, "default", "ALSA", 32, 44_100, True)
USB = Device(2, "USB speaker: front", "ALSA", 2, 48_000, False)
USB_BACK = Device(3, "USB speaker: back", "ALSA", 2, 48_000, False)
USB_TWICE = Device(4, "USB speaker: front", "JACK", 2, 48_000, False)
ALL = (BUILT_IN, DEFAULT, USB, USB_BACK, USB_TWICE)


@pytest.mark.parametrize(
    ("name", "meant"),
    [
        (None, DEFAULT),
        ("built-in", BUILT_IN),
        ("BUILT-IN AUDIO", BUILT_IN),
        ("front", USB),
        ("front, jack", USB_TWICE),
        ("USB speaker: back", USB_BACK),
    ],
)
def test_a_name_or_a_part_of_it(name: str | None, meant: Device) -> None:
    assert chosen(name, ALL) == meant


def test_without_a_default_the_first() -> None:
    assert chosen(None, (BUILT_IN, USB)) == BUILT_IN


@pytest.mark.parametrize(
    ("name", "among", "says"),
    [
        ("usb", ALL, "usb: this may be any of several speakers; write one of: "
                     "USB speaker: front; USB speaker: back"),
        ("horn", (BUILT_IN,), "horn: there is no such speaker; write one of: Built-in Audio"),
        (None, (), "speaker: there is none; plug one in or start the sound server, or write a "
                   "file with darktimer render and play that"),
    ],
)  # fmt: skip
def test_a_name_that_is_no_use(name: str | None, among: tuple[Device, ...], says: str) -> None:
    with pytest.raises(OutputError) as refused:
        chosen(name, among)
    assert str(refused.value) == says


def test_without_the_library_the_package_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "sounddevice", None)
    with pytest.raises(OutputError, match=r"libportaudio2.*darktimer render") as refused:
        portaudio.portaudio()
    assert "\n" not in str(refused.value)
