"""A cue with a pulse missing is damaged, unless noise hides the place; whole cues never are."""

import numpy as np
import pytest

from darktimer import shipped
from darktimer.cues.cue_set import CueSet
from darktimer.cues.reader import load_cue_set
from darktimer.ear.pulses import Pulses, Slices, usual_gains
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
    checks = of_cuts(cue_set, made, noise_db=10).checks
    assert [check for check in checks if any(check.missing)] == []
    whole = [check.state for check in checks if check.cue.step >= len(made)]
    assert whole.count("heard") > 0.8 * len(whole)


# Two pulses of one note in two bands, the second pulse in two slices, four times the power.
SLICES = Slices(
    np.array([0, 1, 1]), np.array([0, 0, 0]), np.array([1.0, 4.0, 4.0]), np.arange(3.0), np.ones(3)
)
USUAL = np.array([[8.0, 2.0]])
DUE = np.array([[8.0, 2.0], [32.0, 8.0], [32.0, 8.0]])


def missing(power: object, noise: object = 0.0) -> tuple[float, ...]:
    full = np.broadcast_to(np.asarray(noise, float), (3, 2))
    return Pulses(SLICES, np.broadcast_to(power, (3, 2)), full).missing(USUAL)


def column(*shares: float) -> np.ndarray:
    return np.array(shares)[:, None]


def test_a_slice_is_missing_where_each_band_holds_next_to_nothing() -> None:
    assert missing(DUE) == (0, 0)
    assert missing(DUE * column(0.09, 1, 1)) == (1, 0)
    assert missing(DUE * column(0.11, 1, 1)) == (0, 0)
    assert missing(DUE * column(1, 0.09, 1)) == (0, 0.5)
    assert missing(DUE * [[0.0, 1.0]] * column(1, 1, 0)) == (0, 0.5)  # one band is enough


def test_noise_in_all_bands_but_one_hides_what_is_missing() -> None:
    gone = DUE * column(0.05, 1, 1)
    assert missing(gone, DUE * 0.03) == (1, 0)
    assert missing(gone, DUE * 0.033) == (0, 0)
    assert missing(gone, DUE * [[0.0, 0.033]]) == (0, 0)


def test_a_softer_cue_lacks_nothing_and_a_louder_one_is_not_held_to_more() -> None:
    assert missing(DUE * 0.2) == (0, 0)
    assert missing(DUE * 0.2 * column(0.09, 1, 1)) == (1, 0)
    assert missing(DUE * column(0.11, 3, 3)) == (0, 0)
    assert missing(DUE * 0.05) == (1, 1)  # of this nothing is left


def test_usual_is_the_middle_of_what_came_through() -> None:
    heard = [Pulses(SLICES, DUE * k + 1, np.ones((3, 2))) for k in (0.0, 1.0, 3.0)]
    assert usual_gains(heard, np.ones((2, 2))) == pytest.approx(np.array([[8.0, 2.0], [0.0, 0.0]]))
    assert not usual_gains([], np.ones((2, 2))).any()
