"""The speaker in session time: what is heard, and what is already out of reach."""

from dataclasses import dataclass, field
from itertools import pairwise

import pytest

from darktimer.cues.score import Score
from darktimer.cues.speaker import SPEAKERS
from darktimer.live.conductor import Conductor
from darktimer.live.gates import Waits
from darktimer.live.stream import BriskSound, BriskStream, SteadyStream
from darktimer.output.trouble import Trouble
from tests.live.plans import OPEN, cue_set, timeline

RATE = 8000
BLOCK = 800
#: A plan of a day took 29 ms to be made anew for an answer.
ANSWER_TAKES_MS = 29


@dataclass
class Speaker:
    """What a stream asks of a speaker, to be set by the test."""

    at_ms: int = 0
    known_ms: int = 0
    handed_ms: int = 0
    buffer_ms: int = 300
    playing: bool = True
    troubles: list[Trouble] = field(default_factory=list)

    def position_ms(self) -> int:
        return self.at_ms

    def heard_ms(self) -> int:
        return self.known_ms

    def filled_ms(self) -> int:
        return self.handed_ms

    def trouble(self) -> list[Trouble]:
        return self.troubles


def test_session_time_is_the_speakers_own() -> None:
    told = Trouble("back", 5_000, "on a speaker", 700)
    stream = SteadyStream(Speaker(at_ms=7_000, known_ms=6_900, troubles=[told]))
    assert (stream.position_ms(), stream.heard_ms()) == (7_000, 6_900)
    assert stream.trouble() == [told]


@pytest.mark.parametrize(
    ("speaker", "reach_ms"),
    [(Speaker(at_ms=1_000, handed_ms=1_200), 1_300),
     (Speaker(at_ms=1_000, handed_ms=1_390), 1_390),
     (Speaker(at_ms=1_000, handed_ms=1_000, playing=False), 1_000),
     (Speaker(at_ms=1_000, handed_ms=1_100, playing=False), 1_300)],
    ids=["a block may be handed over now", "as far as was handed over", "nothing plays",
         "it is taking its first block"],
)  # fmt: skip
def test_what_can_still_be_changed_leaves_time_to_change_it(
    speaker: Speaker, reach_ms: int
) -> None:
    stream = SteadyStream(speaker)
    assert ANSWER_TAKES_MS < stream.filled_ms() - reach_ms <= 60
    assert stream.reach_ms() == stream.filled_ms()


def _brisk(speaker: Speaker, from_ms: int = 0) -> tuple[BriskStream, BriskSound]:
    line = Score(timeline(OPEN), cue_set(), RATE, SPEAKERS["none"])
    sound = BriskSound(line, Conductor(timeline(OPEN), cue_set(), Waits.NOWHERE), from_ms)
    return BriskStream(speaker, sound), sound


def _play(sound: BriskSound, to_ms: int) -> None:
    for start in range(0, to_ms * RATE // 1000, BLOCK):
        sound.fill(start, BLOCK)


def test_brisk_time_begins_where_it_is_asked_to_and_runs_as_real_time_without_quiet() -> None:
    speaker = Speaker(at_ms=-2_000)
    stream, _ = _brisk(speaker, from_ms=60_000)
    assert stream.position_ms() == 58_000
    speaker.at_ms = 1_500
    assert stream.position_ms() == 61_500


def test_every_time_of_a_brisk_stream_jumps_as_its_sound_does() -> None:
    speaker = Speaker(handed_ms=60_000, at_ms=59_700, known_ms=59_600)
    speaker.troubles = [Trouble("corrected", 59_650, "", 3)]
    stream, sound = _brisk(speaker)
    _play(sound, 60_000)
    ahead_ms = sound.line_frame(59_600 * RATE // 1000) * 1000 // RATE - 59_600
    assert ahead_ms > 30_000
    assert stream.heard_ms() == 59_600 + ahead_ms
    assert stream.position_ms() >= stream.heard_ms()
    assert stream.filled_ms() > stream.position_ms()
    (told,) = stream.trouble()
    assert told.at_ms == 59_650 + ahead_ms
    assert told.gap_ms == 3


def test_brisk_time_never_runs_back_and_never_jumps_over_a_sound() -> None:
    speaker = Speaker()
    stream, sound = _brisk(speaker)
    _play(sound, 150_000)
    starts = range(0, 150_000, BLOCK * 1000 // RATE)
    times = []
    for speaker.at_ms in starts:
        times.append(stream.position_ms())
    jumps = [(a, b) for a, b in pairwise(times) if b - a > 100]
    assert len(jumps) > 10
    assert all(b > a for a, b in pairwise(times))
    for before_ms, after_ms in jumps:
        passed = [c for c in timeline(OPEN).cues if before_ms < c.end_ms and c.at_ms < after_ms]
        assert passed == []


@pytest.mark.parametrize("more_ms", [0, 1])
def test_the_edge_of_what_is_long(more_ms: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Quiet as long as the limit is played; a millisecond more is cut to what is left of it."""
    cues = sorted(timeline(OPEN).cues)
    gaps = sorted({b.at_ms - a.end_ms for a, b in pairwise(cues)})
    long_ms = next(gap for gap in gaps if gap > 5_000)
    monkeypatch.setattr(BriskSound, "QUIET_MS", long_ms - more_ms)
    speaker = Speaker()
    stream, sound = _brisk(speaker)
    _play(sound, 300_000)
    times = []
    for speaker.at_ms in range(0, 300_000, BLOCK * 1000 // RATE):
        times.append(stream.position_ms())
    jumped = [(a, b) for a, b in pairwise(times) if b - a > 100]
    pairs = [(a, b) for a, b in pairwise(cues) if b.at_ms - a.end_ms == long_ms]
    for before, after in pairs:
        within = [j for j in jumped if before.end_ms <= j[0] <= after.at_ms]
        assert len(within) == more_ms
