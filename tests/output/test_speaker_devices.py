"""Which speaker is meant, and what a stream does with what it is told; without any device."""

import sys

import pytest

from darktimer.errors import OutputError
from darktimer.output import devices
from darktimer.output.card import Card
from darktimer.output.devices import Device, chosen
from darktimer.output.search import Search

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
        devices.portaudio()
    assert "\n" not in str(refused.value)


class Opening:
    """Opens or refuses as it is told."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, *, works: tuple[str, ...]) -> None:
        self.asked: list[str] = []
        self._works = works
        monkeypatch.setattr("darktimer.output.search.devices", lambda: ALL)
        monkeypatch.setattr("darktimer.output.search.look_again", lambda: None)

    def __call__(self, device: Device) -> Card:
        self.asked.append(device.name)
        if device.name not in self._works:
            raise OutputError(device.name, "it cannot be opened", "choose another")
        card: Card = object.__new__(Card)
        card.name = device.name
        return card


def _found(search: Search) -> Card | None:
    """Polls for as long as a second choice takes to have its turn."""
    for tick in range(1, 200):
        if card := search.poll(tick * 100_000_000):
            return card
        while search._running:
            pass
    return None


def test_the_second_choice_has_its_turn(monkeypatch: pytest.MonkeyPatch) -> None:
    opening = Opening(monkeypatch, works=("Built-in Audio",))
    search = Search(("front", "built-in"), opening)
    card = _found(search)
    assert card
    assert card.name == "Built-in Audio"
    assert opening.asked[0] == "USB speaker: front"
    assert "front" in str(search.fault)


def test_after_a_loss_the_other_is_tried_first(monkeypatch: pytest.MonkeyPatch) -> None:
    opening = Opening(monkeypatch, works=("Built-in Audio", "USB speaker: front"))
    search = Search(("front", "built-in"), opening)
    assert _found(search)
    search.restart()
    card = _found(search)
    assert card
    assert card.name == "Built-in Audio"


def test_a_search_that_finds_nothing_says_so_and_goes_on(monkeypatch: pytest.MonkeyPatch) -> None:
    opening = Opening(monkeypatch, works=())
    search = Search(("front",), opening)
    assert _found(search) is None
    assert search.exhausted
    assert "cannot be opened" in str(search.fault)
    assert len(opening.asked) > 10
