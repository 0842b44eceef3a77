"""What can happen to a sound server, a sink or a process: the sound is back at the right place.

Every mark tells its number, so a recording shows what was heard when. "In place" means: as long
after session time as before the fault, to within a few milliseconds. ``pytest -rP`` on this file
prints what was measured.
"""

import time
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from marks import EVERY_MS, find
from null_sink import Ear, Heard, Server, kind_of_server
from stage import Player

from tests.live.witness import skip_if_too_busy

#: The whole of the time from the return of the device to the first mark heard.
BACK_WITHIN_MS = 2000 + EVERY_MS
#: In the long run, with half a millisecond for the ear's own clock.
IN_PLACE_MS = 5.5
#: What a server first says of a stream that starts again is as wrong as this on a busy machine, and
#: more after a freeze; it is put right when all agree: the busier a machine is, the later.
AT_FIRST_MS = 25
AFTER_FREEZE_MS = 75
SETTLES_AT_LATEST_S = 25
#: So many marks in their places on end, of so many heard again.
SETTLED, HEARD_AGAIN = 4, 10
HEARD_FIRST_S = 1.0
USUAL_MS = kind_of_server().USUAL_MS

Listen = Callable[..., Ear]
Play = Callable[..., Player]


def lateness_ms(heard: Heard, player: Player, slept_ms: int = 0) -> dict[int, float]:
    """Of each mark heard: when, against when it was due, which is sooner after a sleep."""
    found = find(heard.samples)
    pairs = zip(found.numbers.tolist(), found.frames.tolist(), strict=True)
    return {
        number: (heard.monotonic_ns(frame) - player.begin_ns) / 1e6
        - number * EVERY_MS
        + slept_ms * (number * EVERY_MS >= slept_ms)
        for number, frame in pairs
    }


def since_begin_ms(player: Player) -> float:
    return (time.monotonic_ns() - player.begin_ns) / 1e6


def kinds(told: dict[str, Any]) -> list[str]:
    return [each["kind"] for each in told["trouble"]]


def assert_told(late_ms: dict[int, float], told: dict[str, Any], known_from: bool) -> None:
    """Every mark that was not heard lies in a silence that was told, and none that was heard.

    Where a device was lost, the silence is told from the last moment that is sure (``known_from``
    is False): some more may have been heard after that.
    """
    again = [each for each in told["trouble"] if each["kind"] in ("back", "stalled")]
    silences = [(each["at_ms"] - each["gap_ms"], each["at_ms"]) for each in again]
    assert silences
    for number in range(min(late_ms), max(late_ms) + 1):
        at_ms = number * EVERY_MS
        if number not in late_ms:  # a part of its first millisecond may be all that is lost
            told_of = any(begin <= at_ms <= end for begin, end in silences)
            assert told_of, f"{at_ms} was not heard, told were {silences}"
        elif known_from:
            hidden = any(begin <= at_ms < end for begin, end in silences)
            assert not hidden, f"{at_ms} was heard, told were {silences}"


class Again:
    """Marks after a moment, against those before it."""

    def __init__(self, late_ms: dict[int, float], after_ms: float) -> None:
        before = [late for number, late in late_ms.items() if number * EVERY_MS < after_ms]
        usual = np.median(before) if before else USUAL_MS
        self.off_ms = {
            number: abs(late - usual)
            for number, late in late_ms.items()
            if number * EVERY_MS >= after_ms
        }
        self.at_first_ms = max(self.off_ms.values(), default=np.inf)
        self.in_the_end_ms = max(list(self.off_ms.values())[-SETTLED:], default=np.inf)


def heard_in_place(
    ear: Ear, player: Player, after_ms: float, within_ms: float = IN_PLACE_MS, slept_ms: int = 0
) -> dict[int, float]:
    """The lateness of all marks, as soon as those after this moment are in their places.

    Where a machine has far more to do than it can, the server misses cycles of its own, again and
    again, and nothing is shown.
    """
    end = time.monotonic() + SETTLES_AT_LATEST_S
    while True:
        late_ms = lateness_ms(ear.so_far(), player, slept_ms)
        again = Again(late_ms, after_ms)
        if len(again.off_ms) >= HEARD_AGAIN and again.in_the_end_ms < within_ms:
            return late_ms
        if time.monotonic() > end:
            break
        time.sleep(0.25)
    skip_if_too_busy()
    return late_ms


def assert_in_place(
    late_ms: dict[int, float],
    after_ms: float,
    at_first_within_ms: float = AT_FIRST_MS,
    within_ms: float = IN_PLACE_MS,
    back_within_ms: float = BACK_WITHIN_MS,
) -> None:
    """Marks after this moment are heard soon, each of them, and all in their places."""
    again = Again(late_ms, after_ms)
    numbers = again.off_ms
    assert len(numbers) >= SETTLED, "too little was heard again"
    back_ms = min(numbers) * EVERY_MS - after_ms
    assert back_ms < back_within_ms
    assert len(numbers) == max(numbers) - min(numbers) + 1, "a mark is missing"
    assert again.at_first_ms < at_first_within_ms
    assert again.in_the_end_ms < within_ms
    print(
        f"first mark {back_ms:.0f} ms after the return (a mark every {EVERY_MS} ms), "
        f"at first {again.at_first_ms:.1f} ms out of place, in the end {again.in_the_end_ms:.1f} ms"
    )


@pytest.mark.parametrize("beside", [None, "null"], ids=["alone", "beside a device that is none"])
def test_the_server_killed_and_started_again(
    server: Server, listen: Listen, play: Play, beside: str | None
) -> None:
    if beside:
        server.add_device("beside", beside)
    time.sleep(HEARD_FIRST_S)
    player = play(server)
    time.sleep(2.2)
    server.kill()
    time.sleep(0.8)
    server.start()
    returned_ms = since_begin_ms(player)
    assert_in_place(heard_in_place(listen(server), player, returned_ms), returned_ms)
    told = player.end()
    assert [kind for kind in kinds(told) if kind != "no-device"] == ["lost", "back"]


def test_the_sink_removed_and_returned(server: Server, listen: Listen, play: Play) -> None:
    player = play(server)
    time.sleep(2.2)
    server.remove_sink("spare")
    server.remove_sink("nullsink")
    time.sleep(1.5)
    server.return_sink("nullsink")
    returned_ms = since_begin_ms(player)
    assert_in_place(heard_in_place(listen(server), player, returned_ms), returned_ms)
    told = player.end()
    assert [kind for kind in kinds(told) if kind != "no-device"] == ["lost", "back"]


def test_a_suspended_sink(server: Server, listen: Listen, play: Play) -> None:
    ear = listen(server)
    time.sleep(HEARD_FIRST_S)
    player = play(server)
    time.sleep(2.2)
    server.tell("suspend-sink", "nullsink", "1")
    time.sleep(3)
    server.tell("suspend-sink", "nullsink", "0")
    returned_ms = since_begin_ms(player)
    late_ms = heard_in_place(ear, player, returned_ms)
    told = player.end()
    lost, back = (each for each in told["trouble"] if each["kind"] != "no-device")
    assert (lost["kind"], back["kind"]) == ("lost", "back")
    assert back["at_ms"] - returned_ms < BACK_WITHIN_MS
    assert_told(late_ms, told, known_from=False)
    # A device that is being given up as it comes to life is heard for a moment, and opened anew.
    for_a_moment = range(int(returned_ms) // EVERY_MS + 1, int(back["at_ms"]) // EVERY_MS + 1)
    lasting_ms = {number: late for number, late in late_ms.items() if number not in for_a_moment}
    assert_in_place(lasting_ms, back["at_ms"])
    assert lost["gap_ms"] < 1600, "noticed by the watch"
    assert back["gap_ms"] == pytest.approx(3200, abs=900)


def test_the_second_choice_takes_over(server: Server, listen: Listen, play: Play) -> None:
    ear = listen(server, "spare")
    time.sleep(HEARD_FIRST_S)
    player = play(server, "--second-choice", "spare")
    time.sleep(2.2)
    server.tell("suspend-sink", "nullsink", "1")
    suspended_ms = since_begin_ms(player)
    late_ms = heard_in_place(ear, player, suspended_ms)
    told = player.end()
    assert_in_place(late_ms, suspended_ms, back_within_ms=1500 + BACK_WITHIN_MS)
    assert [kind for kind in kinds(told) if kind != "no-device"] == ["lost", "back"]
    assert "spare" in told["trouble"][-1]["detail"]


def test_a_process_stopped_for_three_seconds(
    even_server: Server, listen: Listen, play: Play
) -> None:
    ear = listen(even_server)
    player = play(even_server)
    time.sleep(3)
    player.stop()
    time.sleep(3)
    player.go_on()
    returned_ms = since_begin_ms(player)
    late_ms = heard_in_place(ear, player, returned_ms)
    told = player.end()
    assert_in_place(late_ms, returned_ms)
    assert kinds(told)[0] == "stalled"
    assert_told(late_ms, told, known_from=True)


def test_a_machine_that_slept_for_a_minute(server: Server, listen: Listen, play: Play) -> None:
    ear = listen(server)
    time.sleep(HEARD_FIRST_S)
    player = play(server, "--sleep-ms", "60000")
    late_ms = heard_in_place(ear, player, 60_000, slept_ms=60_000)
    told = player.end()
    (slept,) = (each for each in told["trouble"] if each["kind"] == "slept")
    assert slept["gap_ms"] == pytest.approx(60_000, abs=5)
    assert_in_place(late_ms, slept["at_ms"], AFTER_FREEZE_MS)
    assert_told(late_ms, told, known_from=False)


def test_an_exception_in_the_callback(server: Server, listen: Listen, play: Play) -> None:
    ear = listen(server)
    time.sleep(HEARD_FIRST_S)
    player = play(server, "--failing")
    late_ms = heard_in_place(ear, player, 3200)
    told = player.end()
    assert_in_place(late_ms, 3200)
    assert_told(late_ms, told, known_from=True)
    assert kinds(told)[0] == "callback-error"
    assert "no samples" in told["trouble"][0]["detail"]
    assert kinds(told).count("callback-error") == 1, "told once, not block by block"


def test_a_frozen_server_that_thaws(server: Server, listen: Listen, play: Play) -> None:
    ear = listen(server)
    time.sleep(HEARD_FIRST_S)
    player = play(server)
    time.sleep(2.2)
    server.freeze()
    time.sleep(3)
    server.thaw()
    returned_ms = since_begin_ms(player)
    late_ms = heard_in_place(ear, player, returned_ms, AFTER_FREEZE_MS)
    told = player.end()
    assert_in_place(late_ms, returned_ms, AFTER_FREEZE_MS, AFTER_FREEZE_MS)
    assert_told(late_ms, told, known_from=False)
    assert kinds(told)[:2] == ["lost", "back"]


@pytest.mark.parametrize("frozen_s", [0.2, 2.5], ids=["just now", "and given up"])
def test_a_frozen_server_does_not_hold_up_the_end(
    server: Server, play: Play, frozen_s: float
) -> None:
    player = play(server)
    time.sleep(2)
    server.freeze()
    time.sleep(frozen_s)
    told = player.end(limit_s=5)
    assert told["close_s"] < 2.5
    assert not told["playing"]


def test_no_server_at_all_is_one_clear_error(server: Server, play: Play) -> None:
    server.kill()
    told = play(server).told
    assert "speaker: there is none" in told["error"]
    assert "darktimer render" in told["error"]
    assert "\n" not in told["error"]


def test_a_patient_start_waits_for_the_server(server: Server, listen: Listen, play: Play) -> None:
    server.kill()
    player = play(server, "--wait-for-device")
    time.sleep(1.5)
    server.start()
    returned_ms = max(since_begin_ms(player), 0)
    late_ms = heard_in_place(listen(server), player, returned_ms, AT_FIRST_MS)
    # What a device says wrongly at its start is let be where there was no sound before it.
    assert_in_place(late_ms, returned_ms, within_ms=AT_FIRST_MS)
