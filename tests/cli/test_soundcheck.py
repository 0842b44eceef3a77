"""``darktimer soundcheck`` in a room that the test makes: a speaker, a tap, a microphone."""

import json
import re

import numpy as np
import pytest

from darktimer.learn.tap import tap_noise
from darktimer.output.devices import Device

RATE = 48_000
CUES = ["heartbeat", "sheet", "pip", "end", "alarm"]


class Room:
    """What is played is heard 0.2 s later in tap noise; how loud each was is remembered."""

    def __init__(self, monkeypatch, tap, gain=1.0):
        self.tap, self.gain = tap, gain
        self.peaks = []
        self.recording = [np.zeros(0, np.int16)]
        self.noise = tap * tap_noise(20 * RATE, RATE, seed=3)
        room = self

        class Player:
            def __init__(self, speakers): ...
            def __enter__(self):
                return self

            def __exit__(self, *_): ...
            def begin(self, samples):
                room.played = samples
                room.peaks.append(int(np.abs(samples.astype(int)).max()))

            def wait(self):
                room.hear(room.played)

        class Recorder:
            def __init__(self, rate, device): ...
            def heard(self):
                return np.concatenate(room.recording)

            def __enter__(self):
                return self

            def __exit__(self, *_): ...

        monkeypatch.setattr("darktimer.output.player.Player", Player)
        monkeypatch.setattr("darktimer.output.microphone.Recorder", Recorder)
        microphone = Device(0, "a microphone", "", 1, RATE, True)
        monkeypatch.setattr("darktimer.output.microphone.microphone", lambda name: microphone)
        monkeypatch.setattr("time.sleep", lambda s: room.hear(np.zeros(int(s * RATE))))

    def hear(self, sound):
        late = np.concatenate((np.zeros(RATE // 5), self.gain * sound, np.zeros(RATE // 5)))
        self.noise = np.roll(self.noise, 12_345)
        self.recording.append(np.rint(late + self.noise[: len(late)]).astype(np.int16))


def test_it_starts_low_and_rises_until_every_cue_is_clear(run, monkeypatch):
    room = Room(monkeypatch, tap=200)
    ran = run("soundcheck", "--json")
    report = json.loads(ran.out)
    assert ran.status == 0
    assert [cue["meaning"] for cue in report["cues"]] == CUES
    assert all(cue["margin_db"] >= 13 for cue in report["cues"])
    assert -30 < report["level_db"] < 0
    assert room.peaks[0] < 10 ** (-30 / 20) * 32_768
    assert "NIOSH" in ran.err
    assert "  heartbeat, 30 dB softer than a run" in ran.err.splitlines()


def test_of_a_plan_it_judges_the_faintest_that_a_run_will_play(run, monkeypatch):
    """Its baths and its acts are louder, and no turn is asked for."""
    Room(monkeypatch, tap=200)
    ran = run("soundcheck", "open-tub-half-agitation", "--json")
    assert [cue["meaning"] for cue in json.loads(ran.out)["cues"]] == ["pip", "end", "light-safe"]
    Room(monkeypatch, tap=200)
    ran = run("soundcheck", "semi-stand", "--cues", "at-night", "--json")
    report = json.loads(ran.out)
    assert report["set"] == "at-night"
    assert [cue["meaning"] for cue in report["cues"]] == ["turn", "pip", "end"]
    assert run("soundcheck", "no-such-plan").status == 1


def test_where_a_faint_sound_is_covered_the_loud_ones_do_not_make_it_clear(run, monkeypatch):
    """Every cue that asks for an act at once is clear here; the sign of life is not."""
    Room(monkeypatch, tap=1000)
    ran = run("soundcheck", "long-stand", "--json")
    report = json.loads(ran.out)
    weak = [cue["meaning"] for cue in report["cues"] if cue["verdict"] != "clear"]
    assert (ran.status, report["level_db"], weak) == (1, 0, ["heartbeat"])
    assert "are missing" in report["advice"][0]
    Room(monkeypatch, tap=1000)
    assert run("soundcheck", "open-tub-half-agitation").status == 0


def test_it_is_never_louder_than_the_level_that_was_chosen(run, monkeypatch):
    soft = Room(monkeypatch, tap=3000)
    ran = run("soundcheck", "--level", "-18 dB")
    assert ran.status == 1
    assert "Played 18 dB softer than a run" in ran.out
    loud = Room(monkeypatch, tap=3000)
    run("soundcheck")
    assert max(soft.peaks) == pytest.approx(max(loud.peaks) * 10 ** (-18 / 20), rel=0.01)


def test_what_the_noise_covers_is_named_with_what_to_do(run, monkeypatch):
    Room(monkeypatch, tap=2000, gain=0.1)
    ran = run("soundcheck")
    assert ran.status == 1
    assert "Played as loud as a run" in ran.out
    assert "covered" in ran.out
    assert re.search(r"At least \d+ dB are missing: turn the volume up", ran.out)
    assert "Start with the" in ran.out


def test_a_microphone_that_gives_nothing_is_an_error_with_a_remedy(run, monkeypatch):
    Room(monkeypatch, tap=100)
    monkeypatch.setattr("time.sleep", lambda s: None)
    ran = run("soundcheck")
    assert ran.status == 1
    assert "--ask" in ran.err


@pytest.mark.parametrize("level", ["loud", "6 dB", "-60 dB"])
def test_a_level_above_a_run_or_out_of_reach_is_wrong_usage(run, level):
    assert run("soundcheck", "--level", level).status == 2


def test_without_a_microphone_it_asks_and_rises_when_told(run, monkeypatch):
    room = Room(monkeypatch, tap=0)
    monkeypatch.setattr("darktimer.output.microphone.microphone", lambda name: None)
    keys = [*"nn", " ", *"yyyyy"]
    monkeypatch.setattr("click.getchar", lambda: keys.pop(0))
    ran = run("soundcheck")
    assert (ran.status, keys) == (0, [])
    assert "There is no microphone here, so you are asked what you hear." in ran.out
    assert room.peaks[3] == room.peaks[2]
    assert room.peaks[1] == pytest.approx(room.peaks[0] * 10 ** (6 / 20), rel=0.05)
    assert "alarm: something is wrong" in ran.out
    assert "You heard them all" in ran.out
    assert run("soundcheck", "--json").status == 2


def test_what_is_not_heard_at_the_chosen_level_is_named(run, monkeypatch):
    Room(monkeypatch, tap=0)
    monkeypatch.setattr("click.getchar", lambda: "n")
    ran = run("soundcheck", "--ask", "--level", "-24 dB")
    assert ran.status == 1
    assert f"Not heard: {', '.join(CUES)}." in ran.out
    assert "small-speaker" in ran.out


@pytest.mark.parametrize(
    ("there", "told"),
    [
        ((), "desk: there is no microphone at all; plug one in, or leave --microphone out"),
        (("Hall",), "desk: there is no such microphone; write one of: Hall"),
        (("desk one", "desk two"), "this may be any of several microphones"),
    ],
)
def test_a_microphone_that_is_not_there_is_called_one(run, monkeypatch, there, told):
    found = tuple(Device(k, name, "", 1, RATE, False) for k, name in enumerate(there))
    monkeypatch.setattr("darktimer.output.microphone.listed", lambda kind: found)
    ran = run("soundcheck", "--microphone", "desk")
    assert ran.status == 1
    assert told in ran.err
    assert "speaker" not in ran.err


def test_q_ends_the_asking(run, monkeypatch):
    Room(monkeypatch, tap=0)
    monkeypatch.setattr("click.getchar", lambda: "q")
    ran = run("soundcheck", "--ask")
    assert (ran.status, "Ended before every cue was judged." in ran.out) == (1, True)
