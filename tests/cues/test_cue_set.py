from itertools import pairwise

import pytest

from darktimer.cues.cue_set import CueSet, Figure, Voice
from darktimer.cues.notation import Beat
from darktimer.cues.reader import load_cue_set
from darktimer.process import meanings

#: What is told by the signature of ``step``.
UNSIGNED = {"bleach", "clearing bath", "expose", "wait", "put away"}
SIGNS = [
    *(kind for kind in meanings.STEP_KINDS if kind not in UNSIGNED),
    *map(str, range(1, 16)),
]
SHORT, LONG, STEADY, GREAT = 110, 255, 560, 850


def lengths(cue_set: CueSet, meaning: str) -> list[int]:
    return [pulse.length_ms for pulse in cue_set.pulses(meaning)]


def gaps(cue_set: CueSet, meaning: str) -> list[int]:
    pulses = cue_set.pulses(meaning)
    return [b.at_ms - a.at_ms - a.length_ms for a, b in pairwise(pulses)]


def test_there_is_a_sound_for_every_meaning(standard: CueSet) -> None:
    known = standard.meanings()
    wanted = [
        "enter",
        *(each(sign) for sign in SIGNS for each in (meanings.enter, meanings.here)),
        *meanings.SINGLE,
        *map(meanings.ready, (1, 2, 3)),
        *map(meanings.tally, range(1, 100)),
        *map(meanings.piece, range(1, 9)),
        *map(meanings.left, range(0, 6000, 10)),
    ]
    assert sorted(known) == sorted(wanted)
    assert all(standard.says(meaning) and standard.length_ms(meaning) for meaning in known)


def test_an_entry_is_the_enter_cue_a_rest_and_a_signature(standard: CueSet) -> None:
    assert lengths(standard, "enter-fix") == [LONG, SHORT, SHORT, SHORT, LONG, LONG, LONG]
    assert gaps(standard, "enter-fix") == [90, 90, 300, standard.signature_rest_ms, 90, 90]
    assert standard.says("enter-fix") == "go on to the next step: fix"


def test_a_tally_tells_tens_and_ones_in_groups_of_three(standard: CueSet) -> None:
    assert lengths(standard, "tally-24") == [LONG] * 3 + [SHORT, GREAT] * 2 + [SHORT, LONG] * 4
    assert gaps(standard, "tally-24") == [90, 90, 300, *[90] * 3, 300, *[90] * 5, 300, 90]
    tens, ones = standard.pulses("tally-24")[4], standard.pulses("tally-24")[-1]
    assert tens.frequency < ones.frequency


def test_time_left_tells_minutes_and_tens_of_seconds(standard: CueSet) -> None:
    head = [LONG, LONG, LONG, SHORT]
    assert lengths(standard, meanings.left(139)) == head + [SHORT, LONG] * 2 + [STEADY, SHORT]
    assert lengths(standard, meanings.left(9)) == head


def test_ready_is_a_head_and_a_pulse_for_each_change_ahead(standard: CueSet) -> None:
    assert lengths(standard, "ready-1") == [SHORT, SHORT, LONG, SHORT, SHORT, LONG]
    assert lengths(standard, "ready-3") == [SHORT, SHORT, LONG, SHORT] + [SHORT, LONG] * 3


def test_the_alarm_swells_over_three_pulses_and_nothing_else_does(standard: CueSet) -> None:
    levels = [
        pulse.level - standard.pulses("alarm")[-1].level for pulse in standard.pulses("alarm")
    ]
    assert levels == pytest.approx([-12, -6] + [0] * 16)
    for meaning in standard.meanings():
        if meaning != "alarm":
            figure = standard.pulses(meaning)[: standard.first_figure(meaning)]
            assert len({pulse.level for pulse in figure}) == 1


def test_the_length_runs_from_the_first_sample_to_the_last(standard: CueSet) -> None:
    assert standard.length_ms("move") == 3 * SHORT + 2 * 90


@pytest.mark.parametrize("meaning", ["tally-0", "tally-100", "left-15", "enter-cook", "sing"])
def test_what_the_set_does_not_know_is_a_key_error(standard: CueSet, meaning: str) -> None:
    with pytest.raises(KeyError):
        standard.pulses(meaning)


def test_a_harmonic_of_20_db_less_has_a_tenth_of_the_amplitude() -> None:
    """C: 20 lg of the ratio of two amplitudes is their difference in dB."""
    voice = Voice((0.0, -20.0, 6.0), 0)
    assert voice.partials(500) == [
        (500, 1.0),
        (1000, pytest.approx(0.1)),
        (1500, pytest.approx(1.99526, abs=1e-5)),
    ]


@pytest.mark.parametrize(
    ("length", "above"), [(400, 0.0), (200, 3.0103), (401, 0.0), (399, 0.01087), (40, 10.0)]
)
def test_a_short_cue_is_louder_while_it_sounds(length: int, above: float) -> None:
    """ITU-R BS.1770 measures blocks of 400 ms: half of that needs twice the power, 3.01 dB."""
    (pulse,) = Figure("", (Beat(0, length),), (500.0,)).pulses(Voice((0.0,), 0), -18)
    assert pulse.level == pytest.approx(-18 + above, abs=1e-4)


def test_the_energy_of_ramps_is_that_of_raised_cosines() -> None:
    """C: sin^4 over a quarter turn has a mean of 3/8, so that a ramp of 16 ms loses 10 ms."""
    assert Voice((0.0,), 16).sounding_ms(110) == 90


def test_every_cue_begins_with_its_first_pulse(standard: CueSet) -> None:
    every = [*standard.meanings(), *(f"here-{kind}" for kind in standard.signatures)]
    assert {standard.pulses(meaning)[0].at_ms for meaning in every} == {0}


def test_numbers_and_places_in_plain_words(standard: CueSet) -> None:
    assert standard.says("left-70") == "left in this step: 1:10"
    assert standard.says("tally-7") == "minutes gone in this step: 7"
    assert standard.says("ready-1") == "get ready: the last warning before the change"
    assert standard.says("here-fix") == "you are at: fix"
    assert standard.says("move") == "begin moving"


def test_what_is_left_unsaid_takes_no_time() -> None:
    assert load_cue_set("at-night").length_ms("heartbeat") == 0


def test_a_set_that_was_played_is_still_the_same_set() -> None:
    played, fresh = load_cue_set("standard"), load_cue_set("standard")
    before = repr(played)
    played.pulses("move")
    assert played == fresh
    assert repr(played) == before


def test_a_piece_is_counted_in_groups_of_three_after_its_head(standard: CueSet) -> None:
    """Head, then long pulses: 90 ms lie within a group, 300 ms between two."""
    head, rest = [SHORT, SHORT, LONG], standard.signature_rest_ms
    assert lengths(standard, "piece-5") == [*head, *[SHORT, LONG] * 5]
    assert gaps(standard, "piece-5") == [90, 90, rest, *[90] * 5, rest, *[90] * 3]
    assert standard.says("piece-5") == "the next piece: 5"
    with pytest.raises(KeyError):
        standard.pulses("piece-9")
