"""``darktimer speakers`` where there is no sound at all, and with speakers made up here."""

import json
import sys

import pytest

from darktimer.output.devices import Device

MADE_UP = (
    Device(0, "Built-in Audio", "ALSA", 2, 48_000, True),
    Device(1, "Porch loudspeaker", "ALSA", 2, 44_100, False),
)


@pytest.fixture
def two_speakers(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr("darktimer.output.search.listed", lambda: MADE_UP)
    monkeypatch.setattr("darktimer.output.simple.find_spec", lambda name: None)


@pytest.mark.usefixtures("two_speakers")
def test_a_star_marks_the_default(run):
    ran = run("speakers")
    assert ran.status == 0
    lines = ran.out.splitlines()
    assert lines[1].split() == ["*", "Built-in", "Audio", "ALSA"]
    assert lines[2].split() == ["Porch", "loudspeaker", "ALSA"]


@pytest.mark.usefixtures("two_speakers")
def test_the_same_for_scripts(run):
    ran = run("speakers", "--json")
    listed = json.loads(ran.out)
    assert [each["default"] for each in listed["speakers"]] == [True, False]
    assert listed["speakers"][1]["name"] == "Porch loudspeaker"
    assert listed["troubles"] == []


@pytest.mark.usefixtures("two_speakers")
def test_a_speaker_that_is_not_there(run):
    ran = run("speakers", "--device", "attic")
    assert ran.status == 1
    assert ran.out == ""
    assert ran.err == (
        "attic: there is no such speaker; write one of: Built-in Audio; Porch loudspeaker\n"
    )


def test_no_sound_at_all_is_one_line(run, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setitem(sys.modules, "sounddevice", None)
    ran = run("speakers")
    assert ran.status == 1
    assert ran.out == ""
    assert ran.err.count("\n") == 1
    assert "libportaudio2" in ran.err
    assert "darktimer render" in ran.err
