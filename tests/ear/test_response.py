"""What a room does to a tone is learnt from what was played, and taken out."""

from pathlib import Path

import numpy as np
import pytest

from darktimer.cues.cue_set import CueSet
from darktimer.cues.reader import load_cue_set
from darktimer.ear import hearing
from darktimer.ear.bands import bands_of
from darktimer.ear.hearing import Ear, hear
from darktimer.ear.recording import Recording
from darktimer.ear.response import learnt, without_response
from darktimer.ear.search import Candidate
from darktimer.ear.spectrum import Matrix
from darktimer.ear.tones import Tones
from darktimer.ear.vocabulary import vocabulary_of
from darktimer.process.timeline import Cue, Step, Timeline
from tests.ear import proof, rooms
from tests.ear.rooms import Wave

FRAMES = 3000
#: A band in which the echo after 170 ms is five times what comes straight, and one that rings on.
RESPONSE = np.zeros((2, 80), np.float32)
RESPONSE[0, [0, 17]] = 1, 5
RESPONSE[1] = 10 ** (-4 * np.arange(80) / 100)


def played() -> Wave:
    """Pulses of 0.11 and 0.25 s with rests of 0.3 s and more."""
    chance = np.random.default_rng(1)
    power = np.zeros((2, FRAMES), np.float32)
    at = 20
    while at < FRAMES - 100:
        length = int(chance.choice([11, 25]))
        power[:, at : at + length] = 1
        at += length + int(chance.integers(30, 90))
    return power


def heard(sent: Wave) -> Wave:
    """In each band its response, with noise of power 0.01."""
    rows = [np.convolve(*pair)[:FRAMES] for pair in zip(sent, RESPONSE, strict=True)]
    return np.array(rows, np.float32) + 0.01 * noise_of_power_1()


def noise_of_power_1() -> Wave:
    return np.random.default_rng(2).exponential(1, (2, FRAMES)).astype(np.float32)


def test_the_response_of_each_band_is_learnt() -> None:
    sent = played()
    power = heard(sent)
    found = learnt(power, np.full_like(power, 0.01), sent)
    assert found[0].argmax() == 17
    assert found[0, 12:23].sum() == pytest.approx(5, rel=0.1)
    assert found[0, 30:].max() < 0.3
    assert found[1, 20] / found[1, 0] == pytest.approx(10**-0.8, rel=0.5)
    assert found.sum(axis=1) == pytest.approx(RESPONSE.sum(axis=1), rel=0.1)


def test_pulses_stand_where_they_were_played() -> None:
    """As it was heard, two thirds of the first band's power lay in the rests."""
    sent = played()
    power = heard(sent)
    dry = without_response(power, np.full_like(power, 0.01), RESPONSE)
    there = np.where(sent > 0, dry, 0).sum(axis=1) / dry.sum(axis=1)
    before = np.where(sent > 0, power, 0).sum(axis=1) / power.sum(axis=1)
    assert before[0] < 0.4
    assert (there > 0.85).all()
    assert dry.sum(axis=1) == pytest.approx(power.sum(axis=1), rel=0.1)
    assert dry[0, sent[0] == 0].mean() < 0.0136  # sought from noise and all, 0.0143


def test_a_pulse_is_found_where_for_a_moment_nothing_was_heard() -> None:
    """Its echo tells of it."""
    sent = np.zeros((2, FRAMES), np.float32)
    sent[0, 100:125] = 100
    power = heard(sent)
    power[0, 100:110] = 0
    dry = without_response(power, np.full_like(power, 0.01), RESPONSE)
    assert dry[0, 100:125].min() > 0.5 * power.sum() / 25


def test_noise_stays_noise() -> None:
    """Its mean and its spread, which tell how much of a tone is chance."""
    noise = np.ones((2, FRAMES), np.float32)
    power = noise_of_power_1()
    dry = without_response(power, noise, RESPONSE)
    assert dry.mean() == pytest.approx(1, rel=0.15)
    assert dry.std() == pytest.approx(1, rel=0.3)


def test_what_is_played_lies_where_the_cue_has_its_pulses() -> None:
    cue_set = load_cue_set("standard")
    words = vocabulary_of(cue_set, bands_of(cue_set, 16_000))
    stand = words.meanings.index("stand")
    notes = words.played([(stand, 100.0)], 200)
    first, second = (words.note_of(beat) for beat in words.paths[stand])
    assert notes[first].argmax() in range(104, 122)
    assert notes[second].argmax() in range(138, 156)
    assert notes.max() == pytest.approx(max(beat.amplitude for beat in words.paths[stand]) ** 2)
    assert notes[:, 170:].max() == 0
    assert notes[:, :90].max() == 0
    cut = words.played([(stand, -40.0), (stand, 190.0)], 200)
    assert cut[:, :25].max() > 0
    assert cut[:, 195:].max() > 0


def heard_in_a_room_that_rings(
    timeline: Timeline, cue_set: CueSet, seed: int, folder: Path
) -> list[str]:
    """What is heard of a timeline in a room of 1.5 s, at 0 dB."""
    room = proof.places(0.0, ["1.5 s"])[0]
    wave = rooms.record(timeline, cue_set, room, seed)
    sound = Recording(rooms.write(wave, folder / "room.wav", room))
    return [one.meaning for one in hear(sound, cue_set)]


def test_an_echo_above_what_comes_straight_makes_no_other_cue(tmp_path: Path) -> None:
    """1.5 s: a short pulse of a bath's and its echo were one long one, and it another bath."""
    cue_set = load_cue_set("small-speaker")
    said = ["move", "enter-soak", "enter-rinse", "enter-2", "lift", "enter-stop", "stand"]
    timeline = rooms.cues_in_turn(cue_set, said, 123)
    assert heard_in_a_room_that_rings(timeline, cue_set, 123, tmp_path) == said


def test_soft_sheets_are_heard_by_what_louder_cues_told_of_the_room(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """1.5 s: where for a while nothing but sheets sounded, nine of thirty were something else."""
    monkeypatch.setattr(hearing, "_STRETCH", 1000)
    cue_set = load_cue_set("standard")
    said = ["enter", "move", "ready-1", "lift", "enter", "stand", "move", "lift", *["sheet"] * 30]
    timeline = rooms.cues_in_turn(cue_set, said, 124)
    assert heard_in_a_room_that_rings(timeline, cue_set, 124, tmp_path) == said


def test_a_heartbeat_alone_is_no_louder_cue(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """1.5 s: it was sheet and enter, 12 dB too soft, and from those a response was learnt."""
    monkeypatch.setattr(hearing, "_STRETCH", 1000)
    cue_set = load_cue_set("standard")
    places = ((1, "enter"), (4, "stand"), (6, "light-safe"), (36, "heartbeat"), (66, "heartbeat"))
    cues = tuple(Cue(s * 1000, cue_set.length_ms(said), said, 0) for s, said in places)
    timeline = Timeline("", 96_000, (Step("", "step", 0, 96_000, dark=False),), (), cues, ())
    heard = heard_in_a_room_that_rings(timeline, cue_set, 188, tmp_path)
    assert heard == [said for _, said in places]


@pytest.mark.parametrize("after_ms", [100, 900, 2500])
def test_a_cue_is_held_until_its_tail_has_died_away(
    monkeypatch: pytest.MonkeyPatch, after_ms: int
) -> None:
    """A stretch ends in or after it; its tail alone was heard as a stand, 80 ms after a sheet."""
    bands = bands_of(cue_set := load_cue_set("standard"), 16_000)
    words = vocabulary_of(cue_set, bands)
    places = len(bands.hertz) + len(bands.quiet)
    powers = np.random.default_rng(1).exponential(1, (places, 4200)).astype(np.float32)
    sheet = words.meanings.index("sheet")
    played = words.played([(sheet, 500.0), (sheet, 1000.0)], powers.shape[1])
    powers[: len(bands.hertz)] += 3000 * bands.powers_of(played)
    lengths = []

    def settled(self: Ear, held: Matrix) -> tuple[Tones, list[Candidate]]:
        lengths.append(held.shape[1])
        return heard(self, held)

    heard = Ear._settled
    monkeypatch.setattr(Ear, "_settled", settled)
    monkeypatch.setattr(hearing, "_STRETCH", 1000 + after_ms // hearing.FRAME_MS)
    ear = Ear(cue_set, bands)
    pieces = [powers[:, at : at + 20] for at in range(0, powers.shape[1], 20)]
    assert [one.meaning for one in ear.hear(pieces)] == ["sheet"] * 2
    assert powers.shape[1] - lengths[-1] < 1000 - hearing.AROUND_MS // hearing.FRAME_MS
