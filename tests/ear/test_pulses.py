"""Of numbers: which slices of a cue are missing, where they lie, and what they are held against."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import soundfile

from darktimer.cues.reader import load_cue_set
from darktimer.cues.score import Score
from darktimer.cues.speaker_profiles import SPEAKERS
from darktimer.ear.bands import bands_of
from darktimer.ear.hearing import Detection, hear
from darktimer.ear.pulses import Pulses, Slices, pulses_at, slices_of, usual_gains
from darktimer.ear.recording import Recording
from darktimer.ear.second_look import looked_at_again
from darktimer.ear.speeds import at_its_speed
from darktimer.ear.tones import Tones
from darktimer.ear.verdict import compared
from darktimer.ear.vocabulary import PulseKind, vocabulary_of
from darktimer.process.timeline import Cue, Timeline

STANDARD = load_cue_set("standard")
BANDS = bands_of(STANDARD, 16_000)
VOCABULARY = vocabulary_of(STANDARD, BANDS)

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


def test_what_is_due_may_be_faint_or_not_known() -> None:
    faint = Pulses(SLICES, DUE * column(0.09, 1, 1) * 1e-9, np.zeros((3, 2)))
    assert faint.missing(USUAL * 1e-9) == (1, 0)
    assert faint.missing(USUAL * 0) == (0, 0)


def test_a_cue_is_soft_where_it_has_little_of_what_is_due() -> None:
    def soft(power: object, noise: object = 0.0, usual: np.ndarray = USUAL) -> bool:
        full = (np.broadcast_to(np.asarray(each, float), (3, 2)) for each in (power, noise))
        return Pulses(SLICES, *full).soft(usual)

    assert soft(DUE * 0.19)
    assert not soft(DUE * 0.21)
    assert not soft(DUE * column(1, 0.11, 0.11))  # 0.209 of all that is due
    assert soft(DUE * 0.21, DUE * 0.03)  # a part of it is noise
    assert not soft(DUE * 0.19, DUE * 0.033)  # too much of it may be
    assert soft(0, np.where(DUE == 2, np.inf, 0))
    assert not soft(0, np.where(DUE == 2, 0, np.inf))  # one band is too few
    assert not soft(0, usual=0 * USUAL)


def test_noise_that_is_louder_than_a_pulse_leaves_no_gain() -> None:
    heard = Pulses(SLICES, DUE, np.full((3, 2), 8.5))
    assert heard.gains.tolist() == [[0, 0], [5.875, 0], [5.875, 0]]


def test_usual_is_the_middle_of_what_came_through() -> None:
    heard = [Pulses(SLICES, DUE * k + 1, np.ones((3, 2))) for k in (0.0, 1.0, 3.0)]
    assert usual_gains(heard, np.ones((2, 2))) == pytest.approx(np.array([[8.0, 2.0], [0.0, 0.0]]))
    assert not usual_gains([], np.ones((2, 2))).any()


def test_slices_lie_side_by_side_in_their_pulses() -> None:
    """`stand` is two pulses of 255 ms with 90 ms between, `pip` one of 110 ms."""
    stand = slices_of(VOCABULARY, VOCABULARY.meanings.index("stand"))
    assert stand.pulse.tolist() == [0, 0, 0, 0, 1, 1, 1, 1]
    assert [BANDS.notes[note] for note in stand.note[3:5]] == pytest.approx([880.0, 523.25], 1e-4)
    assert stand.middle == pytest.approx(
        [3.1875 + 6.375 * k for k in range(4)] * 2 + 34.5 * stand.pulse
    )
    assert stand.reach.tolist() == [1] * 8
    level = STANDARD.pulses("stand")[0].level - STANDARD.loudness
    assert stand.power == pytest.approx([10 ** (level / 10)] * 8)
    pip = slices_of(VOCABULARY, VOCABULARY.meanings.index("pip"))
    assert (pip.pulse.tolist(), pip.middle.tolist(), pip.reach.tolist()) == ([0], [5.5], [2])


def test_a_long_pulse_has_many_slices_and_a_short_one_has_one() -> None:
    light_safe = slices_of(VOCABULARY, VOCABULARY.meanings.index("light-safe"))
    assert np.bincount(light_safe.pulse).tolist() == [43] * 4  # 2600 ms by 60 ms
    path, kinds = (
        VOCABULARY.paths[0][0],
        (PulseKind(0, 59), PulseKind(0, 80), PulseKind(0, 119), PulseKind(0, 120)),
    )
    pulses = tuple(path._replace(kind=k) for k in range(4))
    slices = slices_of(replace(VOCABULARY, paths=(pulses,), kinds=kinds), 0)
    assert slices.pulse.tolist() == [0, 1, 2, 3, 3]
    assert slices.reach.tolist() == [1, 2, 2, 1, 1]


def test_a_slice_holds_the_most_of_its_middle_and_the_mean_of_the_noise() -> None:
    """Two notes in a band each; a cue from frame 10 on with a slice of either note."""
    steps = np.arange(100.0)
    tones = Tones(
        clarity=np.zeros((2, 100)),
        reach=np.ones((2, 100)),
        strongest=np.zeros(100),
        power=np.stack((steps, 2 * steps)),
        noise=np.stack((steps,) * 2),
    )
    slices = Slices(
        np.array([0, 1]), np.array([0, 1]), np.ones(2), np.array([5.4, 20.0]), np.array([2, 4])
    )
    heard = pulses_at(10.0, slices, tones, np.eye(2))
    assert heard.power.tolist() == [[17, 0], [0, 68]]
    assert heard.noise.tolist() == [[15, 15], [30, 30]]
    early = pulses_at(-20.0, slices, tones, np.eye(2))
    assert early.power.tolist() == [[0, 0], [0, 8]]
    assert early.noise.max(axis=1).tolist() == [np.inf, pytest.approx(10 / 9)]
    late = pulses_at(90.0, slices, tones, np.eye(2))
    assert late.power.tolist() == [[97, 0], [0, 198]]
    assert late.noise.max(axis=1).tolist() == [95, np.inf]


#: Of unequal distances, so that they have one place.
CUES = tuple(Cue(1000 + 2000 * k + 90 * k * k, 600, "stand", 0) for k in range(9))
TIMELINE = Timeline("test", 24_000, (), (), CUES, ())


def _pulses(*shares: float) -> Pulses:
    """Of `stand`, in quiet: so much of each pulse."""
    slices = slices_of(VOCABULARY, VOCABULARY.meanings.index("stand"))
    power = np.array(shares)[slices.pulse] * slices.power
    shapes = BANDS.shapes[slices.note] > 0
    return Pulses(slices, power[:, None] * shapes, np.zeros(shapes.shape))


def test_what_was_heard_in_part_is_damaged_and_what_was_not_is_looked_for(tmp_path: Path) -> None:
    """Of nine cues the fourth is heard in part and the fifth not at all, in a silent recording."""
    soundfile.write(tmp_path / "silent.wav", np.zeros(24 * 16_000), 16_000)
    sound = Recording(tmp_path / "silent.wav")
    heard = [
        Detection(cue.at_ms, 600, "stand", 20.0, 0.9, _pulses(float(cue != CUES[3]), 1.0))
        for cue in CUES
        if cue != CUES[4]
    ]
    checks = looked_at_again(compared(heard, TIMELINE, 24_000), sound, STANDARD).checks
    assert [check.state for check in checks] == (
        ["heard"] * 3 + ["damaged", "missed"] + ["heard"] * 4
    )
    assert [check.missing for check in checks[2:6]] == [(0, 0), (1, 0), (1, 1), (0, 0)]


def test_of_what_lies_outside_and_of_another_plan_nothing_is_missing(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "silent.wav", np.zeros(24 * 16_000), 16_000)
    sound = Recording(tmp_path / "silent.wav")
    heard = [Detection(cue.at_ms, 600, "stand", 20.0, 0.9, _pulses(1, 1)) for cue in CUES[:4]]
    short = looked_at_again(compared(heard, TIMELINE, 9000), sound, STANDARD)
    assert [check.state for check in short.checks] == ["heard"] * 4 + ["outside"] * 5
    assert not short.damaged
    assert not looked_at_again(compared(heard, TIMELINE, 24_000), sound, STANDARD).damaged
    assert looked_at_again(compared(heard, TIMELINE, 18_000), sound, STANDARD).damaged
    assert not looked_at_again(compared([], TIMELINE, 24_000), sound, STANDARD).damaged


class Opened(Recording):
    """Notes which parts of it are opened: from when, and how much, in ms."""

    def part(self, first_ms: float, length_ms: float) -> Recording:
        self.__dict__.setdefault("asked", []).append((first_ms, length_ms))
        return super().part(first_ms, length_ms)


@pytest.mark.parametrize("rate", [16_000, 14_700])
def test_what_was_not_heard_as_such_is_looked_for_where_it_lies(tmp_path: Path, rate: int) -> None:
    """Twelve cues that sound, from 0.7 s on, at their speed or as if at 48 kHz in place of 44.1.

    Two were not heard and one was taken for another; the first of them begins at 0.3 s.
    """
    cues = tuple(Cue(1000 + 2000 * k + 90 * k * k, 600, "stand", 0) for k in range(12))
    timeline = TIMELINE._replace(cues=cues, duration_ms=35_000)
    score = Score(timeline, STANDARD, 16_000, SPEAKERS["none"])
    soundfile.write(tmp_path / "a.wav", score.fill(0, score.frames)[11_200:], rate)
    sound = Opened(tmp_path / "a.wav", rate / 16_000)
    found = list(hear(sound, STANDARD))
    other = found[6]._replace(meaning="lift", pulses=_pulses(0, 0))
    heard = [*found[1:4], found[5], other, *found[7:]]
    verdict = looked_at_again(compared(heard, timeline, sound.heard_ms), sound, STANDARD)
    states = [check.state for check in verdict.checks]
    assert [states[k] for k in (0, 4, 6)] == ["missed", "missed", "mistaken"]
    assert {states[k] for k in (1, 2, 3, 5, *range(7, 12))} == {"heard"}
    assert {check.missing for check in verdict.checks} == {(0, 0)}
    (first_ms, length_ms), *others = sound.__dict__["asked"]
    assert (first_ms, length_ms) == (0, 1600)
    for (first_ms, length_ms), k in zip(others, (4, 6), strict=True):
        assert first_ms == pytest.approx((cues[k].at_ms - 700) * 16_000 / rate - 500, abs=1.5)
        assert length_ms == 1600


@pytest.mark.parametrize(
    ("heard_at", "tried"),
    [(48_000, [48_000]), (44_100, [48_000, 44_100]), (0, [48_000, 44_100, 52_245])],
)
def test_a_recording_is_heard_at_the_first_speed_that_fits(
    tmp_path: Path, heard_at: int, tried: list[int]
) -> None:
    soundfile.write(tmp_path / "a.wav", np.zeros(24 * 48_000), 48_000)
    asked: list[int] = []

    def hear(sound: Recording) -> list[Detection]:
        asked.append(sound.rate)
        list(sound.blocks(48_000, 48_000, 0))
        kept = CUES if sound.rate == heard_at else CUES[:1]
        return [Detection(cue.at_ms / sound.speed, 600, "stand", 20.0, 0.9) for cue in kept]

    sound, heard = at_its_speed(tmp_path / "a.wav", TIMELINE, hear)
    assert asked == tried
    assert (sound.rate, len(heard)) == ((heard_at, 9) if heard_at else (48_000, 1))
