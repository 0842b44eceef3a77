"""Cues in a row: where each begins, by hand, from the lengths of the standard set."""

from darktimer.cues.cue_set import CueSet
from darktimer.cues.demonstration import demonstration, in_a_row
from darktimer.process import meanings
from darktimer.process.timeline import Cue, Step

_MOVE_MS, _STAND_MS = 3 * 110 + 2 * 90, 2 * 255 + 90


def test_cues_in_a_row_have_so_much_quiet_before_between_and_after_them(standard: CueSet) -> None:
    line = in_a_row(standard, ("move", "stand"), 100, 50, 30)
    second_ms = 100 + _MOVE_MS + 50
    assert line.cues == (Cue(100, _MOVE_MS, "move", 0), Cue(second_ms, _STAND_MS, "stand", 0))
    assert line.duration_ms == second_ms + _STAND_MS + 30
    assert line.steps == (Step("standard", "step", 0, line.duration_ms, dark=False),)


def test_nothing_in_a_row_is_the_quiet_after_it(standard: CueSet) -> None:
    assert in_a_row(standard, (), 100, 50, 30).duration_ms == 30


def test_a_demonstration_is_a_second_and_a_half_of_quiet_around_each_cue(standard: CueSet) -> None:
    line = demonstration(standard)
    end_ms = 0
    for cue in line.cues:
        assert cue.at_ms == end_ms + 1500
        end_ms = cue.end_ms
    assert line.duration_ms == end_ms + 1500


def test_of_numbers_only_a_few_are_shown_and_all_else_is(standard: CueSet) -> None:
    shown = [cue.meaning for cue in demonstration(standard).cues]
    counted = ("enter-", "here", "ready", "tally", "piece", "left")
    numbers = [m for m in shown if m.startswith(counted)]
    assert numbers == [
        *("enter-2", "enter-7", "enter-12"),
        *map(meanings.enter, standard.signatures),
        *("ready-1", "ready-2", "ready-3"),
        *("here-2", "here-7", "here-12"),
        *("tally-2", "tally-7", "tally-12"),
        *("piece-2", "piece-7"),
        *("left-10", "left-60", "left-110"),
    ]
    others = [m for m in standard.meanings() if not m.startswith(counted)]
    assert [m for m in shown if m not in numbers] == others
