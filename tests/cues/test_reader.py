import re
from collections.abc import Callable
from pathlib import Path

import pytest

from darktimer.cues.reader import load_cue_set
from darktimer.errors import FileError, NotFoundError

Change = Callable[[str, str], Path]


def test_a_copy_is_read_from_its_path(changed: Change) -> None:
    path = changed("loudness: -18 LUFS", "loudness: -20 LUFS")
    assert load_cue_set(str(path)).loudness == -20
    assert load_cue_set(str(path)).name == "changed"


def test_a_set_with_a_kinds_former_name_sounds_as_before(changed: Change) -> None:
    now, before = load_cue_set("standard"), load_cue_set(str(changed("  wash aid:", "  clear:")))
    assert before.meanings() == now.meanings()
    assert before.pulses("enter-wash aid") == now.pulses("enter-wash aid")


def test_signatures_may_stand_in_any_order(changed: Change) -> None:
    soak = "  soak: { rhythm: short steady, notes: A5 E5 }\n"
    load = "  load: { rhythm: long (breath) short short short, notes: C5 E5 G5 A5 }\n"
    assert load_cue_set(str(changed(load + soak, soak + load))).signatures.keys()


def test_a_run_begun_under_a_former_name_can_be_taken_up() -> None:
    cues = load_cue_set("standard")
    assert cues.pulses("enter-clear") == cues.pulses("enter-wash aid")


def test_an_unknown_name_lists_what_is_shipped() -> None:
    with pytest.raises(NotFoundError, match="did you mean 'standard'"):
        load_cue_set("standart")


@pytest.mark.parametrize(
    ("old", "new", "place", "told"),
    [
        ("rhythm: short short short\n", "rhythm: short lomg\n", "cues.move.rhythm", "not a length"),
        ("notes: C5 E5 A5\n", "notes: C5 H5\n", "cues.move.notes", "'H5' is not a note"),
        ("level: quiet", "level: loud", "cues.pip.level", "known are quiet, alarm"),
        ("  stand:", "  stant:", "cues", "no sound for 'stand'"),
        ("  step:", "  steps:", "signatures", "no sound for 'step'"),
        ("short: 110 ms", "short: 30 ms", "lengths.short", "no room for two ramps"),
        ("short: 110 ms", "short: 110", "lengths.short", "has no unit"),
        ("ramp: 16 ms", "ramp: 0 ms", "voice.ramp", "is not above zero"),
        ("harmonics: 0 4", "harmonics: 0 loud", "voice.harmonics", "not a number"),
        ("loudness: -18 LUFS", "loudness: 3 LUFS", "loudness", "out of range"),
        ("loudness: -18 LUFS", "loudness: -18 dB", "loudness", "not a number"),
        ("signature rest: breath", "signature rest: sigh", "signature rest", "'sigh'"),
        ("count group: 3", "count group: 0", "count group", "out of range"),
        (
            "      10: { rhythm: short great",
            "      tens: { rhythm: short great",
            "counts.tally.places",
            "whole",
        ),
        ("most: 99", "most: 60", "counts.tally", "count from 1 to 99 by 1"),
        ("      10: { rhythm: steady", "      30: { rhythm: steady", "counts.left", "by 10"),
        ("gap: 90 ms\n", "gaps: 90 ms\n", "gap", "did you mean 'gap'"),
    ],
)
def test_a_fault_is_told_with_its_place(
    changed: Change, old: str, new: str, place: str, told: str
) -> None:
    with pytest.raises(FileError, match=re.escape(told)) as caught:
        load_cue_set(str(changed(old, new)))
    assert place in str(caught.value)
    assert caught.value.faults[0].line > 1
