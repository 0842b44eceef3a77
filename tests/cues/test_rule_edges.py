"""Where each rule of cue sets begins to be broken: a set on the edge keeps it."""

from collections.abc import Mapping, Sequence
from types import SimpleNamespace
from typing import Any

import pytest

from darktimer.cues.cue_set import Band, Count, DigitPlace, Figure, Pulse, Voice
from darktimer.cues.margins import gaps_ms, loudness_of_cue, quick_run
from darktimer.cues.notation import Beat
from darktimer.cues.public_alarms import resembled
from darktimer.cues.rules import RULES

Tones = Sequence[tuple[int, int]]


def sound(*tones: tuple[int, int], frequency: float = 500, level: float = -20) -> tuple[Pulse, ...]:
    return tuple(Pulse(at, length, frequency, level) for at, length in tones)


def broken(asks: str, heard: Mapping[str, tuple[Pulse, ...]], **of_set: Any) -> bool:
    """Whether the one rule that asks for this is broken."""
    (rule,) = [rule for rule in RULES if asks in rule.asks]
    return bool(list(rule.breaches(SimpleNamespace(**of_set), heard)))


@pytest.mark.parametrize(("length", "short"), [(100, False), (99, True)])
def test_a_pulse_may_last_100_ms(length: int, short: bool) -> None:
    assert broken("shorter than 100 ms", {"move": sound((0, 300), (500, length))}) == short


@pytest.mark.parametrize(("gap", "short"), [(90, False), (89, True)])
def test_a_gap_may_last_90_ms(gap: int, short: bool) -> None:
    cue = sound((0, 100), (300, 100), (400 + gap, 100))
    assert gaps_ms(cue) == [200, gap]
    assert broken("no gap is shorter", {"move": cue}) == short
    assert not broken("no gap is shorter", {"move": sound((0, 100))})


@pytest.mark.parametrize(("rest", "long"), [(333, False), (334, True)])
def test_a_rest_may_last_two_thirds_of_the_half_second_between_cues(rest: int, long: bool) -> None:
    cue = sound((0, 100), (200, 100), (300 + rest, 100))
    assert broken("no rest within a cue", {"move": cue}) == long
    assert not broken("no rest within a cue", {"move": sound((0, 100))})


@pytest.mark.parametrize(("other", "too_long"), [(100, False), (101, True)])
def test_light_safe_is_three_times_as_slow(other: int, too_long: bool) -> None:
    cues = {"light-safe": sound((0, 300), (400, 900)), "move": sound((0, 50), (100, other))}
    assert broken("3 times as long", cues) == too_long


@pytest.mark.parametrize(
    ("tones", "lost"),
    [
        ([(0, 1000), (1000, 1000), (2000, 1000), (3000, 1000)], False),
        ([(0, 1000), (1000, 1000), (2000, 1000), (3000, 999)], True),
        ([(0, 1000), (1001, 1000), (2001, 1000), (3001, 1000)], True),
        ([(0, 1000)], True),
    ],
)
def test_half_of_light_safe_holds_a_whole_pulse(tones: Tones, lost: bool) -> None:
    """A half of 2 s that begins just after the onset of a pulse reaches the end of the next."""
    assert broken("any half of it", {"light-safe": sound(*tones)}) == lost


@pytest.mark.parametrize(
    ("apart", "run"), [([200, 250, 200], 4), ([200, 251, 200], 2), ([300, 100, 300], 2), ([], 1)]
)
def test_a_run_is_as_long_as_its_pulses_come_within_250_ms(apart: list[int], run: int) -> None:
    onsets = [sum(apart[:k]) for k in range(len(apart) + 1)]
    assert quick_run(sound(*((onset, 50) for onset in onsets))) == run


@pytest.mark.parametrize(("pulses", "alike"), [(4, False), (3, True)])
def test_the_alarm_rattles_twice_as_long_as_any_other(pulses: int, alike: bool) -> None:
    alarm = sound(*((200 * k, 100) for k in range(pulses)))
    cues = {"alarm": alarm, "move": sound((0, 100), (200, 100))}
    assert broken("rattles", cues) == alike


@pytest.mark.parametrize(("more", "near"), [(3, False), (2, True)])
def test_three_differences_are_alone_enough(more: int, near: bool) -> None:
    """Single pulses with rests between them: each that is more is one difference."""
    cues = {
        "alarm": sound(*((600 * k, 100) for k in range(1 + more))),
        "light-safe": sound(*((5000 * k, 4000) for k in range(20))),
        "move": sound((0, 100)),
    }
    asks = "light-safe and the alarm are"
    assert broken(asks, cues, voice=Voice((0.0, 0.0), 10)) == near


def count(**other: Any) -> dict[str, Count]:
    unit = Figure("", (Beat(0, other.pop("length", 200)),), (500.0,))
    places = (DigitPlace(10, unit, 50), DigitPlace(1, unit, other.pop("rest", 50)))
    usual = {"group": 3, "group_rest_ms": 200, "most": 99, **other}
    return {"tally": Count("", {}, 0, least=1, head=None, places=places, **usual)}


@pytest.mark.parametrize(
    ("asks", "changed", "found"),
    [
        ("more than three in a row", {"group": 3}, False),
        ("more than three in a row", {"group": 4}, True),
        ("250 ms apart", {"length": 200}, False),
        ("250 ms apart", {"length": 199}, True),
        ("twice the rest within", {"group_rest_ms": 100}, False),
        ("twice the rest within", {"group_rest_ms": 99}, True),
    ],
)
def test_counts_that_an_ear_can_follow(asks: str, changed: dict[str, int], found: bool) -> None:
    assert broken(asks, {}, counts=count(**changed)) == found


def test_what_is_never_counted_may_be_quick() -> None:
    """Up to 10 the tens are told once, and ones up to nine times; up to 3 in one group."""
    assert broken("250 ms apart", {}, counts=count(length=100, rest=150, most=20))
    assert not broken("250 ms apart", {}, counts=count(length=100, rest=150, most=19))
    assert broken("twice the rest within", {}, counts=count(group_rest_ms=99, most=40))
    assert not broken("twice the rest within", {}, counts=count(rest=20, group_rest_ms=99, most=39))


@pytest.mark.parametrize(
    ("tones", "pattern"),
    [
        ([(0, 300), (1300, 800), (3100, 500)], ["evacuation"]),
        ([(0, 299), (1299, 800), (3099, 500)], []),
        ([(0, 300), (1300, 801), (3101, 500)], []),
        ([(0, 300), (1301, 800), (3101, 500)], []),  # a pause of more than 1 s
        ([(0, 300), (600, 300), (1200, 300), (1800, 300)], []),  # one too many
        ([(0, 50), (800, 200), (1750, 100), (1900, 100)], ["carbon monoxide"]),
        ([(0, 49), (799, 200), (1749, 100), (1900, 100)], []),
        ([(0, 50), (800, 201), (1751, 100), (1900, 100)], []),
        ([(0, 50), (801, 200), (1750, 100), (1900, 100)], []),
    ],
)
def test_what_empties_a_house(tones: Tones, pattern: list[str]) -> None:
    assert resembled(tones) == pattern


def test_a_cue_that_comes_again_makes_a_pattern_with_itself() -> None:
    """Pips come a second apart: three of half a second would be heard as three and a pause."""
    assert broken("empties a house", {"pip": sound((0, 500))})
    assert not broken("empties a house", {"alarm": sound((0, 500))})  # at 5 s at the soonest
    assert broken(
        "empties a house", {"marked": sound((0, 100), (200, 100), (400, 100), (600, 100))}
    )


@pytest.mark.parametrize(("ramp", "found"), [(10, False), (40, False), (9, True), (41, True)])
def test_ramps(ramp: int, found: bool) -> None:
    assert broken("10 to 40 ms", {}, voice=SimpleNamespace(ramp_ms=ramp)) == found


@pytest.mark.parametrize(
    ("low", "high", "found"),
    [
        (600, 2500, False),
        (1250, 2500, False),
        (599, 2500, True),
        (600, 2501, True),
        (1251, 2500, True),
    ],
)
def test_a_band(low: int, high: int, found: bool) -> None:
    assert broken("a set's band", {}, band=Band(low, high)) == found


@pytest.mark.parametrize(
    ("hertz", "found"), [(150, False), (1000, False), (149.9, True), (1000.1, True)]
)
def test_notes(hertz: float, found: bool) -> None:
    assert broken("150 and 1000 Hz", {"move": sound((0, 100), frequency=hertz)}) == found


def of_partials(asks: str, *partials: tuple[float, float]) -> bool:
    """Whether a note of these partials, as hertz and power, breaks a rule."""
    voice = SimpleNamespace(partials=lambda _: [(hertz, power**0.5) for hertz, power in partials])
    return broken(asks, {"move": sound((0, 100))}, voice=voice, band=Band(600, 2500))


def test_four_harmonics_are_strong() -> None:
    """15 dB below the first is a power of 0.0316."""
    asks = "4 harmonics in"
    assert not of_partials(asks, (300, 1), (1000, 0.032), (2000, 0.032), (4000, 0.032))
    assert of_partials(asks, (299, 1), (1000, 0.032), (2000, 0.032), (4000, 0.032))
    assert of_partials(asks, (300, 1), (1000, 0.032), (2000, 0.032), (4001, 0.032))
    assert of_partials(asks, (300, 1), (1000, 0.032), (2000, 0.032), (4000, 0.031))


def test_power_lies_where_it_is_heard() -> None:
    assert not of_partials("70 % of the power", (600, 0.36), (2500, 0.35), (2501, 0.29))
    assert of_partials("70 % of the power", (600, 0.35), (2500, 0.34), (2501, 0.31))
    assert not of_partials("10 % of the power", (2999, 0.91), (3000, 0.09))
    assert of_partials("10 % of the power", (2999, 0.89), (3000, 0.11))
    # 6 dB are a power of 0.2512.
    assert not of_partials("at most 6 dB", (799, 0.748), (800, 0.252))
    assert of_partials("at most 6 dB", (799, 0.75), (800, 0.25))


@pytest.mark.parametrize(
    ("asks", "meaning", "least", "most"),
    [
        ("within 2 LU", "move", -2, 2),
        ("+3 to +6 LU", "alarm", 3, 6),
        ("-20 to -6 LU", "heartbeat", -20, -6),
    ],
)
def test_loudness(asks: str, meaning: str, least: float, most: float) -> None:
    """A cue of 400 ms without ramps is as loud as its level."""
    voice = SimpleNamespace(sounding_ms=float)

    def off(above: float) -> bool:
        cue = sound((0, 400), level=-18 + above)
        return broken(asks, {meaning: cue}, voice=voice, loudness=-18)

    assert [off(least - 0.01), off(least + 0.01)] == [True, False]
    assert [off(most - 0.01), off(most + 0.01)] == [False, True]


def test_the_loudness_of_a_cue_is_that_of_400_ms_at_the_least() -> None:
    voice = SimpleNamespace(sounding_ms=float)
    assert loudness_of_cue(voice, sound((0, 40))) == pytest.approx(-30)
    assert loudness_of_cue(voice, sound((0, 400), (3600, 400))) == pytest.approx(-26.99, abs=0.005)
