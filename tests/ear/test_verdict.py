"""What is called heard, missed, mistaken, outside and not planned."""

import pytest

from darktimer.ear.hearing import Detection
from darktimer.ear.verdict import Verdict, compared
from darktimer.process import meanings
from darktimer.process.timeline import Cue, Timeline

CUES = tuple(
    Cue(at_ms, 500, meaning, 0)
    for at_ms, meaning in [
        (1000, "move"),
        (9000, "stand"),
        (17_500, "tally-1"),
        (30_000, "lift"),
        (41_000, "enter-fix"),
        (60_000, "light-safe"),
    ]
)
TIMELINE = Timeline("test", 70_000, (), (), CUES, ())


def _verdict(
    exchanged: dict[int, str | None], extra: tuple[Detection, ...] = (), **given: float
) -> Verdict:
    heard = [
        Detection(cue.at_ms + 5000, 500, exchanged.get(number, cue.meaning) or "", 12.0, 0.9)
        for number, cue in enumerate(CUES)
    ]
    kept = [one for one in heard if one.meaning and one.at_ms < given.get("until_ms", 1e9)]
    return compared(sorted([*kept, *extra]), TIMELINE, given.get("until_ms", 80_000))


def _shifted(offset_ms: float, lost: int, duration_ms: float) -> Verdict:
    """All cues but one, in a recording in which the timeline begins at ``offset_ms``."""
    kept = [cue for cue in CUES if cue != CUES[lost] and cue.at_ms + offset_ms >= 0]
    heard = [Detection(cue.at_ms + offset_ms, 500, cue.meaning, 12.0, 0.9) for cue in kept]
    return compared(heard, TIMELINE, duration_ms)


def _sound(at_ms: float, meaning: str = "marked", length_ms: int = 100) -> Detection:
    return Detection(at_ms, length_ms, meaning, 12.0, 0.9)


def _states(verdict: Verdict) -> list[str]:
    return [check.state for check in verdict.checks]


def test_all_heard() -> None:
    verdict = _verdict({})
    assert set(_states(verdict)) == {"heard"}
    assert verdict.sure
    assert verdict.alignment
    assert round(verdict.alignment.offset_ms) == 5000


def test_a_lost_act_is_not_sure_and_a_lost_tally_is() -> None:
    assert not _verdict({0: None}).sure
    assert not _verdict({0: "stand"}).sure
    assert _states(_verdict({0: "stand"}))[0] == "mistaken"
    assert _verdict({2: None}).sure


def test_a_false_light_safe_is_not_sure() -> None:
    assert _verdict({}, (Detection(22_000, 500, "marked", 9.0, 0.9),)).sure
    verdict = _verdict({}, (Detection(22_000, 500, "light-safe", 9.0, 0.9),))
    assert [one.at_ms for one in verdict.false_acts] == [22_000]
    assert not verdict.sure
    assert _verdict({2: "light-safe"}).false_acts


def test_what_the_recording_cannot_hold_is_outside() -> None:
    verdict = _verdict({}, until_ms=40_000)
    assert _states(verdict) == ["heard"] * 4 + ["outside"] * 2
    assert verdict.fits


def test_a_part_of_a_run_with_too_few_acts_is_not_sure() -> None:
    """Eight seconds with one cue passed as a whole run before."""
    one = compared([_sound(5000, "move", 500)], TIMELINE, 8000)
    assert one.fits
    assert one.too_few
    assert not one.sure


def test_a_part_that_fits_another_place_or_plan_is_not_sure_and_names_it() -> None:
    again = tuple(cue._replace(at_ms=cue.at_ms + 70_000) for cue in CUES)
    twice = TIMELINE._replace(cues=(*CUES, *again))
    heard = [_sound(cue.at_ms + 500, cue.meaning, 500) for cue in CUES]
    verdict = compared(heard, twice, 62_000)
    assert verdict.alignment
    found = [verdict.alignment, *(rival.alignment for rival in verdict.rivals)]
    assert sorted(round(place.offset_ms) for place in found) == [-69_500, 500]
    assert not verdict.sure
    other = TIMELINE._replace(title="other", cues=(*CUES, Cue(99_000, 500, "lift", 0)))
    mine = TIMELINE._replace(cues=(*CUES, Cue(90_000, 500, "lift", 0)))
    assert compared(heard, mine, 62_000).sure
    doubtful = compared(heard, mine, 62_000, [other])
    assert [rival.title for rival in doubtful.rivals] == ["other"]
    assert not doubtful.sure


@pytest.mark.parametrize(("shift_ms", "from_cue"), [(-1000, 6), (300_000, 0)])
def test_a_cut_or_a_second_run_is_told_by_its_place(shift_ms: int, from_cue: int) -> None:
    """Before, each cue of the rest was missed once and not planned once, and no more was said."""
    cues = (*CUES, *(cue._replace(at_ms=cue.at_ms + 61_000) for cue in CUES[:-1]))
    first = [_sound(cue.at_ms, cue.meaning, 500) for cue in cues[: from_cue or None]]
    second = [_sound(cue.at_ms + shift_ms, cue.meaning, 500) for cue in cues[from_cue:]]
    verdict = compared([*first, *second], TIMELINE._replace(cues=cues), 500_000)
    assert verdict.elsewhere
    assert not verdict.sure
    assert verdict.alignment
    found = verdict.elsewhere.offset_ms - verdict.alignment.offset_ms
    assert found == pytest.approx(shift_ms, abs=20)


@pytest.mark.parametrize("count", [0, 3, 4])
def test_what_is_not_planned_has_no_place_by_chance(count: int) -> None:
    extra = [_sound(200_000 + 7000 * k, "move") for k in range(8)]
    extra += [_sound(cue.at_ms + 400_000, cue.meaning) for cue in CUES[:count]]
    verdict = _verdict({}, tuple(extra))
    assert verdict.false_acts
    assert verdict.elsewhere is None


def test_nothing_heard_is_not_sure() -> None:
    assert not compared([], TIMELINE, 80_000).sure


@pytest.mark.parametrize("off_ms", [-149.5, 20.0, 149.5])
def test_a_cue_near_its_place_is_heard_with_its_error(off_ms: float) -> None:
    verdict = _verdict({2: None}, (_sound(22_500 + off_ms, "tally-1"),))
    assert (verdict.checks[2].state, verdict.unplanned) == ("heard", ())
    assert verdict.checks[2].error_ms == pytest.approx(off_ms, abs=5)
    assert [round(check.error_ms or 0) for check in _verdict({}).checks] == [0] * 6


@pytest.mark.parametrize("off_ms", [-150.5, 150.5])
def test_a_cue_that_is_off_its_place_is_missed_and_one_too_many(off_ms: float) -> None:
    verdict = _verdict({2: None}, (_sound(22_500 + off_ms, "tally-1"),))
    assert verdict.checks[2].state == "missed"
    assert [one.meaning for one in verdict.unplanned] == ["tally-1"]


def test_of_two_sounds_near_one_place_the_same_meaning_counts_then_the_nearer() -> None:
    other = _verdict({}, (_sound(14_001, "turn"), _sound(13_999, "turn")))
    assert _states(other) == ["heard"] * 6
    assert [one.meaning for one in other.unplanned] == ["turn", "turn"]
    twice = _verdict({2: None}, (_sound(22_400, "tally-1"), _sound(22_520, "tally-1")))
    assert twice.checks[2].detection == _sound(22_520, "tally-1")
    assert twice.unplanned == (_sound(22_400, "tally-1"),)


def test_what_the_end_cut_of_a_cue_may_sound_like_another() -> None:
    """The recording ends 300 ms into `enter-fix`, which lies from 46,000 to 46,500 ms in it."""
    ends = [(45_400, 600), (45_400, 601), (46_200, 100), (46_499, 100), (46_500, 100)]
    found = []
    for at_ms, length_ms in ends:
        heard = [_sound(cue.at_ms + 5000, cue.meaning, 500) for cue in CUES[:4]]
        verdict = compared([*heard, _sound(at_ms, length_ms=length_ms)], TIMELINE, 46_300)
        assert _states(verdict) == ["heard"] * 4 + ["outside"] * 2
        found.append(len(verdict.unplanned))
    assert found == [1, 0, 0, 0, 1]


def test_a_light_safe_is_never_taken_for_a_part_of_another() -> None:
    heard = [_sound(cue.at_ms + 5000, cue.meaning, 500) for cue in CUES[:4]]
    verdict = compared([*heard, _sound(46_200, "light-safe")], TIMELINE, 46_300)
    assert not verdict.sure


@pytest.mark.parametrize("meaning", sorted(meanings.ASKING | {"enter-fix"}))
def test_an_act_that_is_not_due_is_a_fault(meaning: str) -> None:
    """A person would do it: before light-safe alone was one, and an extra move passed as good."""
    extra = _verdict({}, (_sound(30_700, meaning),))
    assert _states(extra) == ["heard"] * 6
    assert [one.meaning for one in extra.false_acts] == [meaning]
    assert not extra.sure


@pytest.mark.parametrize("meaning", ["lights-out", "turn", "reverse", "sheet", "round"])
def test_a_lost_sheet_turn_or_light_cue_is_a_fault(meaning: str) -> None:
    """Whoever follows the sound leaves a sheet where it lies, or the lights on."""
    cues = (*CUES[:2], Cue(17_500, 500, meaning, 0), *CUES[3:])
    heard = [_sound(cue.at_ms + 5000, cue.meaning, 500) for cue in cues if cue.meaning != meaning]
    verdict = compared(heard, TIMELINE._replace(cues=cues), 80_000)
    assert [check.cue.meaning for check in verdict.act_now_lost] == [meaning]
    assert not verdict.sure


def test_company_that_is_heard_as_an_act_is_a_fault() -> None:
    taken = _verdict({2: None}, (_sound(22_500, "lift"),))
    assert taken.checks[2].state == "mistaken"
    assert not taken.sure
    assert _verdict({2: None}, (_sound(22_500, "pip"),)).sure


def test_a_sound_within_the_recording_is_part_of_none_that_was_heard_whole() -> None:
    verdict = _verdict({}, (_sound(14_300),))
    assert [one.at_ms for one in verdict.unplanned] == [14_300]


@pytest.mark.parametrize(
    ("offset_ms", "lost", "duration_ms", "state"),
    [
        (-1000.0, 0, 80_000, "missed"),  # it would begin with the first sample
        (-1000.5, 0, 80_000, "outside"),
        (5000.0, 5, 65_500, "missed"),  # it would end with the last sample
        (5000.0, 5, 65_499, "outside"),
    ],
)
def test_only_a_cue_that_lies_wholly_in_the_recording_can_be_missed(
    offset_ms: float, lost: int, duration_ms: float, state: str
) -> None:
    assert _shifted(offset_ms, lost, duration_ms).checks[lost].state == state
