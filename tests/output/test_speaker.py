"""One supervisor: what it does with speakers that refuse, fall silent and come back."""

import time
from collections.abc import Callable, Iterator

import numpy as np
import pytest

from darktimer.errors import OutputError
from darktimer.output.clock import Clock
from darktimer.output.speaker import SpeakerStream
from darktimer.output.speakers import Speakers
from darktimer.output.trouble import Trouble
from tests.output.recording import ManualClock
from tests.output.speakers import Shop


class Silence:
    rate = 48_000
    frames = 0

    def fill(self, start: int, count: int) -> np.ndarray:
        return np.zeros(count, np.int16)

    def cuts(self) -> tuple[int, ...]:
        return ()


@pytest.fixture
def shop(monkeypatch: pytest.MonkeyPatch) -> Shop:
    return Shop(monkeypatch, "front", "back")


@pytest.fixture
def stream() -> Iterator[SpeakerStream]:
    made = _stream()
    yield made
    made.close()


def _stream() -> SpeakerStream:
    clock = Clock()
    speakers = Speakers(name="front", second_choice="back", buffer_ms=300)
    return SpeakerStream(Silence(), speakers, clock, clock.boot_ns())


def _until(wanted: Callable[[], object]) -> None:
    end = time.monotonic() + 5
    while not wanted():
        assert time.monotonic() < end
        time.sleep(0.005)


def _kinds(troubles: list[Trouble]) -> list[str]:
    return [each.kind for each in troubles]


def test_the_first_choice_plays_and_nothing_is_told(shop: Shop, stream: SpeakerStream) -> None:
    stream.start()
    assert stream.playing
    assert (shop["front"].opened, shop["back"].opened) == (1, 0)
    stream.close()
    assert not stream.playing
    assert shop["front"].retired == 1
    assert stream.trouble() == []


def test_the_second_choice_has_its_turn_and_the_first_is_told(
    shop: Shop, stream: SpeakerStream
) -> None:
    shop["front"].opens = False
    stream.start()
    assert shop["back"].opened == 1
    (told,) = stream.trouble()
    assert (told.kind, told.gap_ms) == ("no-device", 0)
    assert "front: it cannot be opened" in told.detail


def test_a_speaker_that_keeps_no_time_is_refused_in_the_light(
    shop: Shop, stream: SpeakerStream
) -> None:
    for name in ("front", "back"):
        shop[name].fault = "the device takes sound faster than it can be heard"
        shop[name].proves = False
    with pytest.raises(OutputError, match=r"faster than it can be heard; choose .* render"):
        stream.start()
    assert shop["front"].opened == shop["front"].retired >= 1
    assert not stream.playing


def test_a_start_waits_until_the_speaker_has_kept_time(shop: Shop, stream: SpeakerStream) -> None:
    shop["front"].proves = False
    began = time.monotonic()

    def prove() -> None:
        time.sleep(0.3)
        shop["front"].proves = True

    import threading

    threading.Thread(target=prove).start()
    stream.start()
    assert time.monotonic() - began > 0.29


def test_after_a_loss_the_other_is_tried_first(shop: Shop, stream: SpeakerStream) -> None:
    stream.start()
    shop["front"].fault = "the device takes no sound"
    _until(lambda: shop["back"].opened and stream.playing)
    lost, back = stream.trouble()
    assert (lost.kind, back.kind) == ("lost", "back")
    assert lost.detail == "front: the device takes no sound"
    assert 0 <= lost.gap_ms < 300 + 200, "since it last took sound"
    assert back.detail == "on back"


def test_what_cannot_be_had_is_told_once_for_each_speaker_and_kind_and_counted(
    shop: Shop, stream: SpeakerStream
) -> None:
    stream.start()
    for name in ("front", "back"):
        shop[name].opens = False
    shop["front"].fault = "the device went away"
    _until(lambda: sum(stream._missed.values()) > 8)
    told = stream.trouble()
    assert _kinds(told) == ["lost", "no-device", "no-device"]
    assert {each.detail.split(":")[0] for each in told[1:]} == {"front", "back"}
    shop["front"].fault = ""
    shop["front"].opens = True
    _until(lambda: stream.playing)
    (back,) = stream.trouble()
    assert back.kind == "back"
    assert int(back.detail.split("tried ")[1].split()[0]) > 8


def test_a_fault_of_its_own_ends_no_supervision_and_is_told_once(
    shop: Shop, stream: SpeakerStream, monkeypatch: pytest.MonkeyPatch
) -> None:
    stream.start()
    failed: list[int] = []
    tend = shop["front"].tend

    def fail(now_ns: int) -> str:
        failed.append(now_ns)
        if len(failed) < 5:
            raise RuntimeError("a fault of its own")
        return tend(now_ns)

    monkeypatch.setattr(shop["front"], "tend", fail)
    _until(lambda: len(failed) > 3)
    (told,) = stream.trouble()
    assert (told.kind, told.detail) == (
        "callback-error", "supervisor: RuntimeError('a fault of its own')"
    )  # fmt: skip
    shop["front"].fault = "the device went away"
    _until(lambda: "back" in _kinds(stream.trouble()))


def test_a_patient_start_waits_for_a_speaker_and_then_tells_how_long(
    shop: Shop, stream: SpeakerStream
) -> None:
    for name in ("front", "back"):
        shop[name].opens = False
    stream.start(wait_for_device=True)
    _until(lambda: stream._missed)
    assert not stream.playing
    shop["back"].opens = True
    _until(lambda: stream.playing)
    assert _kinds(stream.trouble())[-1] == "back"


@pytest.mark.parametrize(
    ("handed_ms", "playing", "reach_ms"),
    [(1_200, True, 1_300), (1_390, True, 1_390), (None, False, 1_000), (1_100, False, 1_300)],
    ids=["a block may be handed over now", "as far as was handed over", "nothing plays",
         "it is taking its first block"],
)  # fmt: skip
def test_what_can_still_be_changed_leaves_time_to_change_it(
    shop: Shop, handed_ms: int | None, playing: bool, reach_ms: int
) -> None:
    """A plan of a day took 29 ms to be made anew for an answer."""
    stream = SpeakerStream(Silence(), Speakers(buffer_ms=300), ManualClock(1_000_000_000), 0)
    stream._stream, stream._sounding = shop["front"], playing
    shop["front"].next_frame = None if handed_ms is None else (handed_ms - 1) * 48
    assert stream.position_ms() == 1_000
    assert 29 < stream.filled_ms() - reach_ms <= 60


def test_a_speaker_that_opens_after_the_end_is_closed_again(shop: Shop) -> None:
    stream, opened = _stream(), shop["front"].open

    def slow() -> object:
        time.sleep(0.2)
        return opened()

    shop["front"].open = slow
    shop["back"].opens = False
    stream.start(wait_for_device=True)
    time.sleep(0.1)
    stream.close()
    _until(lambda: shop["front"].opened)
    _until(lambda: shop["front"].retired == shop["front"].opened)
