"""A cue with a pulse missing is damaged, unless noise hides the place; whole cues never are."""

import pytest

from darktimer import shipped
from darktimer.cues.cue_set import CueSet
from darktimer.cues.reader import load_cue_set
from tests.ear.damage_proof import Cut, cuts, of_cuts, told

WORDS = ["move", "lift", "stand", "enter-fix", "pip", "tally-4", "sheet"]


def damage(cue_set: CueSet) -> list[Cut]:
    return [cut for meaning in WORDS for cut in cuts(cue_set, meaning)]


@pytest.mark.parametrize("name", shipped.names("sounds"))
def test_each_missing_pulse_is_named_and_no_other(name: str) -> None:
    """Bath cues without all that comes before their signature passed as heard, to the millisecond.

    `python -m tests.ear.damage_proof` tries every cue.
    """
    cue_set = load_cue_set(name)
    made = [cut for cut in damage(cue_set) if cut.meaning not in cue_set.unsaid]
    for check in of_cuts(cue_set, made).checks:
        number = check.cue.step
        assert told(check) == (made[number].gone if number < len(made) else ())


def test_what_noise_hides_is_not_missing() -> None:
    cue_set = load_cue_set("standard")
    made = damage(cue_set)
    checks = of_cuts(cue_set, made, noise_db=12).checks
    assert [check for check in checks if any(check.missing)] == []
    whole = [check.state for check in checks if check.cue.step >= len(made)]
    assert whole.count("heard") > 0.8 * len(whole)
