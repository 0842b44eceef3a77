"""What is called heard, missed, mistaken, outside and not planned."""

from darktimer.ear.hearing import Heard
from darktimer.ear.verdict import Verdict, compared
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
    exchanged: dict[int, str | None], extra: tuple[Heard, ...] = (), **given: float
) -> Verdict:
    heard = [
        Heard(cue.at_ms + 5000, 500, exchanged.get(number, cue.meaning) or "", 12.0, 0.9)
        for number, cue in enumerate(CUES)
    ]
    kept = [one for one in heard if one.meaning and one.at_ms < given.get("until_ms", 1e9)]
    return compared(sorted([*kept, *extra]), TIMELINE, given.get("until_ms", 80_000))


def _states(verdict: Verdict) -> list[str]:
    return [check.state for check in verdict.checks]


def test_all_heard() -> None:
    verdict = _verdict({})
    assert set(_states(verdict)) == {"heard"}
    assert verdict.sure
    assert verdict.line
    assert round(verdict.line.offset_ms) == 5000


def test_a_lost_act_is_not_sure_and_a_lost_tally_is() -> None:
    assert not _verdict({0: None}).sure
    assert not _verdict({0: "stand"}).sure
    assert _states(_verdict({0: "stand"}))[0] == "mistaken"
    assert _verdict({2: None}).sure


def test_a_false_light_safe_is_not_sure() -> None:
    assert _verdict({}, (Heard(22_000, 500, "marked", 9.0, 0.9),)).sure
    verdict = _verdict({}, (Heard(22_000, 500, "light-safe", 9.0, 0.9),))
    assert [one.at_ms for one in verdict.false_light_safe] == [22_000]
    assert not verdict.sure
    assert _verdict({2: "light-safe"}).false_light_safe


def test_what_the_recording_cannot_hold_is_outside() -> None:
    verdict = _verdict({}, until_ms=40_000)
    assert _states(verdict) == ["heard"] * 4 + ["outside"] * 2
    assert verdict.sure


def test_nothing_heard_is_not_sure() -> None:
    assert not compared([], TIMELINE, 80_000).sure
