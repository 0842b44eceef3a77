"""The least and the most of each number that a cue set may write, and what is asked for instead."""

from collections.abc import Callable
from pathlib import Path

import pytest

from darktimer.cues.reader import load_cue_set
from darktimer.errors import FileError

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
        (HARMONICS, "harmonics: 0 4 dB", ("voice.harmonics", "'dB' is no number")),
        ("band: 600 to 2500 Hz", "band: 600 Hz", ("band", "'600 Hz' is no band")),
        ("quiet: -10 dB", "quiet: -10 LUFS", ("levels.quiet", "'-10 LUFS' is no number")),
        ("short: 110 ms", "short: 47 ms", ("lengths.short", "47 ms has no room for two ramps")),
    ],
)
def test_what_is_said_of_a_fault(
    changed: Change, old: str, new: str, expected: tuple[str, str]
) -> None:
    assert [fault[:2] for fault in told(changed(old, new))] == [expected]


def test_three_ramps_are_room_enough(changed: Change) -> None:
    load_cue_set(str(changed("short: 110 ms", "short: 48 ms")))


@pytest.mark.parametrize(("least", "fits"), [(1, True), (2, False)])
def test_every_number_that_may_be_asked_for_has_a_sound(
    changed: Change, least: int, fits: bool
) -> None:
    path = changed("least: 1\n", f"least: {least}\n")
    if fits:
        load_cue_set(str(path))
    else:
        ((_, _, remedy),) = told(path)
        assert remedy.startswith("count from 1 to ")
