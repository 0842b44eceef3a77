"""Patterns of knocks are heard, whatever the blocks; a pattern that was learnt and no other."""

import numpy as np
import pytest

from darktimer.knocks.detector import Condition, KnockDetector
from darktimer.knocks.learning import Knock, learn
from darktimer.knocks.patterns import RHYTHMS, Knocked, KnocksHeard
from tests.knocks.rooms import Wave

RATE = 48_000


def knocking(pattern: Knocked, short_s: float = 0.2, long_s: float = 0.4, rate: int = RATE) -> Wave:
    """A pattern of noise bursts from 2 s on, in faint noise, with a second after it."""
    rests = [long_s if long else short_s for long in RHYTHMS[pattern]]
    moments = np.cumsum([2.0, *rests])
    rng = np.random.default_rng(5)
    wave = 1e-3 * rng.standard_normal(int((moments[-1] + 1) * rate))
    burst = np.exp(-np.arange(rate // 20) / rate / 0.008)
    for at_s in moments:
        at = round(at_s * rate)
        wave[at : at + len(burst)] += 0.1 * burst * rng.standard_normal(len(burst))
    return wave.astype(np.float32)


def heard(
    wave: Wave, knock: Knock | None = None, block: int = 2400, rate: int = RATE
) -> list[KnocksHeard]:
    detector = KnockDetector(rate, knock)
    return [k for at in range(0, len(wave), block) for k in detector.hear(wave[at : at + block])]


@pytest.mark.parametrize("pattern", list(Knocked))
@pytest.mark.parametrize("rate", [16_000, 44_100, 48_000])
def test_a_pattern_is_heard_at_its_last_knock(pattern: Knocked, rate: int) -> None:
    found = heard(knocking(pattern, rate=rate), rate=rate)
    assert [each.pattern for each in found] == [pattern]
    assert found[0].at_s == pytest.approx(2.8, abs=0.01)


@pytest.mark.parametrize("block", [1, 37, 480, 10_000, 1_000_000])
def test_blocks_of_any_length_give_the_same(block: int) -> None:
    wave = knocking(Knocked.GO_ON, rate=16_000)
    once, again = (heard(wave, block=each, rate=16_000) for each in (1600, block))
    assert [(k.pattern, k.at_s) for k in again] == [(k.pattern, k.at_s) for k in once]
    assert len(once) == 1


def test_it_is_known_within_a_quarter_of_a_second() -> None:
    wave, detector = knocking(Knocked.GO_ON), KnockDetector(RATE)
    for at in range(0, len(wave), 480):
        if detector.hear(wave[at : at + 480]):
            break
    assert at + 480 <= (2.8 + 0.235) * RATE + 480


def test_what_was_learnt_is_kept_as_text() -> None:
    knock = learn(heard(knocking(Knocked.GO_ON)))
    assert knock.short_s == pytest.approx(0.2, abs=0.01)
    assert knock.long_s == pytest.approx(0.4, abs=0.01)
    again = Knock.from_json(knock.as_json())
    assert again.as_json() == knock.as_json()
    assert np.array_equal(again.timbre, knock.timbre)


def test_one_persons_pace_is_not_anothers() -> None:
    knock = learn(heard(knocking(Knocked.GO_ON)))
    again = knocking(Knocked.WHERE, 0.21, 0.38)
    assert [each.pattern for each in heard(again, knock)] == [Knocked.WHERE]
    assert heard(knocking(Knocked.WHERE, 0.33, 0.54), knock) == []


def _after(wave: Wave) -> Condition:
    detector = KnockDetector(RATE)
    detector.hear(wave.astype(np.float32))
    return detector.condition


def test_a_microphone_that_clips_or_hears_nothing_is_noticed() -> None:
    noise = np.random.default_rng(1).standard_normal(3 * RATE)
    assert _after(0.01 * noise) is Condition.FINE
    assert _after(np.clip(noise, -1, 1)) is Condition.CLIPPING
    assert _after(0 * noise) is Condition.NOTHING
    assert _after(0 * noise + 0.25) is Condition.NOTHING
    assert _after(np.zeros(RATE)) is Condition.FINE  # too short to tell


@pytest.mark.parametrize("later_s", [0.11, 0.15])
@pytest.mark.parametrize("block", [160, 1_000_000])
def test_what_comes_soon_after_a_pattern_breaks_it(later_s: float, block: int) -> None:
    wave = knocking(Knocked.GO_ON, rate=16_000)
    at = round((2.8 + later_s) * 16_000)
    wave[at : at + 800] += wave[44_800 : 44_800 + 800]
    assert len(heard(wave, block=block, rate=16_000)) == (later_s > 0.13)
