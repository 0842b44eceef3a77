"""The least and the most of each number that a cue set may write, and what is asked for instead."""

from collections.abc import Callable
from pathlib import Path

import pytest

from darktimer.cues.cue_set import CueSet
from darktimer.cues.reader import load_cue_set
from darktimer.errors import FileError
from darktimer.shipped import folder

Change = Callable[[str, str], Path]
HARMONICS = "harmonics: 0 4 -2 -10 -13"


@pytest.mark.parametrize(
    ("old", "new", "edges", "beyond"),
    [
        ("loudness: -18 LUFS", "loudness: {} LUFS", ("-40", "-10"), ("-40.01", "-9.99")),
        ("quiet: -10 dB", "quiet: {} dB", ("-40", "20"), ("-40.01", "20.01")),
        (HARMONICS, "harmonics: {}", ("-60", "20"), ("-60.01", "20.01")),
        ("count group: 3", "count group: {}", ("1", "99"), ("0", "100")),
        ("most: 99", "most: {}", ("99", "9999"), ("98", "10000")),
        ("ready\n    words:\n      1:", "ready\n    words:\n      {}:", ("0", "9999"), ("10000",)),
        ("      600: {{ rhythm", "      {}: {{ rhythm", ("600", "1200"), ("0", "10000")),
    ],
)
def test_numbers_have_a_least_and_a_most(
    changed: Change, old: str, new: str, edges: tuple[str, ...], beyond: tuple[str, ...]
) -> None:
    for kept in edges:
        load_cue_set(str(changed(old.format(), new.format(kept))))
    for refused in beyond:
        with pytest.raises(FileError):
            load_cue_set(str(changed(old.format(), new.format(refused))))


@pytest.mark.parametrize(
    ("written", "levels"),
    [("0", (0.0,)), ("-1.5 +2", (-1.5, 2.0)), ("0 1 2 3 4 5 6 7", tuple(map(float, range(8))))],
)
def test_one_to_eight_harmonics(changed: Change, written: str, levels: tuple[float, ...]) -> None:
    cue_set = load_cue_set(str(changed(HARMONICS, f"harmonics: {written}")))
    assert cue_set.voice.harmonics_db == levels


def told(path: Path) -> list[tuple[str, str, str]]:
    with pytest.raises(FileError) as caught:
        load_cue_set(str(path))
    return [(fault.key, fault.found, fault.remedy) for fault in caught.value.faults]


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        (HARMONICS, "harmonics: 0 1 2 3 4 5 6 7 8", ("voice.harmonics", "9 harmonics")),
        (HARMONICS, "harmonics: ' '", ("voice.harmonics", "0 harmonics")),
        (HARMONICS, "harmonics: 0 4 dB", ("voice.harmonics", "'dB' is not a number")),
        ("band: 600 to 2500 Hz", "band: 600 Hz", ("band", "'600 Hz' is not a band")),
        ("quiet: -10 dB", "quiet: -10 LUFS", ("levels.quiet", "'-10 LUFS' is not a number")),
        ("short: 110 ms", "short: 47 ms", ("lengths.short", "47 ms has no room for two ramps")),
    ],
)
def test_what_is_said_of_a_fault(
    changed: Change, old: str, new: str, expected: tuple[str, str]
) -> None:
    assert [fault[:2] for fault in told(changed(old, new))] == [expected]


def test_three_ramps_are_room_enough(changed: Change) -> None:
    load_cue_set(str(changed("short: 110 ms", "short: 48 ms")))


READY, TALLY, LEFT = "least: 1\n    most: 3", "least: 1\n    most: 99", "least: 0\n    most: 5990"


@pytest.mark.parametrize(
    ("old", "new", "remedy"),
    [
        (READY, "least: 2\n    most: 3", "count from 1 to 3 by 1"),
        (READY, "least: 1\n    most: 2", "count from 1 to 3 by 1"),
        (TALLY, "least: 2\n    most: 99", "count from 1 to 99 by 1"),
        (TALLY, "least: 1\n    most: 98", "count from 1 to 99 by 1"),
        (LEFT, "least: 10\n    most: 5990", "count from 0 to 5990 by 10"),
        (LEFT, "least: 0\n    most: 5980", "count from 0 to 5990 by 10"),
    ],
)
def test_every_number_that_may_be_asked_for_has_a_sound(
    changed: Change, old: str, new: str, remedy: str
) -> None:
    assert [fault[2] for fault in told(changed(old, new))] == [remedy]


def test_a_count_has_a_place(changed: Change) -> None:
    place = "places:\n      1: { rhythm: short long, notes: A5 }"
    ((key, *_),) = told(changed(place, "places: {}"))
    assert key.startswith("counts.ready")


def test_a_level_is_told_against_the_sets_loudness(changed: Change) -> None:
    cues = load_cue_set(str(changed("alarm: 4 dB", "alarm: 5 dB"))).cues
    assert [cues[name].level_db for name in ("move", "pip", "alarm")] == [0, -10, 5]


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("unsaid: heartbeat", "unsaid: heartbeat move", "only heartbeat and pip can"),
        ("unsaid: heartbeat", "unsaid: heartbeat pip", "take one of the two away"),
    ],
)
def test_only_what_asks_for_nothing_may_be_left_unsaid(
    tmp_path: Path, old: str, new: str, expected: str
) -> None:
    text = (folder("sounds") / "at-night.yaml").read_text("utf-8")
    assert old in text
    path = tmp_path / "night.yaml"
    path.write_text(text.replace(old, new), "utf-8")
    assert [fault[2] for fault in told(path)] == [expected]


def test_a_band_is_from_its_low_end_to_its_high(standard: CueSet) -> None:
    assert standard.band == (600, 2500)
